//! What odds cost: replications a second on the yardstick of 300 cars and 14
//! people, on one core and on all; then whole processes with calendars, bays and
//! all chance on, with cars, people and replications growing:
//! `cargo bench --bench forecast`.

mod lot;
mod site;

use hailyard::planning::forecast::{
    ChanceTerms, DealOrder, Flow, Replicate, Watch, odds_of, replicate,
};
use hailyard::planning::read_instance;
use lot::{milliseconds, write_lot};
use site::write_time;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 5;
const SIZES: [(usize, usize); 6] = [
    (30, 6),
    (100, 12),
    (300, 12),
    (300, 40),
    (1_000, 40),
    (3_000, 40),
];
const CHANCE: &str = r#"
[chance]
absent_percent = "3"
weather_percent = "8"
growth_percent = "15"
growth_mean = "0.2"
growth_shape = "2"
parts_late_percent = "10"
parts_late_days = "3"
"#;

fn main() {
    yardstick();
    println!("whole process, no search for the plan, median of {RUNS} runs");
    for (cars, people) in SIZES {
        let folder = tempfile::TempDir::new().expect("a temporary folder");
        let rows = write_lot(folder.path(), cars);
        write_time(folder.path(), people, Some(people), CHANCE);
        println!("{cars:>5} cars, {rows:>6} panels, {people:>2} people");
        let times = ["1", "500", "1000", "2000", "4000"];
        // A large lot is slow enough to tell with fewer.
        let wanted = if cars > 1_000 { 3 } else { times.len() };
        for times in &times[..wanted] {
            let mut took: Vec<Duration> = (0..RUNS)
                .map(|_| forecast(folder.path(), &["--replications", times]))
                .collect();
            took.sort();
            println!(
                "      {times:>5} replications {:>8.1} ms ({:.1} to {:.1})",
                milliseconds(took[RUNS / 2]),
                milliseconds(took[0]),
                milliseconds(took[RUNS - 1]),
            );
        }
    }
}

/// The same lot, rules and spread as the compiled loop of the yardstick: longest
/// work first, no calendar, tasks differ by 0.25.
fn yardstick() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/forecast/yardstick/storm300.json");
    let text = std::fs::read_to_string(path).expect("the yardstick");
    let problem = read_instance(&text).expect("sound");
    let flow = Flow::of(&problem, &DealOrder::longest_first(&problem));
    let terms = ChanceTerms {
        task: 0.25,
        ..ChanceTerms::default()
    };
    const TIMES: usize = 20_000;
    for threads in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads");
        let mut rates: Vec<f64> = (0..RUNS)
            .map(|_| {
                let how = Replicate {
                    terms: &terms,
                    seed: 1,
                    times: TIMES,
                };
                let start = Instant::now();
                let came = pool.install(|| replicate(&flow, how, &Watch::default()));
                let took = start.elapsed().as_secs_f64();
                assert!(odds_of(&came.in_order(), f64::MAX) == 1.0, "all are done");
                TIMES as f64 / took
            })
            .collect();
        rates.sort_by(f64::total_cmp);
        println!(
            "yardstick, {threads} threads: {:.0} replications a second ({:.0} to {:.0})",
            rates[RUNS / 2],
            rates[0],
            rates[RUNS - 1]
        );
    }
}

fn forecast(folder: &Path, how: &[&str]) -> Duration {
    let start = Instant::now();
    let output = Command::new(env!("CARGO_BIN_EXE_hailyard"))
        .arg("forecast")
        .arg(folder)
        .args(["--json", "--rounds", "0"])
        .args(how)
        .stderr(Stdio::null())
        .output()
        .expect("the program runs");
    let time = start.elapsed();
    assert!(output.status.success(), "without an error");
    time
}

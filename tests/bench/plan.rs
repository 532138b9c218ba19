//! What a plan costs as a whole process, and how it grows with cars and crew:
//! the first sound plan (`--rounds 0`) and what a few seconds of search make of
//! it; then the reference instances beside the best ends that a general
//! constraint solver found: `cargo bench --bench plan`.

mod lot;
mod site;

use lot::{milliseconds, write_lot};
use site::write_time;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 5;
const SIZES: [(usize, usize); 6] = [
    (100, 12),
    (300, 12),
    (300, 40),
    (1_000, 12),
    (1_000, 40),
    (3_000, 40),
];

fn main() {
    reference();
    println!("whole process, median of {RUNS} runs, fastest and slowest beside it");
    for (cars, people) in SIZES {
        for bays in [None, Some(people)] {
            let folder = tempfile::TempDir::new().expect("a temporary folder");
            let rows = write_lot(folder.path(), cars);
            write_time(folder.path(), people, bays, "");
            let room = bays.map_or("no limit".to_owned(), |bays| bays.to_string());
            println!("{cars:>5} cars, {rows:>6} panels, {people:>2} people, bays: {room}");
            let mut times: Vec<Duration> = (0..RUNS)
                .map(|_| plan(folder.path(), &["--rounds", "0"]).0)
                .collect();
            times.sort();
            println!(
                "      first plan {:>8.1} ms ({:.1} to {:.1})",
                milliseconds(times[RUNS / 2]),
                milliseconds(times[0]),
                milliseconds(times[RUNS - 1]),
            );
            for seconds in ["0", "2", "10"] {
                let (time, json) = plan(folder.path(), &["--seconds", seconds]);
                let of = |key: &str| json[key].as_i64().expect("a number");
                println!(
                    "      {seconds:>2} s of search: {} days of at least {}, {} minutes of at least {} ({:.2} % apart), {} idle days, {:.2} s in all",
                    of("days"),
                    of("bound_days"),
                    of("end_minute"),
                    of("bound_minute"),
                    100.0 * (of("end_minute") as f64 / of("bound_minute") as f64 - 1.0),
                    of("idle_days"),
                    time.as_secs_f64(),
                );
            }
        }
    }
}

/// Instance, seconds of search.
const REFERENCE: [(&str, &str); 11] = [
    ("small01", "1"),
    ("small03", "1"),
    ("small05", "1"),
    ("small07", "1"),
    ("small09", "1"),
    ("small11", "1"),
    ("medium1", "2"),
    ("medium3", "2"),
    ("medium5", "2"),
    ("large120", "10"),
    ("large250", "10"),
];

/// Ends for five seeds, the best known one, and the bound.
fn reference() {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/plans");
    let answers = std::fs::read_to_string(data.join("answers.csv")).expect("the answers");
    for (name, seconds) in REFERENCE {
        let row = answers
            .lines()
            .find(|row| row.starts_with(&format!("{name},")))
            .expect("an answer");
        let best = row.split(',').nth(3).expect("the best end");
        let ran: Vec<serde_json::Value> = (1..=5)
            .map(|seed| {
                let output = Command::new(env!("CARGO_BIN_EXE_hailyard"))
                    .args(["plan", "--json", "--seconds", seconds, "--seed"])
                    .arg(seed.to_string())
                    .arg("--instance")
                    .arg(data.join(format!("{name}.json")))
                    .output()
                    .expect("the program runs");
                serde_json::from_slice(&output.stdout).expect("JSON")
            })
            .collect();
        let ends: Vec<String> = ran
            .iter()
            .map(|plan| plan["makespan"].to_string())
            .collect();
        println!(
            "{name:>9}: {} after {seconds} s; best known {best}, bound {}",
            ends.join(" "),
            ran[0]["bound"]
        );
    }
}

fn plan(folder: &Path, how: &[&str]) -> (Duration, serde_json::Value) {
    let start = Instant::now();
    let output = Command::new(env!("CARGO_BIN_EXE_hailyard"))
        .arg("plan")
        .arg(folder)
        .arg("--json")
        .args(how)
        .stderr(Stdio::null())
        .output()
        .expect("the program runs");
    let time = start.elapsed();
    assert!(output.status.success(), "planned without an error");
    let json = serde_json::from_slice(&output.stdout).expect("JSON");
    (time, json)
}

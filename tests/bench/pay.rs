//! How long `hailyard pay` takes as a whole process, and how it grows: 40
//! people, 12 rows of the log a car, among them work by hours, by parts and by
//! the car: `cargo bench --bench pay`.

mod crew;
mod lot;

use crew::write_crew;
use lot::{milliseconds, write_lot};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 7;
const SIZES: [usize; 3] = [500, 5_000, 50_000];

fn main() {
    println!("whole process, median of {RUNS} runs, fastest and slowest beside it");
    for cars in SIZES {
        let folder = tempfile::TempDir::new().expect("a temporary folder");
        write_lot(folder.path(), cars);
        let rows = write_crew(folder.path(), cars);
        for written in [false, true] {
            if written && cars > 5_000 {
                continue;
            }
            let mut times: Vec<Duration> = (0..RUNS).map(|_| pay(folder.path(), written)).collect();
            times.sort();
            let median = times[RUNS / 2];
            println!(
                "{cars:>7} cars, {rows:>7} rows of the log, {}: {:>8.1} ms ({:.1} to {:.1}), {:.2} µs a car",
                if written {
                    "statements written"
                } else {
                    "the split alone"
                },
                milliseconds(median),
                milliseconds(times[0]),
                milliseconds(times[RUNS - 1]),
                median.as_secs_f64() * 1e6 / cars as f64,
            );
        }
    }
}

fn pay(folder: &Path, written: bool) -> Duration {
    let out = folder.join("out");
    let start = Instant::now();
    let mut command = Command::new(env!("CARGO_BIN_EXE_hailyard"));
    command.arg("pay").arg(folder);
    if written {
        command.arg("--out").arg(&out);
    }
    let status = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the program runs");
    assert!(status.success(), "split without an error");
    start.elapsed()
}

//! How long `hailyard price --no-lines --out` takes as a whole process, and
//! how it grows: `cargo bench`. The lots are invented and seeded: about 11.5
//! panel rows a car on the demo insurer's kind of card.

mod lot;

use lot::{milliseconds, write_lot};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 7;
const SIZES: [usize; 4] = [300, 3_000, 30_000, 100_000];

fn main() {
    println!("whole process, median of {RUNS} runs, fastest and slowest beside it");
    for cars in SIZES {
        let folder = tempfile::TempDir::new().expect("a temporary folder");
        let rows = write_lot(folder.path(), cars);
        let mut times: Vec<Duration> = (0..RUNS).map(|_| price(folder.path())).collect();
        times.sort();
        let median = times[RUNS / 2];
        println!(
            "{cars:>7} cars, {rows:>8} rows: {:>8.1} ms ({:.1} to {:.1}), {:.2} µs a car",
            milliseconds(median),
            milliseconds(times[0]),
            milliseconds(times[RUNS - 1]),
            median.as_secs_f64() * 1e6 / cars as f64,
        );
    }
}

fn price(folder: &Path) -> Duration {
    let out = folder.join("out");
    let start = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_hailyard"))
        .args(["price", "--no-lines", "--out"])
        .arg(&out)
        .arg(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the program runs");
    assert!(status.success(), "priced without an error");
    start.elapsed()
}

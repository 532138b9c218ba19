//! How long `hailyard storm` takes as a whole process for each kind of handout
//! of 3,000 cars, and for all of them: `cargo bench --bench handouts`.

mod lot;

use lot::{milliseconds, write_lot};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 5;
const CARS: usize = 3_000;

fn main() {
    let folder = tempfile::TempDir::new().expect("a temporary folder");
    let rows = write_lot(folder.path(), CARS);
    println!("{CARS} cars, {rows} rows; whole process, median of {RUNS} runs");
    for only in [
        "html",
        "pdf",
        "xlsx",
        "text",
        "tables",
        "html,pdf,xlsx,text,tables",
    ] {
        let mut times: Vec<Duration> = (0..RUNS)
            .map(|_| {
                let out = folder.path().join("out");
                let start = Instant::now();
                let status = Command::new(env!("CARGO_BIN_EXE_hailyard"))
                    .args(["storm", "--only", only, "--out"])
                    .arg(&out)
                    .arg(folder.path())
                    .stdout(Stdio::null())
                    .stderr(Stdio::null())
                    .status()
                    .expect("the program runs");
                assert!(status.success(), "written without an error");
                start.elapsed()
            })
            .collect();
        times.sort();
        println!(
            "{only:>26}: {:>8.1} ms ({:.1} to {:.1})",
            milliseconds(times[RUNS / 2]),
            milliseconds(times[0]),
            milliseconds(times[RUNS - 1]),
        );
    }
}

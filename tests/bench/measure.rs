//! Whole processes by the clock and by their memory.

use super::lot::milliseconds;
use std::fmt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// How often everything is timed.
pub const RUNS: usize = 5;

/// The times of all runs, in order.
pub struct Times([Duration; RUNS]);

impl Times {
    /// Times something again and again.
    pub fn of(mut once: impl FnMut()) -> Times {
        let mut times = [Duration::ZERO; RUNS];
        for time in &mut times {
            let start = Instant::now();
            once();
            *time = start.elapsed();
        }
        times.sort();
        Times(times)
    }

    /// The median in seconds.
    pub fn median(&self) -> f64 {
        self.0[RUNS / 2].as_secs_f64()
    }
}

/// The median with the fastest and the slowest run.
impl fmt::Display for Times {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [fastest, _, median, _, slowest] = self.0.map(milliseconds);
        write!(out, "{median:.1} ms ({fastest:.1} to {slowest:.1})")
    }
}

/// The program on a folder, with what it says to nobody.
pub fn hailyard(folder: &Path, command: &str, how: &[&str]) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_hailyard"));
    program
        .arg(command)
        .args(how)
        .arg("--out")
        .arg(folder.join("out"))
        .arg(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    program
}

/// Runs it to its end.
pub fn run(program: &mut Command) {
    let status = program.status().expect("the program runs");
    assert!(status.success(), "done without an error");
}

/// The most memory that a run of its own held at once, in MiB, where the system
/// says so (Linux). It is asked every millisecond, so what is taken in the last
/// one is missed; hence no run that is timed is asked.
pub fn peak(program: &mut Command) -> Option<u64> {
    let mut child = program.spawn().expect("the program runs");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = None;
    loop {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        peak = high_water(&text).or(peak);
        if let Some(status) = child.try_wait().expect("the program ends") {
            assert!(status.success(), "done without an error");
            return peak.map(|kib| kib / 1024);
        }
        std::thread::sleep(Duration::from_millis(1));
    }
}

/// The high-water mark of resident memory in KiB.
fn high_water(status: &str) -> Option<u64> {
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// A peak as the table has it.
pub fn mebibytes(peak: Option<u64>) -> String {
    peak.map_or("not known here".to_owned(), |mib| format!("{mib} MiB"))
}

/// A number with its thousands set apart.
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

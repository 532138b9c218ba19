//! Outputs survive faults: a killed process, a full disk. A reader sees the old
//! report or the new one, never half of one.

use crate::builder::{Folder, OneCar};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

const NAMES: [&str; 6] = [
    "lines.csv",
    "cars.csv",
    "totals.csv",
    "lines.parquet",
    "cars.parquet",
    "totals.parquet",
];

fn price(storm: &Path, out: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hailyard"));
    command
        .arg("price")
        .arg(storm)
        .arg("--out")
        .arg(out)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

fn reports(out: &Path) -> BTreeMap<&'static str, Vec<u8>> {
    NAMES
        .into_iter()
        .map(|name| (name, std::fs::read(out.join(name)).expect("a report")))
        .collect()
}

/// A storm of some hundred cars whose counts differ by `seed`.
fn storm(seed: u32) -> Folder {
    let mut sheet = String::from("stock,panel,dime,nickel\n");
    for car in 0..400 {
        for panel in ["hood", "roof", "decklid", "fender-l"] {
            sheet.push_str(&format!(
                "C{car},{panel},{},{}\n",
                (car + seed) % 40,
                (car * seed) % 37
            ));
        }
    }
    OneCar::new(&sheet).folder()
}

/// Killed at 200 seeded moments while new reports replace old ones.
#[test]
fn a_killed_process_leaves_every_report_old_or_new() {
    let (old_storm, new_storm) = (storm(1), storm(2));
    let out = Folder::new();
    let run = |folder: &Folder| {
        let status = price(folder.path(), out.path()).status().expect("runs");
        assert!(status.success());
        reports(out.path())
    };
    let new = run(&new_storm);
    let start = std::time::Instant::now();
    let old = run(&old_storm);
    let whole = start.elapsed();
    assert!(NAMES.iter().all(|name| old[name] != new[name]));
    let mut state = 200_u64;
    let (mut early, mut mixed, mut done) = (0, 0, 0);
    for _ in 0..200 {
        state = state * 16_807 % 2_147_483_647;
        // Moments over the whole run, more of them near its end, where files are written.
        let part =
            1.0 - (f64::from(u32::try_from(state % 1_000).expect("small")) / 1_000.0).powi(2);
        let mut child = price(new_storm.path(), out.path()).spawn().expect("runs");
        std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * part));
        let _ = child.kill();
        let _ = child.wait();
        let found = reports(out.path());
        let of_new = NAMES
            .iter()
            .filter(|name| {
                let bytes = &found[**name];
                assert!(
                    *bytes == new[**name] || *bytes == old[**name],
                    "{name} is neither old nor new"
                );
                *bytes == new[**name]
            })
            .count();
        match of_new {
            0 => early += 1,
            count if count == NAMES.len() => done += 1,
            _ => mixed += 1,
        }
        for name in NAMES {
            std::fs::write(out.path().join(name), &old[name]).expect("written back");
        }
    }
    assert!(early > 0, "{early} early, {mixed} between, {done} done");
}

/// A report that cannot be put in its place: status 3, and nothing left beside it.
#[test]
fn what_cannot_be_put_in_place_ends_with_3_and_leaves_no_litter() {
    let out = Folder::new().file("lines.csv", "old");
    // A folder stands where the report should be.
    std::fs::create_dir(out.path().join("cars.csv")).expect("a folder");
    let status = price(storm(3).path(), out.path()).status().expect("runs");
    assert_eq!(status.code(), Some(3));
    assert!(out.path().join("cars.csv").is_dir());
    let left: Vec<String> = std::fs::read_dir(out.path())
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|name| {
            std::path::Path::new(name)
                .extension()
                .is_some_and(|end| end == "part")
        })
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

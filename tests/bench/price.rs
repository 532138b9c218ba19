//! How long `hailyard price --no-lines --out` takes as a whole process, and
//! how it grows: `cargo bench`. The lots are invented and seeded: about 11.5
//! panel rows a car on the demo insurer's kind of card.

use std::fmt::Write;
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

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
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

/// Park and Miller's minimal standard generator: seeded, the same anywhere.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        self.0 % end
    }
}

const PANELS: [(&str, u64, u64); 16] = [
    ("hood", 98, 60),
    ("roof", 98, 80),
    ("decklid", 40, 40),
    ("liftgate", 50, 15),
    ("fender-l", 90, 14),
    ("fender-r", 85, 10),
    ("rail-l", 90, 16),
    ("rail-r", 88, 14),
    ("door-fl", 85, 12),
    ("door-rl", 70, 8),
    ("door-fr", 75, 8),
    ("door-rr", 60, 6),
    ("quarter-l", 75, 12),
    ("quarter-r", 70, 8),
    ("pillar-l", 20, 3),
    ("sunroof", 15, 5),
];
const BODIES: [&str; 5] = ["sedan", "suv", "hatch", "pickup", "wagon"];
const METALS: [&str; 4] = ["", "steel", "aluminium", "high-strength"];

/// Writes a storm of so many cars; returns its panel rows.
fn write_lot(folder: &Path, cars: usize) -> usize {
    let mut draw = Draw(20_260_611);
    let mut list = String::from("stock,body,payer,value,row\n");
    let mut counts =
        String::from("stock,panel,dime,nickel,quarter,half-dollar,metal,oversize,remove\n");
    let mut rows = 0;
    for car in 0..cars {
        let body = BODIES[draw.below(5) as usize];
        let payer = ["Harl Cover", "Ostrel Fleet"][draw.below(2) as usize];
        let value = 4_000 + draw.below(40_000);
        let _ = writeln!(list, "C{car:06},{body},{payer},{value}.00,R{}", car / 40);
        for (panel, chance, most) in PANELS {
            if draw.below(100) >= chance {
                continue;
            }
            rows += 1;
            let dents: Vec<u64> = [most, most / 2 + 1, most / 4 + 1, most / 12 + 1]
                .into_iter()
                .map(|most| draw.below(most + 1))
                .collect();
            let metal = METALS[draw.below(4) as usize];
            let oversize = if draw.below(100) == 0 {
                "38; 52 x2"
            } else {
                ""
            };
            let remove = if draw.below(100) == 0 {
                "headliner"
            } else {
                ""
            };
            let _ = writeln!(
                counts,
                "C{car:06},{panel},{},{},{},{},{metal},{oversize},{remove}",
                dents[0], dents[1], dents[2], dents[3]
            );
        }
    }
    let terms = "rate_card = \"rates/card.toml\"\ndiscount = [{ on = [\"dents\"], percent = \"5\" }]\nlot_discount = [{ cars_at_least = 25, percent = \"2\" }]\nminimum = \"150.00\"\ntax = [{ name = \"state\", percent = \"8.25\", on = [\"parts\", \"extra\"] }]\ndeductible = \"500.00\"\ndeductible_event_max = \"90000.00\"\n";
    let storm = format!(
        "name = \"Bench\"\ndate = 2026-06-11\ncurrency = \"USD\"\nunit = \"mm\"\n[[payer]]\nname = \"Harl Cover\"\n{terms}[[payer]]\nname = \"Ostrel Fleet\"\n{terms}"
    );
    std::fs::create_dir_all(folder.join("rates")).expect("a folder");
    std::fs::create_dir_all(folder.join("counts")).expect("a folder");
    let card = include_str!("../../data/cards/coins.toml");
    for (path, text) in [
        ("storm.toml", storm.as_str()),
        ("rates/card.toml", card),
        ("vehicles.csv", &list),
        ("counts/lot.csv", &counts),
    ] {
        std::fs::write(folder.join(path), text).expect("a file");
    }
    rows
}

//! Invented, seeded lots for the benchmarks.

use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

/// A time in milliseconds.
pub fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// Park and Miller's minimal standard generator: seeded, the same anywhere.
pub struct Draw(pub u64);

impl Draw {
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        self.0 % end
    }
}

pub const PANELS: [(&str, u64, u64); 16] = [
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
pub fn write_lot(folder: &Path, cars: usize) -> usize {
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

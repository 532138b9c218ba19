//! Invented, seeded lots for the benchmarks.

use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

/// A time in milliseconds.
pub fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
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

/// Writes a crew of 40 and a log of 12 rows a car beside a lot; returns its rows.
#[allow(dead_code)] // the other benchmarks have no crew
pub fn write_crew(folder: &Path, cars: usize) -> usize {
    let mut draw = Draw(20_260_615);
    let mut crew = String::from("name,pay,guarantee,employee\n");
    for person in 0..40 {
        let pay = ["45%", "40% + 6.50/h", "38.00/h", "30% + 20.00/car"][person % 4];
        let least = if person % 5 == 0 { "160.00" } else { "" };
        let _ = writeln!(crew, "Person {person},{pay},{least},");
    }
    let mut work = String::from("date,stock,panel,person,trade,hours,part,redo\n");
    let mut rows = 0;
    // 12 rows a car and 40 cars a day: nobody has more than 24 hours.
    for car in 0..cars {
        let day = car / 40;
        let (month, day) = (day / 28 % 12 + 1, day % 28 + 1);
        let year = 2026 + car / (40 * 28 * 12);
        let first = draw.below(40);
        let mut push = |panel: &str, person: u64, trade: &str, rest: &str, day: usize| {
            let _ = writeln!(
                work,
                "{year}-{month:02}-{day:02},C{car:06},{panel},Person {},{trade},{rest}",
                person % 40
            );
            rows += 1;
        };
        for (at, (panel, _, _)) in PANELS.iter().take(7).enumerate() {
            push(panel, first + at as u64 % 2, "", "0.5,,", day);
        }
        push("roof", first + 2, "", "0.25,1/3,", day);
        push("", first + 3, "", "0.75,,", day);
        push("", first + 4, "strip", "0.5,,", day);
        push("", first + 4, "fit", "0.5,,", day);
        push("", first + 5, "finish", "0.5,,", day);
    }
    std::fs::write(folder.join("crew.csv"), crew).expect("a file");
    std::fs::write(folder.join("work.csv"), work).expect("a file");
    let path = folder.join("storm.toml");
    let storm = std::fs::read_to_string(&path).expect("the storm");
    let shares = "[[share]]\nto = \"the lot\"\nof = \"dents\"\npercent = \"22\"\n[[share]]\nto = \"finder\"\nof = \"dents_left\"\npercent = \"8\"\n";
    std::fs::write(path, format!("{storm}{shares}")).expect("a file");
    rows
}

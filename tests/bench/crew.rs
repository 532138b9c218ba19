//! An invented, seeded crew with its log.

use super::lot::{Draw, PANELS};
use std::fmt::Write;
use std::path::Path;

/// Writes a crew of 40 and a log of 12 rows a car beside a lot; returns its rows.
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

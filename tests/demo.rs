//! The built-in demo and its committed reports.

use crate::builder::{Tables, hailyard};
use hailyard::cli::Exit;
use polars::prelude::*;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;

fn committed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/brindle-flats-2026")
}

/// The demo's reports made now, once for all tests.
fn made() -> &'static (TempDir, String, String) {
    static MADE: OnceLock<(TempDir, String, String)> = OnceLock::new();
    MADE.get_or_init(|| {
        let out = TempDir::new().expect("a temporary folder");
        let ran = hailyard(&["storm", "--out", out.path().to_str().expect("a path")]);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        (out, ran.out, ran.err)
    })
}

#[test]
fn the_committed_reports_are_what_the_tool_makes_byte_for_byte() {
    for name in [
        "lines.csv",
        "cars.csv",
        "totals.csv",
        "summary.txt",
        "car-sheets.txt",
        "problems.txt",
        "index.html",
        "storm.html",
        "car-sheets.html",
        "cars/47101.html",
        "cars/47136.html",
        "forecast.csv",
        "forecast.txt",
        "forecast.html",
        "staff.csv",
        "staff.txt",
        "staff.html",
        "pay.csv",
        "pay.txt",
        "pay.html",
        "statements/Petra Lunt.csv",
        "statements/Petra Lunt.html",
        "receivables.csv",
        "receivables.txt",
        "receivables.html",
        "close.csv",
        "close.txt",
        "close.html",
    ] {
        let found = std::fs::read(made().0.path().join(name)).expect("made");
        let expected = std::fs::read(committed().join(name)).expect("committed");
        assert!(
            found == expected,
            "{name} is stale: `cargo run --release -- storm` makes it anew"
        );
    }
}

/// A Parquet file's bytes depend on the library's version, so its content is compared.
#[test]
fn the_committed_parquet_files_hold_what_the_tool_makes() {
    let read = |path: PathBuf| {
        let file = std::fs::File::open(&path).expect("a file");
        ParquetReader::new(file).finish().expect("Parquet")
    };
    for name in ["lines", "cars", "totals"] {
        let name = format!("{name}.parquet");
        let found = read(made().0.path().join(&name));
        let expected = read(committed().join(&name));
        assert_eq!(found.schema(), expected.schema(), "{name}");
        assert!(found.equals_missing(&expected), "{name}");
    }
}

#[test]
fn a_run_twice_gives_the_same_bytes() {
    let again = TempDir::new().expect("a temporary folder");
    let ran = hailyard(&["storm", "--out", again.path().to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Done);
    let mut compared = 0;
    for folder in [again.path().to_owned(), again.path().join("cars")] {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                continue;
            }
            let name = path.strip_prefix(again.path()).expect("inside");
            let first = std::fs::read(made().0.path().join(name)).expect("made before");
            assert!(
                std::fs::read(&path).expect("a file") == first,
                "{name:?} differs"
            );
            compared += 1;
        }
    }
    // 60 cars and the files beside their folder.
    assert!(compared > 70, "{compared}");
}

/// What the crew's two weeks are there to show, each by hand.
#[test]
fn the_crews_weeks_worked_by_hand() {
    let rows = |person: &str| -> Vec<String> {
        let path = made().0.path().join(format!("statements/{person}.csv"));
        let rows = crate::builder::read_csv(&path);
        rows.iter().map(|row| row.join("|")).collect()
    };
    let expected = [
        // A guarantee that bites: 6 x 215.00 = 1,290.00 less 856.59; with a
        // charge-back of 85.00 the week is paid with 1,205.00.
        "Petra Lunt|2026-06-15|2026-06-20|guarantee||||||||433.41|6 days x 215.00 - 856.59",
        "Petra Lunt|2026-06-15|2026-06-17|charge-back||||||||-85.00|a tail lamp dropped",
        "Petra Lunt|2026-06-15||balance||||||||0.00|",
        // An advance: 1,571.57 of the first week less 250.00.
        "Ivo Brenning|2026-06-15|2026-06-20|payment||||||||-1321.57|first week",
        // A quarter of 338.53 done again, 84.63 (84.6325): 36 % of 338.53 is
        // 121.87, of the 253.90 left 91.40; 45 % of 84.63 is 38.08.
        "Ivo Brenning|2026-06-22|2026-06-23|redo-charge|47108|roof|dents||338.53|-84.63|36%|-30.47|done again by Odile Sarn",
        "Odile Sarn|2026-06-22|2026-06-23|redo|47108|roof|dents||338.53|84.63|45%|38.08|",
        // A supplement of 96.00 agreed after the first week was paid: less 9 and
        // 3.25 % 84.24, less the lot's 12 and the finder's 5 % 70.42, 45 % of it.
        "Wystan Farrow|2026-06-22||carried||||||||31.69|",
    ];
    for row in expected {
        let person = row.split('|').next().unwrap_or_default();
        assert!(rows(person).iter().any(|found| found == row), "{row}");
    }
    // A panel that nobody logged.
    let pay = crate::builder::read_csv(&made().0.path().join("pay.csv"));
    let forgotten = pay
        .iter()
        .find(|row| row[0] == "47116" && row[3] == "unearned");
    assert_eq!(forgotten.expect("not yet earned")[1], "rail-l");
}

/// What its bills and receipts are there to show, each by hand.
#[test]
fn the_bills_and_receipts_worked_by_hand() {
    let rows = crate::builder::read_csv(&made().0.path().join("receivables.csv"));
    let cell = |stock: &str, column: &str| -> String {
        let at = rows[0].iter().position(|name| name == column);
        let row = rows.iter().find(|row| row[0] == stock).expect("a car");
        row[at.expect("a column")].clone()
    };
    for (stock, column, expected) in [
        // A short payment: bill 102 of 11 cars is 10,796.12, and 10,486.17 came; what
        // lacks, 309.95, is open on its last car.
        ("47111", "payer_open", "309.95"),
        ("47110", "payer_open", "0.00"),
        // An over-payment: 1,319.96 for 819.96, since the owner's 500.00 were not taken off.
        ("47131", "payer_open", "-500.00"),
        ("47131", "owner_open", "500.00"),
        // A supplement of 65.12 beside 1,400.00, billed later and open.
        ("47108", "approved", "1465.12"),
        ("47108", "payer_open", "65.12"),
        // 2,166.18 priced, 2,050.00 approved, 500.00 of it the owner's.
        ("47128", "payer_billed", "1550.00"),
        // An owner who has paid 300.00 of 500.00.
        ("47124", "owner_open", "200.00"),
        ("47112", "state", "refused"),
        // Approved, but the quote is open.
        ("47136", "state", "quote"),
        ("47136", "payer_billed", "0.00"),
    ] {
        assert_eq!(cell(stock, column), expected, "{stock} {column}");
    }
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo/bills.csv");
    let bills = crate::builder::read_csv(&demo);
    let kinds = ["bill", "supplement", "credit"];
    for kind in kinds {
        assert!(bills.iter().any(|row| row[3] == kind), "{kind}");
    }
}

/// Car 47122, worked by hand from the insurer's card and terms.
#[test]
fn one_car_worked_by_hand() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let tables = Tables::of(&demo);
    let expected = [
        // 14 + 22 + 9 = 45 dents, mostly nickel, band 43-64
        "hood|dents|dents nickel|45|198.80",
        // 37.5 mm: 1 x 31.50; 52 mm: 1 x 49.75
        "hood|dents|oversize to 38 mm|1|31.50",
        "hood|dents|oversize to 56 mm|1|49.75",
        // 22 % x (198.80 + 81.25) = 61.611
        "hood|dents|uplift aluminium panel||61.61",
        // 41 + 30 + 6 + 1 = 78, mostly dime, band 65-95
        "roof|dents|dents dime|78|211.70",
        // 11 % x 211.70 = 23.287
        "roof|dents|uplift tall roof||23.29",
        // 5 + 2 = 7, band 4-8; the 2 prior dents are not priced
        "fender-l|dents|dents dime|7|57.20",
        // the rails' own table: 3 + 5 + 2 = 10, mostly nickel, band 9-15
        "rail-l|dents|dents nickel|10|82.40",
        // 14.5 % x 82.40 = 11.948; 7.5 % x 82.40 = 6.18 on the same base
        "rail-l|dents|uplift hard steel||11.95",
        "rail-l|dents|uplift behind a brace||6.18",
        // 4 + 3 = 7, band 4-8; 14.5 % x 54.30 = 7.8735
        "rail-r|dents|dents dime|7|54.30",
        "rail-r|dents|uplift hard steel||7.87",
        // auto, 78 >= 24: 3.55 h x 56.40 = 200.22
        "|removal|headliner|1|200.22",
        "|parts|headliner|1|17.60",
        // auto, 45 + 2 >= 10: 0.25 h x 56.40 = 14.10
        "|removal|hood-liner|1|14.10",
        "|parts|hood-liner|1|5.20",
        // in the headliner
        "|removal|roof-antenna|1|0.00",
        // three panels list it, once: 0.85 h x 56.40 = 47.94
        "|removal|roof-bars|1|47.94",
        "|extra|cover and wash|1|21.50",
        "hood|extra|edge sealing|1|5.40",
        "roof|extra|edge sealing|1|5.40",
        "fender-l|extra|edge sealing|1|5.40",
        "rail-l|extra|edge sealing|1|5.40",
        "rail-r|extra|edge sealing|1|5.40",
        // dents 341.66 + 234.99 + 57.20 + 100.53 + 62.17 = 796.55;
        // (3.5 + 1.75) % x 796.55 = 41.818875
        "|dents|discount||-41.82",
        // parts 22.80 + extra 48.50 = 71.30: 6.35 % = 4.52755, 1.2 % = 0.8556
        "|tax|tax state||4.53",
        "|tax|tax county||0.86",
    ];
    assert_eq!(tables.lines("47122"), expected);
    // 754.73 + 262.26 + 22.80 + 48.50 + 5.39
    assert_eq!(tables.car("47122", "total"), "1093.68");
    assert_eq!(tables.car("47122", "owner_pays"), "500.00");
    assert_eq!(tables.car("47122", "payer_pays"), "593.68");
}

/// What the demo is there to show does occur in it.
#[test]
fn the_demo_shows_every_feature() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo");
    let tables = Tables::of(&demo);
    assert_eq!(tables.rows("cars").len(), 61);
    let has = |table: &str, wanted: &dyn Fn(&[String]) -> bool| {
        tables.rows(table)[1..].iter().any(|row| wanted(row))
    };
    for status in ["priced", "quote", "nothing", "uncounted"] {
        assert!(has("cars", &|row| row[2] == status), "{status}");
    }
    for item in [
        "limit",
        "minimum",
        "conventional",
        "oversize above 80 mm",
        "uplift aluminium panel",
        "uplift tall roof",
    ] {
        let found = has("lines", &|row| row[3] == item);
        let items: std::collections::BTreeSet<&str> = tables
            .rows("lines")
            .iter()
            .map(|row| row[3].as_str())
            .collect();
        assert!(
            found || item.starts_with("oversize above"),
            "{item} in {items:?}"
        );
    }
    assert!(has("lines", &|row| row[3].starts_with("oversize above")
        && row[5].is_empty()));
    assert!(has("lines", &|row| row[3].starts_with("oversize above")
        && row[6].starts_with("agreed")));
    assert!(has("lines", &|row| row[6].starts_with("referred over limit")));
    assert!(has("lines", &|row| row[6]
        .starts_with("referred count above grid")));
    assert!(has("lines", &|row| row[6].starts_with("in ")));
    assert!(has("cars", &|row| row[16] == "total-loss"));
    // The owners of the insurer's cars reach the event maximum: the car that
    // crosses it pays partly, later ones nothing.
    assert_eq!(
        tables.total("payer", "Quillfeather Insurance", "owner_pays"),
        "8700.00"
    );
    assert_eq!(tables.car("47139", "owner_pays"), "762.56");
    assert_eq!(tables.car("47140", "owner_pays"), "0.00");
}

//! `[pay] on = "received"`, worked by hand: hood 100.00 and roof 60.00 on car A,
//! Ada has 50 % of the hood she did, Ben 40 % of the roof.

use crate::builder::{Folder, OneCar, hailyard, read_csv};
use hailyard::cli::Exit;
use std::path::Path;
use tempfile::TempDir;

fn storm(received: &str) -> Folder {
    let car = OneCar::new("stock,panel,dime\nA,hood,10\nA,roof,3\n")
        .card_with(
            r#"dime = ["10.00", "20.00", "30.00"]"#,
            r#"dime = ["60.00", "100.00", "30.00"]"#,
        )
        .terms("deductible = \"50.00\"\n[pay]\non = \"received\"\n");
    car.folder()
        .file("crew.csv", "name,pay\nAda,50%\nBen,40% + 1.00/h\n")
        .file(
            "work.csv",
            "date,stock,panel,person,trade,hours\n2026-06-15,A,hood,Ada,,2\n2026-06-16,A,roof,Ben,,3\n",
        )
        .file("received.csv", format!("date,stock,from,amount,note\n{received}"))
}

/// `panel|receiver|kind|amount` of pay.csv, and statements' `date|kind|amount|note`.
#[track_caller]
fn paid(folder: &Path) -> (Vec<String>, Vec<String>) {
    let out = TempDir::new().expect("a folder");
    let path = |path: &Path| path.to_str().expect("a path in UTF-8").to_owned();
    let ran = hailyard(&["pay", &path(folder), "--out", &path(out.path())]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let rows = read_csv(&out.path().join("pay.csv"));
    let rows = rows[1..].iter().map(|row| row[1..].join("|")).collect();
    let statement = read_csv(&out.path().join("statements/Ada.csv"));
    let lines = statement[1..]
        .iter()
        .map(|row| [1, 2, 3, 11, 12].map(|at| row[at].clone()).join("|"))
        .collect();
    (rows, lines)
}

/// Nothing came in: the hours are owed all the same, and the house lacks them.
/// Awaited: Ada 50.00, Ben 24.00, the house 160.00 - 74.00 = 86.00.
#[test]
fn nothing_is_payable_before_anything_came_in() {
    let (rows, lines) = paid(storm("").path());
    assert_eq!(
        rows,
        [
            "hood|Ada|awaiting|50.00",
            "hood|house|house|50.00",
            "roof|Ben|person|3.00",
            "roof|Ben|awaiting|24.00",
            "roof|house|house|33.00",
            "|house|house|-86.00",
            "|house|awaiting|86.00",
        ]
    );
    assert!(lines.is_empty(), "{lines:?}");
}

/// 40.00 of 160.00, a quarter, from owner and payer together on two days: Ada 12.50,
/// Ben 6.00; the house 40.00 - 12.50 - 6.00 = 21.50 less 3.00 for hours.
#[test]
fn a_quarter_of_the_price_pays_a_quarter_of_each_pool() {
    let folder = storm("2026-06-20,A,owner,30.00,\n2026-06-22,A,,10.00,\n");
    let (rows, lines) = paid(folder.path());
    assert_eq!(
        rows,
        [
            "hood|Ada|person|12.50",
            "hood|Ada|awaiting|37.50",
            "hood|house|house|50.00",
            "roof|Ben|person|9.00",
            "roof|Ben|awaiting|18.00",
            "roof|house|house|33.00",
            "|house|house|-64.50",
            "|house|awaiting|64.50",
        ]
    );
    // 30 / 160 of 50.00 = 9.375: 9.37 on the day it came; then 12.50.
    assert_eq!(
        lines,
        [
            "2026-06-15||carried|0.00|",
            "2026-06-15|2026-06-20|came-in|9.37|50.00 earned, 30.00 of 160.00 came in",
            "2026-06-15||balance|9.37|",
            "2026-06-22||carried|9.37|",
            "2026-06-22|2026-06-22|came-in|3.13|50.00 earned, 40.00 of 160.00 came in",
            "2026-06-22||balance|12.50|",
        ]
    );
}

/// What came in before the work waits for the work: on its day all that is payable.
#[test]
fn money_before_the_work_is_payable_once_it_is_done() {
    let folder = storm("2026-06-01,A,,80.00,\n2026-07-01,A,,500.00,\n");
    let (rows, lines) = paid(folder.path());
    assert!(rows.iter().all(|row| !row.contains("awaiting")), "{rows:?}");
    assert_eq!(
        lines,
        [
            "2026-06-15||carried|0.00|",
            "2026-06-15|2026-06-15|work|25.00|50.00 earned, 80.00 of 160.00 came in",
            "2026-06-15||balance|25.00|",
            "2026-06-29||carried|25.00|",
            "2026-06-29|2026-07-01|came-in|25.00|50.00 earned, 160.00 of 160.00 came in",
            "2026-06-29||balance|50.00|",
        ]
    );
}

/// A cheque that bounced takes back what it had made payable.
#[test]
fn money_that_goes_back_is_not_payable_any_more() {
    let folder = storm("2026-06-20,A,,80.00,\n2026-06-22,A,,-80.00,bounced\n");
    let (_, lines) = paid(folder.path());
    assert_eq!(
        lines[3..],
        [
            "2026-06-22||carried|25.00|",
            "2026-06-22|2026-06-22|came-in|-25.00|50.00 earned, 0.00 of 160.00 came in",
            "2026-06-22||balance|0.00|",
        ]
    );
}

/// Shares off the top wait as well: 10 % of dents is 16.00, of 40.00 in 4.00.
#[test]
fn shares_wait_in_proportion_too() {
    let folder = storm("2026-06-20,A,,40.00,\n");
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("storm.toml");
    let share = "[[share]]\nto = \"lot\"\nof = \"dents\"\npercent = \"10\"\n";
    let folder = folder.file("storm.toml", toml + share);
    let (rows, _) = paid(folder.path());
    assert_eq!(rows[..2], ["|lot|share|4.00", "|lot|awaiting|12.00"]);
    // Pools of 90.00 and 54.00: Ada 45.00, a quarter 11.25.
    assert_eq!(
        rows[2..4],
        ["hood|Ada|person|11.25", "hood|Ada|awaiting|33.75"]
    );
}

/// Errors in receipts stop a split that hangs on them, and no other.
#[test]
fn a_faulty_receipt_stops_a_split_that_goes_by_it() {
    let folder = storm("2026-06-20,X,,80.00,\n");
    let ran = hailyard(&["pay", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("received.csv, row 2, stock: found `X`"),
        "{}",
        ran.err
    );
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("storm.toml");
    let folder = folder.file("storm.toml", toml.replace("\"received\"", "\"work\""));
    let ran = hailyard(&["pay", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
}

/// Of receipts at fault no accounts are made either, whatever else is left out.
#[test]
fn a_faulty_receipt_leaves_no_accounts() {
    let folder = storm("2026-06-20,X,,80.00,\n2026-06-20,A,,40.00,\n");
    let out = TempDir::new().expect("a folder");
    let path = out.path().to_str().expect("a path");
    let args = [
        "storm",
        &folder.arg(),
        "--without-bad",
        "--only",
        "tables",
        "--out",
        path,
    ];
    let ran = hailyard(&args);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("no accounts of bills and receipts"),
        "{}",
        ran.err
    );
    assert!(out.path().join("cars.csv").exists());
    for name in ["receivables.csv", "close.csv", "pay.csv"] {
        assert!(!out.path().join(name).exists(), "{name}");
    }
}

/// The page shows what everyone awaits, and its tables foot: what is in is 40.00.
#[test]
fn the_page_shows_what_is_awaited() {
    let folder = storm("2026-06-20,A,,40.00,\n");
    let ran = hailyard(&["pay", &folder.arg()]);
    for said in [
        "Percentages and shares are payable as money comes in for the car.",
        "awaited: the car's price has not come in yet",
        "awaited",
    ] {
        assert!(ran.out.contains(said), "{said}\n{}", ran.out);
    }
    let ran = hailyard(&["pay", &folder.arg(), "--person", "Ada"]);
    assert!(ran.out.contains("earned and awaited 37.50"), "{}", ran.out);
    let ran = hailyard(&["pay", &folder.arg(), "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    // 37.50 + 18.00 + 64.50
    assert_eq!(json["awaiting"], "120.00");
    assert_eq!(json["people"][0]["awaiting"], "37.50");
}

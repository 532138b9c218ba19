//! Commands, exit statuses, files written.

use crate::builder::{Folder, OneCar, data, hailyard, hailyard_wide};
use hailyard::cli::{Exit, Streams, run};
use std::ffi::OsString;
use std::io;

const SHEET: &str = "stock,panel,dime,nickel\nA1,hood,3,4\nA1,roof,12,0\nB2,hood,0,9\n";

#[test]
fn a_lone_count_sheet_is_priced_on_the_example_card_and_the_first_line_says_so() {
    let folder = Folder::new().file("monday.csv", SHEET);
    let sheet = folder.path().join("monday.csv");
    let ran = hailyard(&["price", sheet.to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let first = ran.out.lines().next().expect("a line");
    assert!(
        first.ends_with("monday.csv, without a storm: priced on the built-in example card"),
        "{first}"
    );
    // 7 dents, mostly nickel: 69.00; 12 dime: 74.00; two panels of wax 13.00.
    // A1: 156.00. B2: 9 nickel 69.00 + 6.50 = 75.50.
    assert!(ran.out.contains("231.50"), "{}", ran.out);
}

#[test]
fn wrong_usage_and_missing_folders_end_with_2() {
    let empty = Folder::new();
    for args in [
        vec!["price", "/nowhere/at/all"],
        vec!["frobnicate"],
        vec!["price", "--no-such-flag"],
        vec!["car"],
        vec!["storm", empty.path().to_str().expect("a path")],
        vec!["price", "--card", "/nowhere/card.toml"],
        vec!["car", "no-such-stock"],
    ] {
        let ran = hailyard(&args);
        assert_eq!(ran.exit, Exit::Usage, "{args:?}");
        assert!(!ran.err.is_empty(), "{args:?}");
    }
}

#[test]
fn a_mistyped_stock_is_offered_the_nearest() {
    let ran = hailyard(&["car", "4712"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(ran.err.contains("no car 4712"), "{}", ran.err);
    assert!(ran.err.contains("probably 471"), "{}", ran.err);
}

#[test]
fn help_version_completions_and_manual_end_with_0() {
    for args in [
        vec!["--help"],
        vec!["--version"],
        vec!["price", "--help"],
        vec!["completions", "bash"],
        vec!["completions", "zsh"],
        vec!["completions", "fish"],
        vec!["man"],
    ] {
        let ran = hailyard(&args);
        assert_eq!(ran.exit, Exit::Done, "{args:?}: {}", ran.err);
        assert!(!ran.out.is_empty(), "{args:?}");
    }
    let manual = hailyard(&["man"]).out;
    for command in ["storm", "check", "price", "car"] {
        assert!(manual.contains(command), "{command}");
    }
}

#[test]
fn with_an_error_nothing_is_written_and_the_status_is_1() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,x\n");
    let folder = storm.folder();
    let out = Folder::new();
    let target = out.path().join("made");
    let ran = hailyard(&[
        "price",
        &folder.arg(),
        "--out",
        target.to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(!target.exists());
    assert!(
        ran.err.contains(
            "error: counts/lot.csv, row 3, dime: found `x`; expected a whole number of dents [car B2]"
        ),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("--without-bad"), "{}", ran.err);
}

#[test]
fn without_bad_prices_the_others_says_so_in_every_total_and_still_ends_with_1() {
    // Three cars reach the tier of 3; with the bad one left out it is not reached.
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\nB2,hood,x\nB2,roof,5\nC3,hood,3\n")
        .terms("lot_discount = [{ cars_at_least = 3, percent = \"50\" }]");
    let folder = storm.folder();
    let out = Folder::new();
    let ran = hailyard(&["price", &folder.arg(), "--without-bad", "--out", &out.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(ran.out.contains("without 1 car"), "{}", ran.out);
    assert!(ran.err.contains("1 car is left out: B2"), "{}", ran.err);
    let cars = std::fs::read_to_string(out.path().join("cars.csv")).expect("written");
    // B2's sound roof is not priced either: nothing is half-priced.
    assert!(!cars.contains("B2"), "{cars}");
    // 3 dime: band 1-9, 10.00 each car, no discount.
    assert!(
        cars.contains("A1,Harl Cover,priced,1,3,0,0,10.00"),
        "{cars}"
    );
}

#[test]
fn reports_never_land_in_the_storm_folder_or_its_inputs() {
    let folder = OneCar::new(SHEET).folder();
    for inner in ["", "counts", "rates", "counts/deep"] {
        let target = folder.path().join(inner);
        let ran = hailyard(&[
            "price",
            &folder.arg(),
            "--out",
            target.to_str().expect("a path"),
        ]);
        assert_eq!(ran.exit, Exit::Failed, "{inner}: {}", ran.out);
        assert!(!target.join("cars.csv").exists(), "{inner}");
    }
    assert!(!folder.path().join("counts/deep").exists());
}

#[test]
fn what_cannot_be_written_ends_with_3() {
    let folder = OneCar::new(SHEET).folder();
    let file = Folder::new().file("taken", "a file, no folder");
    let target = file.path().join("taken/reports");
    let ran = hailyard(&[
        "price",
        &folder.arg(),
        "--out",
        target.to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, Exit::Failed);
    assert!(ran.err.contains("could not write"), "{}", ran.err);
}

#[test]
fn no_table_is_wider_than_the_window() {
    for width in [60, 80, 100, 140] {
        for args in [
            vec!["price"],
            vec!["car", "47126"],
            vec!["car", "47129"],
            vec!["car", "47144"],
        ] {
            let ran = hailyard_wide(width, &args);
            for line in ran.out.lines() {
                let columns = line.chars().count();
                assert!(columns <= width, "{args:?} at {width}: {columns}: {line}");
            }
        }
    }
}

#[test]
fn how_an_amount_arose_is_shown_at_any_width() {
    let ran = hailyard_wide(70, &["car", "47122"]);
    let flat: String = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(ran.out.contains("how it arose"), "{}", ran.out);
    assert!(flat.contains("43-64"), "{}", ran.out);
}

#[test]
fn json_has_a_format_and_the_same_figures() {
    let ran = hailyard(&["price", "--json", "--no-lines"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["format"], 1);
    assert_eq!(json["counted"], 57);
    assert_eq!(json["totals"][0]["total"], "67883.96");
    assert!(json.get("lines").is_none());
    assert_eq!(json["cars"].as_array().map(Vec::len), Some(60));
    let car = hailyard(&["car", "47122", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&car.out).expect("JSON");
    assert_eq!(json["format"], 1);
    assert_eq!(json["total"], "1093.68");
    let check = hailyard(&["check", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&check.out).expect("JSON");
    assert_eq!(json["errors"], 0);
}

#[test]
fn another_card_prices_every_payer() {
    let folder = Folder::new().file("mine.toml", crate::builder::SMALL_CARD);
    let card = folder.path().join("mine.toml");
    let storm = OneCar::new(SHEET).folder();
    let ran = hailyard(&[
        "price",
        &storm.arg(),
        "--card",
        card.to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    // 7 mostly nickel: 11.00; 12 dime: 20.00; 9 nickel: 11.00.
    assert!(ran.out.contains("42.00"), "{}", ran.out);
    assert!(
        ran.out
            .lines()
            .next()
            .is_some_and(|line| line.contains("every payer on the card"))
    );
}

#[test]
fn check_prices_nothing_and_lists_what_there_is() {
    let ran = hailyard(&["check", data("storms/lot-7001").to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Done);
    assert!(ran.out.contains("0 errors, "), "{}", ran.out);
    assert!(ran.err.is_empty());
}

/// A reader that goes away.
struct Gone;

impl io::Write for Gone {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::ErrorKind::BrokenPipe.into())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_closed_pipe_is_success() {
    let mut err = Vec::new();
    let mut streams = Streams {
        out: &mut Gone,
        err: &mut err,
        width: 80,
        progress: false,
        bold: false,
    };
    let args = ["hailyard", "price"].map(OsString::from);
    assert_eq!(run(args, &mut streams), Exit::Done);
}

#[test]
fn a_storms_name_makes_a_safe_folder_name() {
    use hailyard::report::folder_name;
    for (name, folder) in [
        ("Brindle Flats 2026", "brindle-flats-2026"),
        ("../../etc", "etc"),
        ("CON", "storm-con"),
        ("lpt1", "storm-lpt1"),
        ("\u{2014}", "storm"),
        ("a/b\\c:d", "a-b-c-d"),
    ] {
        assert_eq!(folder_name(name), folder);
    }
}

#[test]
fn lone_sheets_are_not_written_over() {
    let folder = Folder::new().file("cars.csv", SHEET);
    let sheet = folder.path().join("cars.csv");
    let ran = hailyard(&[
        "price",
        sheet.to_str().expect("a path"),
        "--out",
        &folder.arg(),
    ]);
    assert_eq!(ran.exit, Exit::Failed);
    let after = std::fs::read_to_string(sheet).expect("still there");
    assert_eq!(after, SHEET);
}

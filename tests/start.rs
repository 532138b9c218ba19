//! A new storm's folder.

use crate::builder::{Folder, Tables, hailyard};
use calamine::{Data, Reader, open_workbook_auto};
use hailyard::cli::Exit;

const LOT: &str = "stock,row,body,payer\n0007,A,suv,Harl Cover\n12,A,sedan,Ostrel \"Q\" Fleet\n=13,B,van,Harl Cover\n";

#[test]
fn a_new_storm_is_made_whole_and_never_over_another() {
    let place = Folder::new();
    let folder = place.path().join("june");
    let folder_arg = folder.to_str().expect("a path");
    let ran = hailyard(&["start", folder_arg]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    for file in [
        "storm.toml",
        "rates/coins.toml",
        "rates/millimetres.toml",
        "counts/counts.xlsx",
    ] {
        assert!(folder.join(file).is_file(), "{file}");
    }
    assert!(!folder.join("vehicles.csv").exists());
    // What was made reads without an error before anything is filled in.
    let checked = hailyard(&["check", folder_arg]);
    assert_eq!(checked.exit, Exit::Done, "{}", checked.out);
    let before = std::fs::read(folder.join("storm.toml")).expect("read");
    let again = hailyard(&["start", folder_arg]);
    assert_eq!(again.exit, Exit::Usage);
    assert!(again.err.contains("not empty"), "{}", again.err);
    assert_eq!(
        std::fs::read(folder.join("storm.toml")).expect("read"),
        before
    );
}

#[test]
fn both_example_cards_price() {
    for (card, counts, expected) in [
        // 12 nickels in the coin card, band 10-19: 88.00; wax 6.50; from 10
        // dents the hood liner comes off: 0.3 h x 58.00 = 17.40
        ("coins", "stock,panel,nickel\n1,hood,12\n", "111.90"),
        // 12 of mm-23, band 9-16: 1.5 h x 64.00
        ("millimetres", "stock,panel,mm-23\n1,hood,12\n", "96.00"),
    ] {
        let place = Folder::new();
        let folder = place.path().join("june");
        hailyard(&["start", folder.to_str().expect("a path")]);
        let toml = std::fs::read_to_string(folder.join("storm.toml")).expect("read");
        std::fs::write(
            folder.join("storm.toml"),
            toml.replace("rates/coins.toml", &format!("rates/{card}.toml")),
        )
        .expect("write");
        std::fs::write(folder.join("counts/monday.csv"), counts).expect("write");
        let tables = Tables::of(&folder);
        assert_eq!(tables.car("1", "total"), expected);
    }
}

#[test]
fn a_lot_list_fills_the_workbook_in_lot_order_and_names_its_payers() {
    let place = Folder::new().file("lot.csv", LOT);
    let folder = place.path().join("june");
    let ran = hailyard(&[
        "start",
        folder.to_str().expect("a path"),
        "--lot",
        place.path().join("lot.csv").to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert_eq!(
        std::fs::read_to_string(folder.join("vehicles.csv")).expect("read"),
        LOT
    );
    let toml = std::fs::read_to_string(folder.join("storm.toml")).expect("read");
    assert_eq!(toml.matches("\n[[payer]]").count(), 2, "{toml}");
    let mut book = open_workbook_auto(folder.join("counts/counts.xlsx")).expect("a workbook");
    let sheet = book.worksheet_range("Car rows").expect("a sheet");
    let text = |row: u32, column: u32| match sheet.get_value((row, column)) {
        Some(Data::String(text)) => text.clone(),
        other => format!("{other:?}"),
    };
    assert_eq!([text(1, 0), text(2, 0), text(3, 0)], ["0007", "12", "=13"]);
    assert_eq!([text(1, 2), text(1, 3)], ["suv", "Harl Cover"]);
    // Nothing of the lot became a formula.
    let formulas = book.worksheet_formula("Car rows").expect("formulas");
    assert_eq!(
        formulas
            .used_cells()
            .filter(|(_, _, text)| !text.is_empty())
            .count(),
        0
    );
    // It reads without an error, and every car is still to be counted.
    let checked = hailyard(&["check", folder.to_str().expect("a path")]);
    assert_eq!(checked.exit, Exit::Done, "{}", checked.out);
    assert!(
        checked.out.contains("0 of 3 cars counted"),
        "{}",
        checked.out
    );
}

#[test]
fn a_faulty_lot_list_makes_nothing() {
    let place = Folder::new().file("lot.csv", "stock,body\n1,suv\n1,suv\n");
    let folder = place.path().join("june");
    let ran = hailyard(&[
        "start",
        folder.to_str().expect("a path"),
        "--lot",
        place.path().join("lot.csv").to_str().expect("a path"),
    ]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(!folder.exists());
}

#[test]
fn the_workbook_is_the_same_whenever_it_is_made() {
    let place = Folder::new();
    let make = |name: &str| {
        let folder = place.path().join(name).join("june");
        hailyard(&["start", folder.to_str().expect("a path")]);
        std::fs::read(folder.join("counts/counts.xlsx")).expect("read")
    };
    let first = make("a");
    std::thread::sleep(std::time::Duration::from_millis(2_100));
    assert_eq!(first, make("b"));
}

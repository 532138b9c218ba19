//! A blank stock that is the one above: across whatever lies between, but not
//! into another sheet; and what is not above.

use super::faults::quiet;
use super::planted::Planted;
use super::sheet::{Look, SheetRow};

fn look() -> Look {
    Look {
        blank_stock: true,
        files: 2,
        ..Look::PLAIN
    }
}

#[test]
fn faults_of_rows_without_their_stock() {
    let mut sheet = Planted::new(&quiet(210), &look());
    for (car, nth, column, cell) in [
        (0, 3, "pea", "x"),
        (100, 1, "panel", "bonet"),
        (249, 3, "metal", "tin"),
        (499, 2, "remove", "no such"),
    ] {
        let row = sheet.row(car, nth);
        assert!(sheet.cell(row, "stock").is_empty());
        sheet.plant(row, column, cell);
    }
    // The stock is above blank rows and comments too.
    let row = sheet.row(300, 2);
    sheet.insert_raw(row, "# the left side");
    sheet.insert_raw(row, "");
    let name = sheet.place(row).0.to_owned();
    sheet.notes = vec![format!("note: {name}: 1 comment row passed over")];
    sheet.plant(row, "olive", "1.5");
    // A panel twice: the first row has no stock of its own either.
    let first = sheet.row(400, 1);
    let below = sheet.row(400, 3);
    let copy = sheet.line(first).clone();
    let twice = sheet.insert(below, copy);
    let found = sheet.cell(twice, "panel").clone();
    sheet.error(twice, "panel", &found);
    sheet.names(first);
    sheet.check();
}

/// The first row of a sheet has none above, though another sheet was read before.
#[test]
fn nothing_is_above_the_first_row_of_a_sheet() {
    let mut sheet = Planted::new(&quiet(211), &look());
    for car in [0, 250] {
        let first = sheet.row(car, 0);
        let mut row = sheet.line(first).clone();
        row.cells[0].clear();
        let row = sheet.insert(
            first,
            SheetRow {
                stock: String::new(),
                ..row
            },
        );
        sheet.say("error", row, "stock", "", "");
    }
    let second = sheet.row(250, 0);
    assert_eq!(sheet.place(second), ("counts/n.csv", 3));
    sheet.check();
}

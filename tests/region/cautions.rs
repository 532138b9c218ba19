//! What is priced, but worth a look.

use super::faults::quiet;
use super::planted::Planted;
use super::sheet::{Look, Order};
use crate::properties::ratio::Ratio;

/// Plants one of each; `look.list` gives bodies and rows of the lot.
fn cautions(sheet: &mut Planted) {
    // A measured dent that a class holds: plum goes to 14 + 3 x 4 = 26 mm.
    let row = sheet.row(7, 1);
    "26; 26.01; 1 in x2".clone_into(sheet.cell(row, "oversize"));
    sheet.caution(row, "oversize", "26");
    // 1 in = 25.4 mm.
    sheet.caution(row, "oversize", "25.4");
    let mm = |hundredths| Ratio::dec(hundredths, 2);
    sheet.count(row).measured = vec![(mm(2_600), 1), (mm(2_601), 1), (mm(2_540), 2)];
    // Paint: repainted with dents, broken where it is priced.
    let row = sheet.row(90, 0);
    "repainted".clone_into(sheet.cell(row, "paint"));
    sheet.caution(row, "paint", "repainted");
    sheet.words("no glue pulling here");
    let row = sheet.row(90, 1);
    "Repainted".clone_into(sheet.cell(row, "paint"));
    "glue".clone_into(sheet.cell(row, "access"));
    sheet.count(row).access = "glue";
    sheet.caution(row, "paint", "repainted");
    sheet.words("repainted paint may lift");
    let row = sheet.row(170, 2);
    "broken".clone_into(sheet.cell(row, "paint"));
    sheet.caution(row, "paint", "broken");
    // The counter refers this one: no caution.
    let row = sheet.row(171, 2);
    "broken".clone_into(sheet.cell(row, "paint"));
    "x".clone_into(sheet.cell(row, "conventional"));
    sheet.count(row).conventional = true;
    // A panel that the body cannot have.
    let coupe = sheet.written.lot.cars.iter();
    let coupe = coupe.clone().position(|car| car.body == "coupe");
    let coupe = coupe.expect("a coupe");
    let row = sheet.row(coupe, 3);
    sheet.count(row).panel = "bed-l";
    "bed-l".clone_into(sheet.cell(row, "panel"));
    sheet.caution(row, "panel", "bed-l");
    sheet.words("a panel that a coupe can have");
    // R&I on a car whose panels are all referred.
    for nth in 0..4 {
        let row = sheet.row(333, nth);
        "yes".clone_into(sheet.cell(row, "conventional"));
        sheet.count(row).conventional = true;
    }
    let row = sheet.row(333, 2);
    "Trim".clone_into(sheet.cell(row, "remove"));
    sheet.count(row).remove = vec!["Trim"];
    sheet.caution(row, "remove", "Trim");
    // Counts far from their neighbours': a zero too many, and none at all; what takes
    // a byte, twelve bits and more than those.
    for (car, nth, dents) in [
        (0, 0, 90),
        (260, 1, 0),
        (261, 2, 300),
        (262, 0, 4_095),
        (263, 1, 4_096),
        (264, 3, 9_999),
        (499, 3, 120),
    ] {
        let row = sheet.row(car, nth);
        for column in ["bean", "olive", "plum"] {
            sheet.cell(row, column).clear();
        }
        *sheet.cell(row, "pea") = dents.to_string();
        let count = sheet.count(row);
        count.sized = vec![dents, 0, 0, 0];
        let panel = count.panel;
        sheet.caution(row, "panel", &format!("{dents} dents on {panel}"));
        sheet.words("look at it again");
    }
}

#[test]
fn all_cautions_with_a_list() {
    let mut sheet = Planted::new(&quiet(90), &Look::PLAIN);
    cautions(&mut sheet);
    sheet.check();
}

/// Rows of cars shuffled over two files, the list's columns among the counts.
#[test]
fn all_cautions_without_a_list() {
    let look = Look {
        list: None,
        rows: Order::Shuffled,
        columns: Order::Shuffled,
        files: 2,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(91), &look);
    cautions(&mut sheet);
    sheet.check();
}

/// The same beside an error: all are shown, in their order.
#[test]
fn cautions_beside_errors() {
    let mut sheet = Planted::new(&quiet(92), &Look::PLAIN);
    cautions(&mut sheet);
    for (car, nth) in [(6, 0), (170, 3), (498, 1)] {
        let row = sheet.row(car, nth);
        sheet.plant(row, "olive", "many");
    }
    sheet.check();
}

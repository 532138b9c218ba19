//! A stock and panel twice: near, far, in other words, in another file; and
//! what repeated rows that add up or replace must agree on.

use super::faults::quiet;
use super::planted::Planted;
use super::sheet::Look;

/// A row of a car once more, above another row; its mark.
fn again(sheet: &mut Planted, row: usize, below_it: usize) -> usize {
    let copy = sheet.line(row).clone();
    sheet.insert(below_it, copy)
}

/// Refused: both places are named, wherever they are.
#[test]
fn a_stock_and_panel_twice() {
    let look = Look {
        files: 2,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(80), &look);
    let word = |sheet: &mut Planted, row| sheet.cell(row, "panel").clone();
    // Next to each other, 1,500 rows apart, in the other file. A car has
    // four rows, and the second file begins at car 250.
    for (car, other) in [(10, 10), (20, 395), (30, 31), (240, 260), (400, 499)] {
        let first = sheet.row(car, 1);
        let below = sheet.row(other, 2);
        let twice = again(&mut sheet, first, below);
        let found = word(&mut sheet, twice);
        sheet.error(twice, "panel", &found);
        sheet.names(first);
    }
    // Three times; the third names the first too.
    let first = sheet.row(50, 0);
    for other in [51, 300] {
        let below = sheet.row(other, 0);
        let more = again(&mut sheet, first, below);
        let found = word(&mut sheet, more);
        sheet.error(more, "panel", &found);
        sheet.names(first);
    }
    // In other words: car 56 begins at the hood, whose other word is bonnet.
    let rows = [0, 1, 2, 3].map(|nth| sheet.row(56, nth));
    let mut words = rows.map(|row| (row, word(&mut sheet, row))).into_iter();
    let hood = words.find(|(_, word)| word == "hood").expect("a hood").0;
    let below = sheet.row(410, 3);
    let twice = again(&mut sheet, hood, below);
    "BONNET".clone_into(sheet.cell(twice, "panel"));
    sheet.error(twice, "panel", "BONNET");
    sheet.names(hood);
    // A row that is at fault itself is a first one all the same.
    let faulty = sheet.row(60, 3);
    sheet.plant(faulty, "pea", "x");
    let below = sheet.row(62, 0);
    let twice = again(&mut sheet, faulty, below);
    "7".clone_into(sheet.cell(twice, "pea"));
    let found = word(&mut sheet, twice);
    sheet.error(twice, "panel", &found);
    sheet.names(faulty);
    // But a panel that nobody knows is no panel twice.
    let unknown = sheet.row(70, 2);
    sheet.plant(unknown, "panel", "wyng");
    let below = sheet.row(480, 2);
    let twice = again(&mut sheet, unknown, below);
    sheet.error(twice, "panel", "wyng");
    sheet.check();
}

/// Added up: metals and accesses must agree, whatever lies between.
#[test]
fn rows_that_add_up_must_agree() {
    let look = Look {
        repeated: Some("add"),
        files: 2,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(81), &look);
    let metal = |sheet: &mut Planted, row: usize, metal: &str| {
        metal.clone_into(sheet.cell(row, "metal"));
    };
    for (car, other) in [(12, 12), (100, 480)] {
        let first = sheet.row(car, 0);
        metal(&mut sheet, first, "alu");
        let below = sheet.row(other, 3);
        let second = again(&mut sheet, first, below);
        metal(&mut sheet, second, "hss");
        sheet.error(second, "metal", "high-strength");
        let (file, row) = sheet.place(first);
        assert_eq!(file, "counts/m.csv");
        sheet.words(&format!("row {row} says aluminium"));
    }
    let first = sheet.row(300, 1);
    "glue".clone_into(sheet.cell(first, "access"));
    let below = sheet.row(301, 1);
    let second = again(&mut sheet, first, below);
    "free".clone_into(sheet.cell(second, "access"));
    sheet.error(second, "access", "open");
    // What one row leaves blank, the other says; the counts add up. The
    // lists join, and the worse paint is a caution of the first row.
    let first = sheet.row(200, 2);
    let below = sheet.row(450, 0);
    let second = again(&mut sheet, first, below);
    metal(&mut sheet, first, "");
    metal(&mut sheet, second, "AL");
    "factory".clone_into(sheet.cell(first, "paint"));
    "repainted".clone_into(sheet.cell(second, "paint"));
    "44; 50".clone_into(sheet.cell(first, "oversize"));
    "50 x2".clone_into(sheet.cell(second, "oversize"));
    sheet.caution(first, "paint", "repainted");
    let count = sheet.count(first);
    count.metal = "aluminium";
    for dents in &mut count.sized {
        *dents *= 2;
    }
    let whole = crate::properties::ratio::Ratio::whole;
    count.measured = vec![(whole(44), 1), (whole(50), 3)];
    // 2 x (6 to 12) and 4 oversize: far from 6 to 12 or not, by the count.
    let together = count.sized.iter().sum::<u32>() + 4;
    let panel = count.panel;
    sheet.caution(first, "panel", &format!("{together} dents on {panel}"));
    // Each row is sound, both together are more than 9,999.
    let first = sheet.row(90, 0);
    "9990".clone_into(sheet.cell(first, "pea"));
    let below = sheet.row(470, 0);
    let second = again(&mut sheet, first, below);
    "10".clone_into(sheet.cell(second, "pea"));
    let mut together = 9_990 + 10;
    for column in ["bean", "olive", "plum"] {
        together += 2 * sheet.cell(first, column).parse::<u32>().unwrap_or(0);
    }
    sheet.error(first, "", &together.to_string());
    sheet.check();
}

/// Replaced: what stands in the last row holds, but no fault is passed over.
#[test]
fn the_last_row_holds_but_every_row_is_read() {
    let look = Look {
        repeated: Some("last"),
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(82), &look);
    // The earlier row at fault.
    let last = sheet.row(20, 1);
    let below = sheet.row(3, 0);
    let earlier = again(&mut sheet, last, below);
    sheet.plant(earlier, "bean", "1.5");
    // The later one.
    let first = sheet.row(100, 1);
    let below = sheet.row(490, 0);
    let later = again(&mut sheet, first, below);
    sheet.plant(later, "remove", "no such");
    // A later row that is no panel replaces nothing.
    let first = sheet.row(150, 1);
    let below = sheet.row(180, 0);
    let later = again(&mut sheet, first, below);
    sheet.plant(later, "panel", "door");
    // Too many dents in a row that is replaced are not too many.
    let last = sheet.row(220, 2);
    let below = sheet.row(5, 2);
    let earlier = again(&mut sheet, last, below);
    "9999".clone_into(sheet.cell(earlier, "pea"));
    "9999".clone_into(sheet.cell(earlier, "bean"));
    sheet.check();
}

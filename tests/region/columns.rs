//! Columns that nobody knows, that have no header, that stand there twice; and
//! classes and codes that a car's own card lacks.

use super::both::both;
use super::faults::quiet;
use super::lots::Kind;
use super::planted::{Planted, same_problems};
use super::said::{Said, by_check};
use super::sheet::Look;
use hailyard::cli::Exit;

/// A column more, before the last one; cells of some rows by car.
fn add(sheet: &mut Planted, header: &str, cells: &[(usize, &str)]) {
    let rows: Vec<usize> = cells.iter().map(|(car, _)| sheet.row(*car, 2)).collect();
    let counts = &mut sheet.written.counts[0];
    let at = counts.columns.len() - 1;
    counts.columns.insert(at, header.to_owned());
    for row in &mut counts.rows {
        row.cells.insert(at, String::new());
    }
    for (row, (_, cell)) in rows.into_iter().zip(cells) {
        (*cell).clone_into(&mut sheet.line(row).cells[at]);
    }
}

/// What is said of the header.
fn of_header(severity: &'static str, column: &str, found: &str, words: &str) -> Said {
    Said {
        severity,
        file: "counts/m.csv".to_owned(),
        row: 1,
        column: column.to_owned(),
        found: found.to_owned(),
        car: String::new(),
        words: words.to_owned(),
    }
}

/// An unknown column is a caution; where one cell of it begins with a digit,
/// an error that names the first of these, and all cars with such a cell
/// are bad.
#[test]
fn columns_that_nobody_knows() {
    let mut sheet = Planted::new(&quiet(120), &Look::PLAIN);
    add(&mut sheet, "sky", &[(3, "grey"), (498, "blue")]);
    add(
        &mut sheet,
        "pebble",
        &[(200, "none"), (444, "7"), (470, "8")],
    );
    add(&mut sheet, "", &[(123, "wet")]);
    add(&mut sheet, "", &[(301, "12")]);
    // The header is one row, a car has four, and the third of them says it.
    let row = |car: u32| 1 + 4 * car + 3;
    let pebble = format!("row {} holds 7, so dents would be lost", row(444));
    let blank = format!("row {} holds 12 in this column", row(301));
    // stock, panel, 4 classes, 7 more: the fifth of the last ones is R.
    let letters = |sheet: &Planted, back: usize| {
        let at = sheet.written.counts[0].columns.len() - 1 - back;
        let letter = char::from(b'A' + u8::try_from(at).expect("few columns"));
        format!("column {letter}")
    };
    let (first, second) = (letters(&sheet, 2), letters(&sheet, 1));
    let expected = [
        of_header("caution", "sky", "sky", "a known column"),
        of_header("error", "pebble", "pebble", &pebble),
        of_header("caution", &first, "", "a header. The column is left out"),
        of_header("error", &second, "", &blank),
    ];
    let files = sheet.files();
    same_problems(&by_check(&files), &expected);
    let found = both(&files, &[]);
    assert_eq!(found.ran.exit, Exit::Problems);
    for (line, said) in found.ran.err.lines().zip(&expected) {
        assert!(said.is_line(line), "{line}");
    }
    let found = both(&files, &["--without-bad"]);
    let stocks = [301, 444, 470].map(|car: usize| sheet.written.lot.cars[car].stock.clone());
    let left_out = |stocks: &[String]| {
        let cars = stocks.len();
        format!("{cars} cars are left out: {}\n", stocks.join(", "))
    };
    assert!(
        found.ran.err.ends_with(&left_out(&stocks)),
        "{}",
        found.ran.err
    );
}

/// One and the same column twice stops: it is not known which one is meant.
#[test]
fn a_column_twice() {
    let mut sheet = Planted::new(&quiet(121), &Look::PLAIN);
    add(&mut sheet, "Pea", &[(499, "7")]);
    let files = sheet.files();
    let expected = [of_header(
        "error",
        "Pea",
        "Pea",
        "a column once; `pea` means the same",
    )];
    same_problems(&by_check(&files), &expected);
    for more in [&[][..], &["--without-bad"]] {
        let found = both(&files, more);
        assert_eq!(found.ran.exit, Exit::Problems);
        assert!(found.written.is_empty());
    }
}

/// Three payers on two cards, of which one has three classes and the other five.
#[test]
fn classes_that_the_cars_own_card_lacks() {
    for list in [Look::PLAIN.list, None] {
        let kind = Kind {
            classes: vec![3, 5],
            payers: 3,
            ..quiet(122)
        };
        let look = Look {
            list,
            ..Look::PLAIN
        };
        let mut sheet = Planted::new(&kind, &look);
        let of_three: Vec<usize> = (0..500)
            .filter(|car| sheet.written.lot.cars[*car].payer == 0)
            .collect();
        // Class names of the first card: pea, bean, olive.
        let last = of_three.len() - 1;
        for (nth, column, cell) in [(0, "plum", "4"), (40, "peach", "1"), (last, "plum", "12")] {
            let row = sheet.row(of_three[nth], 3);
            cell.clone_into(sheet.cell(row, column));
            sheet.error(row, column, column);
            sheet.words("pea, bean or olive");
        }
        // None of them is none of them; a figure that is none is said itself.
        let row = sheet.row(of_three[20], 0);
        "0".clone_into(sheet.cell(row, "plum"));
        let row = sheet.row(of_three[21], 0);
        sheet.plant(row, "peach", "-1");
        sheet.check();
    }
}

/// A total and its size: what each cell must be.
#[test]
fn totals_and_sizes() {
    let kind = Kind {
        one_size: true,
        ..quiet(123)
    };
    let look = Look {
        one_size: true,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&kind, &look);
    for (car, column, cell) in [
        (0, "dents", "a few"),
        (77, "dents", "3.0"),
        (200, "size", "bigger"),
        (340, "size", "peas"),
        (402, "dents", "-2"),
    ] {
        let row = sheet.row(car, 1);
        sheet.plant(row, column, cell);
    }
    let row = sheet.row(120, 2);
    let dents = sheet.cell(row, "dents").clone();
    sheet.plant(row, "size", "");
    sheet.words(&format!("a size class for {dents} dents"));
    let row = sheet.row(499, 3);
    "10000".clone_into(sheet.cell(row, "dents"));
    sheet.error(row, "", "10000");
    sheet.check();
}

//! More problems than anybody reads: the first thousand are shown, by file
//! and row, and how many more there are.

use super::both::both;
use super::faults::quiet;
use super::lots::Kind;
use super::planted::Planted;
use super::said::by_check;
use super::sheet::Look;
use hailyard::cli::Exit;

#[test]
fn the_first_thousand_errors_are_shown() {
    let look = Look {
        files: 2,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(200), &look);
    // Three rows of every car: 1,500 errors; and one caution in the first car.
    for car in 0..500 {
        for nth in 0..3 {
            let row = sheet.row(car, nth);
            sheet.plant(row, "bean", "x");
        }
    }
    let row = sheet.row(0, 3);
    "broken".clone_into(sheet.cell(row, "paint"));
    let expected = sheet.expected();
    let found = both(&sheet.files(), &[]);
    assert_eq!(found.ran.exit, Exit::Problems);
    let lines: Vec<&str> = found.ran.err.lines().collect();
    assert_eq!(lines.len(), 1_002);
    // Errors go before cautions where not all can be shown.
    for (line, said) in lines.iter().zip(&expected[..1_000]) {
        assert!(said.is_line(line), "{line}");
    }
    assert!(
        lines[1_000].starts_with("… and 501 more: "),
        "{}",
        lines[1_000]
    );
    assert!(
        lines[1_001].starts_with("1500 errors, 1 caution; "),
        "{}",
        lines[1_001]
    );
    // All of them are there for a program.
    assert_eq!(by_check(&sheet.files()).len(), 1_501);
    // Every car is bad.
    let found = both(&sheet.files(), &["--without-bad"]);
    assert!(found.ran.err.contains("; 500 cars are left out: "));
    assert_eq!(found.text("cars.csv").lines().count(), 1);
}

/// Cautions alone: the first twenty beside the price.
#[test]
fn the_first_twenty_cautions_are_shown() {
    let mut sheet = Planted::new(&quiet(201), &Look::PLAIN);
    for car in 0..500 {
        let row = sheet.row(car, 1);
        "repainted".clone_into(sheet.cell(row, "paint"));
        sheet.caution(row, "paint", "repainted");
    }
    let expected = sheet.expected();
    let found = both(&sheet.files(), &[]);
    assert_eq!(found.ran.exit, Exit::Done);
    let lines: Vec<&str> = found.ran.err.lines().collect();
    assert_eq!(lines.len(), 21);
    for (line, said) in lines.iter().zip(&expected[..20]) {
        assert!(said.is_line(line), "{line}");
    }
    assert!(lines[20].starts_with("… and 480 more: "), "{}", lines[20]);
}

/// Far more than are kept at all: they are counted.
#[test]
fn a_sheet_of_nothing_but_errors() {
    let kind = Kind {
        cars: 5_500,
        ..quiet(202)
    };
    let mut sheet = Planted::new(&kind, &Look::PLAIN);
    let first: Vec<usize> = (0..250)
        .flat_map(|car| [0, 1, 2, 3].map(|nth| (car, nth)))
        .map(|(car, nth)| sheet.row(car, nth))
        .collect();
    for row in first {
        sheet.error(row, "pea", "?");
    }
    let counts = &mut sheet.written.counts[0];
    let pea = counts.columns.iter().position(|column| column == "pea");
    for row in &mut counts.rows {
        "?".clone_into(&mut row.cells[pea.expect("a column")]);
    }
    let expected = sheet.expected();
    let found = both(&sheet.files(), &[]);
    let lines: Vec<&str> = found.ran.err.lines().collect();
    assert_eq!(lines.len(), 1_002);
    for (line, said) in lines.iter().zip(&expected) {
        assert!(said.is_line(line), "{line}");
    }
    assert!(
        lines[1_000].starts_with("… and 21000 more: "),
        "{}",
        lines[1_000]
    );
    assert!(
        lines[1_001].starts_with("22000 errors, 0 cautions; "),
        "{}",
        lines[1_001]
    );
}

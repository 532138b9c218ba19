//! What the vehicle list would say, said by the counts: payers, bodies,
//! values, deductibles; unknown, contradictory, missing, or beside a list.

use super::faults::quiet;
use super::lots::Kind;
use super::planted::Planted;
use super::said::Said;
use super::sheet::Look;

fn kind(seed: u64) -> Kind {
    Kind {
        payers: 3,
        ..quiet(seed)
    }
}

/// Writes a fact into the first row of a car and takes it out of the others.
fn only(sheet: &mut Planted, car: usize, column: &str, text: &str) -> usize {
    for nth in 1..4 {
        let row = sheet.row(car, nth);
        sheet.cell(row, column).clear();
    }
    let row = sheet.row(car, 0);
    text.clone_into(sheet.cell(row, column));
    row
}

#[test]
fn facts_that_are_none() {
    let look = Look {
        list: None,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&kind(130), &look);
    for (car, column, text, words) in [
        (0, "payer", "Nobody", "a payer of storm.toml"),
        (40, "payer", "Ostrel Flet", "probably Ostrel Fleet"),
        (90, "body", "lorry", "one of sedan, hatch, wagon"),
        (150, "value", "-5", "money, 0 or more"),
        (151, "value", "9 thousand", "money, 0 or more"),
        (230, "deductible", "1e3", "money, 0 or more"),
        (
            231,
            "deductible",
            "500.125",
            "no finer than the currency's 2 places",
        ),
        (
            310,
            "value",
            "8000.001",
            "no finer than the currency's 2 places",
        ),
        (499, "body", "suvv", "probably suv"),
    ] {
        let row = only(&mut sheet, car, column, text);
        sheet.error(row, column, text);
        sheet.words(words);
    }
    // Several payers and none said: of the car's first row.
    let row = only(&mut sheet, 333, "payer", "");
    sheet.error(row, "payer", "");
    sheet.words("storm.toml has several");
    sheet.check();
}

/// Two rows of a car say different things, next to each other or far apart.
#[test]
fn facts_that_contradict_each_other() {
    let look = Look {
        list: None,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&kind(131), &look);
    // 1,500 rows below, beside a row that is sound itself.
    let first = only(&mut sheet, 60, "value", "7000.00");
    let far = sheet.row(440, 0);
    let copy = sheet.line(first).clone();
    let far = sheet.insert(far, copy);
    "7000.5".clone_into(sheet.cell(far, "value"));
    "cowl".clone_into(sheet.cell(far, "panel"));
    sheet.error(far, "value", "7000.5");
    // Car 60 lies above all rows that were put in.
    let row = sheet.place(first).1;
    sheet.words(&format!("7000.00, as row {row} of "));
    assert!(sheet.place(far).1 - row > 1_500);
    let cases = [
        (10, "payer", "Ostrel Fleet", "Åsgard Owners"),
        (120, "body", "suv", "van"),
        (240, "value", "9000", "9000.01"),
        (360, "deductible", "500", "0"),
        (480, "row", "A", "B"),
    ];
    for (car, column, one, other) in cases {
        let first = only(&mut sheet, car, column, one);
        let file = sheet.written.counts[0].name.clone();
        let second = sheet.row(car, 3);
        other.clone_into(sheet.cell(second, column));
        sheet.error(second, column, other);
        let (_, row) = sheet.place(first);
        sheet.words(&format!("{one}, as row {row} of {file} says"));
    }
    // The same in other words is the same.
    let first = sheet.row(200, 0);
    let text = sheet.cell(first, "payer").to_uppercase().replace(' ', "-");
    let second = sheet.row(200, 2);
    text.clone_into(sheet.cell(second, "payer"));
    only(&mut sheet, 201, "body", "suv");
    let second = sheet.row(201, 2);
    " SUV".clone_into(sheet.cell(second, "body"));
    sheet.written.lot.cars[201].body = "suv";
    sheet.check();
}

/// Beside a list they are a caution, and the list holds.
#[test]
fn facts_beside_a_list() {
    let look = Look {
        list: None,
        ..Look::PLAIN
    };
    let counts = Planted::new(&kind(132), &look);
    let mut sheet = Planted::new(&kind(132), &Look::PLAIN);
    // The same lot, its counts with the list's columns.
    let list: Vec<(String, String)> = sheet
        .written
        .lot
        .cars
        .iter()
        .zip(&counts.written.lot.cars)
        .map(|(one, other)| (one.stock.clone(), other.stock.clone()))
        .collect();
    assert!(list.iter().all(|(one, other)| one == other), "one lot");
    sheet.written.counts = counts.written.counts;
    for row in &mut sheet.written.counts[0].rows {
        // Rows of the lot by the list: the counts say nothing of them.
        row.cells.pop();
    }
    sheet.written.counts[0].columns.pop();
    for (car, column, text) in [(0, "body", "van"), (250, "payer", "Ostrel Fleet")] {
        let row = only(&mut sheet, car, column, text);
        let own = match column {
            "body" => "coupe",
            _ => "Åsgard Owners",
        };
        let place = car + 2;
        let list = sheet.written.list.as_mut().expect("a list");
        let at = list.columns.iter().position(|known| known == column);
        own.clone_into(&mut list.rows[car].cells[at.expect("a column")]);
        match column {
            "body" => sheet.written.lot.cars[car].body = "coupe",
            _ => sheet.written.lot.cars[car].payer = 2,
        }
        sheet.caution(row, column, text);
        sheet.words(&format!("{own}, as row {place} of vehicles.csv says"));
    }
    let row = only(&mut sheet, 499, "value", "a lot");
    sheet.error(row, "value", "a lot");
    sheet.check();
}

/// Cars of the list without counts, and a stock there twice.
#[test]
fn what_is_said_of_the_list_comes_first() {
    let mut sheet = Planted::new(&quiet(133), &Look::PLAIN);
    let list = sheet.written.list.as_mut().expect("a list");
    let twice = list.rows[20].clone();
    let first = twice.stock.clone();
    list.rows.insert(300, twice);
    let mut idle = list.rows[499].clone();
    "Z-9".clone_into(&mut idle.cells[0]);
    list.rows.insert(400, idle);
    let said = |severity, row, found: &str, words: &str| Said {
        severity,
        file: "vehicles.csv".to_owned(),
        row,
        column: "stock".to_owned(),
        found: found.to_owned(),
        car: found.to_owned(),
        words: words.to_owned(),
    };
    sheet.of_list = vec![
        said("error", 302, &first, "a stock once; first at row 22"),
        said(
            "caution",
            402,
            "Z-9",
            "counts for a car that is on the list",
        ),
    ];
    sheet.suspect(&first);
    let payer = sheet.written.lot.cars[499].clone();
    // Uncounted, where the list has it: 399 cars and the repeated one before it.
    sheet.written.lot.cars.insert(
        399,
        crate::properties::plain::Car {
            stock: "Z-9".to_owned(),
            panels: Vec::new(),
            ..payer
        },
    );
    for car in [0, 498] {
        let row = sheet.row(car, 1);
        sheet.plant(row, "bean", "?");
    }
    sheet.check();
}

/// Days are no matter of a price, and what a VIN is not is a caution.
#[test]
fn days_and_numbers_of_vehicles() {
    let look = Look {
        list: None,
        ..Look::PLAIN
    };
    let mut sheet = Planted::new(&quiet(134), &look);
    let counts = &mut sheet.written.counts[0];
    counts.columns.extend(["due", "vin"].map(str::to_owned));
    for row in &mut counts.rows {
        row.cells.extend(["", ""].map(str::to_owned));
    }
    let row = sheet.row(120, 2);
    "8XZ0000000000001".clone_into(sheet.cell(row, "vin"));
    sheet.caution(row, "vin", "8XZ0000000000001");
    sheet.words("17 characters; this has 16");
    sheet.check();
    let row = sheet.row(300, 1);
    "22.6.2026".clone_into(sheet.cell(row, "due"));
    // Priced as before; only `check` speaks of the plan.
    let files = sheet.files();
    let found = super::both::both(&files, &[]);
    assert_eq!(found.ran.exit, hailyard::cli::Exit::Done);
    assert_eq!(found.ran.err.lines().count(), 1, "{}", found.ran.err);
    let said = super::said::by_check(&files);
    let due = said.iter().find(|said| said.column == "due");
    let due = due.expect("the day that is none");
    assert_eq!((due.severity, due.row), ("error", sheet.place(row).1));
}

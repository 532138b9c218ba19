//! What comes out: columns, empty cells, guarded text, totals that foot.

use crate::builder::{Folder, OneCar, SMALL_CARD, Tables};

#[test]
fn every_status_has_its_word() {
    let tables = OneCar::new("stock,panel,dime,oversize\nA1,hood,3,\nB2,hood,0,300\nC3,hood,0,\n")
        .vehicles("stock\nA1\nB2\nC3\nD4\n")
        .price();
    let words = ["A1", "B2", "C3", "D4"].map(|stock| tables.car(stock, "status"));
    assert_eq!(words, ["priced", "quote", "nothing", "uncounted"]);
    // Uncounted: nothing but stock, payer and status.
    let row = tables.rows("cars").last().expect("a row");
    assert_eq!(row[..3], ["D4", "Harl Cover", "uncounted"]);
    assert!(row[3..].iter().all(String::is_empty), "{row:?}");
    assert_eq!(tables.total("storm", "Small storm", "cars"), "3");
    assert_eq!(tables.total("storm", "Small storm", "quotes"), "1");
}

/// A lone line of R&I makes a car priced, not nothing.
#[test]
fn a_car_with_only_a_removal_is_priced() {
    let tables = OneCar::new("stock,panel,dime,remove\nA1,hood,0,lamp\n")
        .card("[[removal]]\ncode = \"lamp\"\nhours = \"0.5\"\nonce_per = \"vehicle\"\n")
        .price();
    assert_eq!(tables.car("A1", "status"), "priced");
    assert_eq!(tables.car("A1", "panels"), "0");
}

#[test]
fn totals_by_panel_end_with_what_belongs_to_no_panel() {
    let tables = OneCar::new("stock,panel,dime\nA1,roof,12\nA1,hood,3\nB2,hood,3\n")
        .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]")
        .price();
    let keys: Vec<&str> = tables.rows("totals")[1..]
        .iter()
        .map(|row| row[1].as_str())
        .collect();
    assert_eq!(
        keys,
        [
            "Small storm",
            "Harl Cover",
            "other",
            "hood",
            "roof",
            "(car)"
        ]
    );
    assert_eq!(tables.total("panel", "hood", "dents_amount"), "20.00");
    assert_eq!(tables.total("panel", "hood", "cars"), "2");
    // 10 % of 30.00 and of 10.00
    assert_eq!(tables.total("panel", "(car)", "dents_amount"), "-4.00");
    assert_eq!(tables.total("panel", "(car)", "cars"), "2");
    assert_eq!(tables.total("panel", "hood", "payer_pays"), "");
    assert_eq!(tables.total("storm", "Small storm", "total"), "36.00");
}

/// Stocks that a spreadsheet would run get a `'`, and lose it when read again.
#[test]
fn text_that_a_spreadsheet_would_run_is_guarded_and_numbers_are_not() {
    let tables =
        OneCar::new("stock,panel,dime\n=1+1,hood,3\n@x,hood,3\n-7,hood,3\n+7,hood,3\n'=2,hood,3\n")
            .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]")
            .price();
    let stocks: Vec<&str> = tables.rows("cars")[1..]
        .iter()
        .map(|row| row[0].as_str())
        .collect();
    assert_eq!(stocks, ["'=1+1", "'@x", "'-7", "'+7", "'=2"]);
    assert_eq!(tables.lines("'-7")[1], "|dents|discount||-1.00");
}

#[test]
fn lines_stand_in_panel_order_and_cars_in_lot_order() {
    let tables = OneCar::new("stock,panel,dime\nB2,rocker-r,3\nB2,hood,3\nA1,cowl,3\n").price();
    let order: Vec<(&str, &str)> = tables.rows("lines")[1..]
        .iter()
        .map(|row| (row[0].as_str(), row[1].as_str()))
        .collect();
    assert_eq!(order, [("B2", "hood"), ("B2", "rocker-r"), ("A1", "cowl")]);
}

/// Two payers on two cards: each car by its own.
#[test]
fn every_car_is_priced_on_its_payers_card() {
    let dearer = SMALL_CARD.replace("\"10.00\"", "\"15.00\"");
    let folder = Folder::new()
        .file("storm.toml", "name = \"Two\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/a.toml\"\n[[payer]]\nname = \"Ostrel Fleet\"\nrate_card = \"rates/b.toml\"\n")
        .file("rates/a.toml", SMALL_CARD)
        .file("rates/b.toml", dearer)
        .file("vehicles.csv", "stock,payer\nA1,Ostrel Fleet\nB2,Harl Cover\n")
        .file("counts/lot.csv", "stock,panel,dime\nA1,hood,3\nB2,hood,3\n");
    let tables = Tables::of(folder.path());
    assert_eq!(
        [tables.car("A1", "total"), tables.car("B2", "total")],
        ["15.00", "10.00"]
    );
    // Payers as in storm.toml.
    let payers: Vec<&str> = tables.rows("totals")[2..4]
        .iter()
        .map(|row| row[1].as_str())
        .collect();
    assert_eq!(payers, ["Harl Cover", "Ostrel Fleet"]);
}

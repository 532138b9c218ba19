//! Step 4: limits, and panels that go to conventional repair.

use crate::builder::{OneCar, Tables};

/// A hood of 12 dimes, 20.00, aluminium 25 % = 5.00: 25.00 in all.
fn hood(more: &str) -> OneCar {
    OneCar::new("stock,panel,dime,metal,conventional\nA1,hood,12,aluminium,\n")
        .card("[[uplift]]\nname = \"a\"\npercent = \"25\"\non = [\"dents\"]\n")
        .card(more)
}

fn limit(amount: &str, then: &str) -> String {
    format!("[[limit]]\namount = \"{amount}\"\nthen = \"{then}\"\n")
}

#[test]
fn a_held_limit_comes_after_uplifts_and_before_the_discount() {
    let tables = hood(&limit("22.00", "hold"))
        .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]")
        .price();
    assert_eq!(
        tables.lines("A1"),
        [
            "hood|dents|dents dime|12|20.00",
            "hood|dents|uplift a||5.00",
            // 22.00 - 25.00
            "hood|dents|limit||-3.00",
            // 10 % of 22.00
            "|dents|discount||-2.20",
        ]
    );
    assert_eq!(tables.car("A1", "total"), "19.80");
}

#[test]
fn equal_to_the_limit_is_not_above_it() {
    assert_eq!(hood(&limit("25.00", "hold")).price().lines("A1").len(), 2);
    // A limit finer than the currency: 24.996 - 25.00 = -0.004, a line of 0.00
    // that stays, and never -0.00.
    assert_eq!(
        hood(&limit("24.996", "hold"))
            .price()
            .lines("A1")
            .last()
            .map(String::as_str),
        Some("hood|dents|limit||0.00")
    );
}

/// Negative amounts are rounded as their mirror images: 19.995 - 25.00 = -5.005.
#[test]
fn a_negative_half_cent_goes_away_from_zero_or_to_the_even_cent() {
    for (rounding, amount) in [("half-up", "-5.01"), ("half-even", "-5.00")] {
        let lines = hood(&limit("19.995", "hold"))
            .card_with("half-up", rounding)
            .price()
            .lines("A1");
        assert_eq!(lines[2], format!("hood|dents|limit||{amount}"));
    }
}

#[test]
fn a_limit_that_refers_leaves_one_line_of_the_cards_amount_or_by_quote() {
    let agreed = "[[conventional]]\npanels = [\"hood\"]\namount = \"915.00\"\n";
    let tables = hood(&(limit("24.99", "refer") + agreed)).price();
    assert_eq!(
        tables.lines("A1"),
        ["hood|conventional|conventional|1|915.00"]
    );
    assert_eq!(tables.car("A1", "dents_amount"), "0.00");
    assert_eq!(tables.car("A1", "conventional_amount"), "915.00");
    // The dents are still counted, the panel is referred.
    assert_eq!(
        [tables.car("A1", "dents"), tables.car("A1", "referred")],
        ["12", "1"]
    );
    let tables = hood(&limit("24.99", "refer")).price();
    assert_eq!(tables.lines("A1"), ["hood|conventional|conventional|1|"]);
    assert_eq!(tables.car("A1", "status"), "quote");
    // Equal to it stays.
    assert_eq!(hood(&limit("25.00", "refer")).price().lines("A1").len(), 2);
}

#[test]
fn the_first_limit_that_names_the_panel_holds_else_the_one_without_names() {
    let named = "[[limit]]\npanels = [\"hood\"]\namount = \"23.00\"\nthen = \"hold\"\n";
    // The general one stands first, and the named one still goes before it.
    assert_eq!(
        hood(&(limit("1.00", "hold") + named)).price().lines("A1")[2],
        "hood|dents|limit||-2.00"
    );
    let other = "[[limit]]\npanels = [\"roof\"]\namount = \"1.00\"\nthen = \"hold\"\n";
    assert_eq!(hood(other).price().lines("A1").len(), 2);
}

/// A held panel with a dent by quote: the known lines are held, the open line
/// stays, and the car is still for a quote.
#[test]
fn holding_leaves_an_unpriced_line_open() {
    let tables = OneCar::new("stock,panel,dime,oversize\nA1,hood,12,300\n")
        .card(&limit("15.00", "hold"))
        .price();
    assert_eq!(
        tables.lines("A1"),
        [
            "hood|dents|dents dime|12|20.00",
            "hood|dents|oversize|1|",
            "hood|dents|limit||-5.00",
        ]
    );
    assert_eq!(tables.car("A1", "status"), "quote");
    assert_eq!(tables.car("A1", "total"), "15.00");
}

#[test]
fn the_counter_refers_at_any_count_even_none() {
    let sheet = "stock,panel,dime,conventional\nA1,hood,0,yes\nA1,roof,5,x\nA1,cowl,3,no\n";
    let tables: Tables = OneCar::new(sheet)
        .card("[[conventional]]\namount = \"100.00\"\n")
        .price();
    assert_eq!(
        tables.lines("A1"),
        [
            "hood|conventional|conventional|1|100.00",
            "cowl|dents|dents dime|3|10.00",
            "roof|conventional|conventional|1|100.00",
        ]
    );
    // Panels with a dent or referred by the counter: all three. Dents: 5 + 3.
    assert_eq!(
        ["panels", "dents", "referred"].map(|column| tables.car("A1", column)),
        ["3", "8", "2"]
    );
}

//! Amounts that people agreed by hand.

use crate::builder::{OneCar, hailyard};
use hailyard::cli::Exit;

const HEAD: &str = "stock,panel,group,item,amount,by,date\n";

fn storm(rows: &str) -> OneCar {
    OneCar::new("stock,panel,dime,oversize,conventional\nA1,hood,12,300,\nA1,roof,3,,yes\n")
        .agreed(&format!("{HEAD}{rows}"))
}

#[test]
fn a_quote_ends_when_its_amount_is_agreed() {
    let tables = storm(
        "A1,hood,,Oversize,450.00,H. Vane,2026-06-18\nA1,roof,conventional,conventional,700.00,,\n",
    )
    .price();
    assert_eq!(
        tables.lines("A1"),
        [
            "hood|dents|dents dime|12|20.00",
            "hood|dents|oversize|1|450.00",
            "roof|conventional|conventional|1|700.00",
        ]
    );
    assert_eq!(tables.car("A1", "status"), "priced");
    assert_eq!(tables.car("A1", "total"), "1170.00");
    let basis: Vec<&str> = tables.rows("lines")[2..]
        .iter()
        .map(|row| row[6].as_str())
        .collect();
    assert_eq!(basis, ["agreed with H. Vane on 2026-06-18", "agreed"]);
}

#[test]
fn an_amount_for_one_of_two_open_lines_leaves_the_car_for_a_quote() {
    let tables = storm("A1,hood,dents,oversize,450.00,,\n").price();
    assert_eq!(tables.car("A1", "status"), "quote");
    assert_eq!(tables.car("A1", "conventional_amount"), "");
}

/// Any other row is a line of its own: after the extras, in file order; it
/// counts for discount and tax as its group does, never for uplifts.
#[test]
fn a_line_of_its_own_counts_as_its_group_does() {
    let tables = OneCar::new("stock,panel,dime\nA1,hood,12\n")
        .card("[[uplift]]\nname = \"a\"\npercent = \"50\"\non = [\"dents\"]\n")
        .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]\ntax = [{ name = \"t\", percent = \"10\", on = [\"parts\"] }]")
        .agreed(&format!("{HEAD}A1,,parts,windscreen,310.00,,\nA1,hood,dents,dent under badge,40.00,,\n"))
        .price();
    assert_eq!(
        tables.lines("A1"),
        [
            "hood|dents|dents dime|12|20.00",
            "hood|dents|uplift a||10.00",
            "|parts|windscreen|1|310.00",
            // no quantity in dents
            "hood|dents|dent under badge||40.00",
            // 10 % of 70.00
            "|dents|discount||-7.00",
            // 10 % of 310.00
            "|tax|tax t||31.00",
        ]
    );
}

#[test]
fn a_held_panel_stays_held_when_its_quote_is_agreed_above_the_limit() {
    // Agreed amounts come after limits: 20.00 is held to 15.00, then 450.00.
    let tables = OneCar::new("stock,panel,dime,oversize\nA1,hood,12,300\n")
        .card("[[limit]]\namount = \"15.00\"\nthen = \"hold\"\n")
        .agreed(&format!("{HEAD}A1,hood,,oversize,450.00,,\n"))
        .price();
    assert_eq!(tables.car("A1", "total"), "465.00");
}

#[test]
fn rows_that_fit_nothing_are_errors_with_their_place() {
    for (row, message) in [
        (
            "A1,hood,dents,dents dime,5.00,,",
            "item: found `dents dime`; expected a line without an amount",
        ),
        (
            "A1,roof,,oversize,5.00,,",
            "item: found `oversize`; expected a line without an amount; this panel has none",
        ),
        (
            "A1,cowl,,conventional,5.00,,",
            "item: found `conventional`; expected a line without an amount; this panel has none",
        ),
        (
            "A1,,,glass,5.00,,",
            "group: nothing found; expected a group for a line of its own",
        ),
        (
            "A1,hood,parts,oversize,5.00,,",
            "group: found `parts`; expected dents, the line's own group, or blank",
        ),
        (
            "A1,hood,tax,oversize,5.00,,",
            "group: found `tax`; expected dents, removal, parts, extra or conventional",
        ),
        (
            "A1,hood,,oversize,5.005,,",
            "amount: found `5.005`; expected no finer than the currency's 2 places",
        ),
        (
            "A1,hood,,oversize,,,",
            "amount: nothing found; expected the amount agreed",
        ),
        (
            "A1,hod,,oversize,5.00,,",
            "panel: found `hod`; expected a panel, or blank; probably hood",
        ),
        (
            "a1,hood,,oversize,5.00,,",
            "stock: found `a1`; expected a stock of the storm; probably A1",
        ),
    ] {
        let folder = storm(&format!("{row}\n")).folder();
        let ran = hailyard(&["check", &folder.arg()]);
        assert_eq!(ran.exit, Exit::Problems, "{row}");
        assert!(
            ran.out
                .contains(&format!("error: agreed.csv, row 2, {message}")),
            "{}",
            ran.out
        );
        assert_eq!(ran.out.matches("error:").count(), 1, "{}", ran.out);
    }
}

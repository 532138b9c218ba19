//! Step 3: percentages on top.

use crate::builder::OneCar;

fn uplift(name: &str, percent: &str, rest: &str) -> String {
    format!("[[uplift]]\nname = \"{name}\"\npercent = \"{percent}\"\n{rest}\n")
}

const ON_DENTS: &str = "on = [\"dents\"]";

/// One hood of 3 dimes, 10.00, under these uplifts.
#[track_caller]
fn hood(mode: &str, base: &str, uplifts: &str, expected: &[&str]) {
    let lines = OneCar::new("stock,panel,dime,metal,access\nA1,hood,3,aluminium,glue\n")
        .card_with("uplifts = \"add\"", &format!("uplifts = \"{mode}\""))
        .card_with("dime = [\"10.00\"", &format!("dime = [\"{base}\""))
        .card(uplifts)
        .price()
        .lines("A1");
    let mut all = vec![];
    all.extend(expected.iter().map(|line| format!("hood|dents|{line}")));
    assert_eq!(lines, all);
}

#[test]
fn added_uplifts_stand_on_the_same_base_and_compounding_ones_on_each_other() {
    let two = uplift("a", "25", ON_DENTS) + &uplift("b", "20", ON_DENTS);
    // 25 % and 20 % of 10.00
    hood(
        "add",
        "10.00",
        &two,
        &["dents dime|3|10.00", "uplift a||2.50", "uplift b||2.00"],
    );
    // 20 % of 12.50
    hood(
        "compound",
        "10.00",
        &two,
        &["dents dime|3|10.00", "uplift a||2.50", "uplift b||2.50"],
    );
}

/// 12.5 % of 10.02 = 1.2525, a line of 1.25; then 90 % of the exact 11.2725 is
/// 10.14525, so 10.15. Built upon the rounded 11.27 it would be 10.143, so 10.14.
#[test]
fn compounding_builds_on_the_exact_part_and_not_on_the_rounded_line() {
    hood(
        "compound",
        "10.02",
        &(uplift("a", "12.5", ON_DENTS) + &uplift("b", "90", ON_DENTS)),
        &["dents dime|3|10.02", "uplift a||1.25", "uplift b||10.15"],
    );
}

/// A cell of 10.006 makes a line of 10.01, and 50 % of that is 5.005, so 5.01;
/// 50 % of 10.006 itself would be 5.003, so 5.00.
#[test]
fn an_uplift_starts_from_rounded_lines() {
    hood(
        "add",
        "10.006",
        &uplift("a", "50", ON_DENTS),
        &["dents dime|3|10.01", "uplift a||5.01"],
    );
}

/// 12.345 % of 52.00 = 6.4194; 99.999 % of 58.4194 = 58.418815806; 0.001 % of
/// 116.838215806 = 0.00116838215806; 999.999 % of 116.83938418815806 =
/// 1168.3926734877...: 23 digits in all, more than a binary float or 20 digits hold.
#[test]
fn four_compounding_percents_of_three_decimals_are_exact() {
    let four = uplift("a", "12.345", ON_DENTS)
        + &uplift("b", "99.999", ON_DENTS)
        + &uplift("c", "0.001", ON_DENTS)
        + &uplift("d", "999.999", ON_DENTS);
    hood(
        "compound",
        "52.00",
        &four,
        &[
            "dents dime|3|52.00",
            "uplift a||6.42",
            "uplift b||58.42",
            "uplift c||0.00",
            "uplift d||1168.39",
        ],
    );
}

#[test]
fn every_condition_given_must_hold() {
    for (conditions, applies) in [
        ("metal = [\"aluminium\"]", true),
        ("metal = [\"steel\", \"high-strength\"]", false),
        ("access = [\"glue\"]", true),
        ("access = [\"open\"]", false),
        ("panels = [\"hood\"]", true),
        ("panels = [\"roof\"]", false),
        ("bodies = [\"other\"]", true),
        ("bodies = [\"suv\"]", false),
        ("metal = [\"aluminium\"]\npanels = [\"roof\"]", false),
        (
            "metal = [\"aluminium\"]\naccess = [\"glue\"]\npanels = [\"hood\"]",
            true,
        ),
    ] {
        let text = uplift("a", "10", &format!("{ON_DENTS}\n{conditions}"));
        let mut expected = vec!["dents dime|3|10.00"];
        if applies {
            // 10 % of 10.00
            expected.push("uplift a||1.00");
        }
        hood("add", "10.00", &text, &expected);
    }
}

#[test]
fn an_uplift_is_on_dents_on_oversize_or_on_both_and_on_nothing_leaves_no_line() {
    let lines = |on: &str, sheet: &str| {
        OneCar::new(sheet)
            .card("[[oversize]]\nupto_mm = \"45\"\neach = \"38.00\"\n")
            .card(&uplift("a", "10", &format!("on = [{on}]")))
            .price()
            .lines("A1")
    };
    let both = "stock,panel,dime,oversize\nA1,hood,3,40\n";
    let last = |on: &str| lines(on, both).last().cloned();
    // 10 % of 10.00, of 38.00, of 48.00
    assert_eq!(
        last("\"dents\"").as_deref(),
        Some("hood|dents|uplift a||1.00")
    );
    assert_eq!(
        last("\"oversize\"").as_deref(),
        Some("hood|dents|uplift a||3.80")
    );
    assert_eq!(
        last("\"dents\", \"oversize\"").as_deref(),
        Some("hood|dents|uplift a||4.80")
    );
    // No oversize dent: base 0, no line.
    let dents = "stock,panel,dime\nA1,hood,3\n";
    assert_eq!(
        lines("\"oversize\"", dents),
        ["hood|dents|dents dime|3|10.00"]
    );
    // Only an unpriced dent above the ladder: base 0, no line.
    let quote = "stock,panel,dime,oversize\nA1,hood,0,90\n";
    assert_eq!(
        lines("\"oversize\"", quote),
        ["hood|dents|oversize above 45 mm|1|"]
    );
}

/// 12.5 % of 219.40 = 27.425: a tie, 27.43 up and 27.42 to the even cent.
#[test]
fn a_half_cent_goes_as_the_card_says() {
    for (rounding, amount) in [("half-up", "27.43"), ("half-even", "27.42")] {
        let lines = OneCar::new("stock,panel,dime\nA1,hood,3\n")
            .card_with("half-up", rounding)
            .card_with("dime = [\"10.00\"", "dime = [\"219.40\"")
            .card(&uplift("a", "12.5", ON_DENTS))
            .price()
            .lines("A1");
        assert_eq!(lines[1], format!("hood|dents|uplift a||{amount}"));
    }
}

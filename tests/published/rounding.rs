//! Published rounding rules.
//!
//! * Streamlined Sales and Use Tax Agreement, section 324: carry to the third
//!   decimal, round up to a whole cent when the third decimal is above four.
//! * HMRC, VATREC12030: below 0.5 of a penny down, 0.5 or more up.
//! * IEEE 754-2008, 4.3.1: roundTiesToAway and roundTiesToEven.

use hailyard::money::{Currency, Exact, Rounding, RoundingRule};
use rust_decimal::Decimal;

fn round(value: &str, rule: RoundingRule, code: &str) -> String {
    let currency = Currency::from_code(code).expect("a currency");
    let exact = Exact::from(value.parse::<Decimal>().expect("a number"));
    currency.text(Rounding { rule, currency }.money(exact))
}

#[test]
fn half_up_is_the_sales_tax_agreements_rule() {
    for (value, cents) in [
        ("0.004", "0.00"),
        ("0.0049999", "0.00"),
        ("0.005", "0.01"),
        ("1.454", "1.45"),
        ("1.455", "1.46"),
        ("1.4549", "1.45"),
        // The usual pairs: binary floats print 1.0 for the last one.
        ("0.125", "0.13"),
        ("2.345", "2.35"),
        ("1.005", "1.01"),
    ] {
        assert_eq!(round(value, RoundingRule::HalfUp, "USD"), cents, "{value}");
    }
}

#[test]
fn half_even_is_the_standards_default() {
    for (value, cents) in [
        ("0.125", "0.12"),
        ("0.135", "0.14"),
        ("2.345", "2.34"),
        ("1.005", "1.00"),
        ("1.0050000000000000000001", "1.01"),
    ] {
        assert_eq!(
            round(value, RoundingRule::HalfEven, "USD"),
            cents,
            "{value}"
        );
    }
}

/// rust_decimal's documentation of its strategies: 6.5 and -6.5 away from zero
/// are 7 and -7; to the even neighbour 6 and -6; 7.5 is 8.
#[test]
fn negative_amounts_are_mirror_images_and_there_is_no_negative_zero() {
    use RoundingRule::{HalfEven, HalfUp};
    for (value, up, even) in [
        ("6.5", "7", "6"),
        ("-6.5", "-7", "-6"),
        ("7.5", "8", "8"),
        ("-7.5", "-8", "-8"),
        ("-0.4", "0", "0"),
        ("-0.5", "-1", "0"),
    ] {
        assert_eq!(round(value, HalfUp, "JPY"), up, "{value}");
        assert_eq!(round(value, HalfEven, "JPY"), even, "{value}");
    }
}

/// Products past the 28 digits of a `Decimal`: 0.333...3 (28 threes) x 0.015 =
/// 0.00499...95, below a half cent; and one that exceeds a half cent only in
/// its 33rd digit.
#[test]
fn products_of_more_digits_than_a_decimal_holds_are_rounded_right() {
    let currency = Currency::from_code("USD").expect("a currency");
    let number = |text: &str| text.parse::<Decimal>().expect("a number");
    for rule in [RoundingRule::HalfUp, RoundingRule::HalfEven] {
        let rounding = Rounding { rule, currency };
        // 1.0000000001 ^ 3 x 0.005: above the half by 1.5e-12
        let factor = number("1.0000000001");
        let product = Exact::from(number("0.005"))
            .times(factor)
            .times(factor)
            .times(factor);
        assert_eq!(currency.text(rounding.money(product)), "0.01");
        // 0.9999999999 ^ 3 x 0.005: below it
        let factor = number("0.9999999999");
        let product = Exact::from(number("0.005"))
            .times(factor)
            .times(factor)
            .times(factor);
        assert_eq!(currency.text(rounding.money(product)), "0.00");
        // 0.005 + 1e-33: 34 places, the half is passed in the last one.
        let tiny = Exact::from(number("0.00000000000001")).times(number("0.0000000000000000001"));
        let above = Exact::from(number("0.005")).plus(tiny);
        assert_eq!(currency.text(rounding.money(above)), "0.01");
        assert_eq!(currency.text(rounding.money(above.negated())), "-0.01");
    }
}

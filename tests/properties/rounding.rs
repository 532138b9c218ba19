//! Amounts are rounded in 64 bits where they fit, and written by hand for big
//! tables: both are held to `rust_decimal`, which does the same by other code.

use hailyard::money::{Currency, Exact, Money, Rounding, RoundingRule};
use proptest::prelude::*;
use rust_decimal::{Decimal, RoundingStrategy};

const RULES: [(RoundingRule, RoundingStrategy); 2] = [
    (RoundingRule::HalfUp, RoundingStrategy::MidpointAwayFromZero),
    (
        RoundingRule::HalfEven,
        RoundingStrategy::MidpointNearestEven,
    ),
];

fn check(mantissa: i128, scale: u32, code: &str) {
    let currency = Currency::from_code(code).expect("a currency");
    let exact = Decimal::from_i128_with_scale(mantissa, scale);
    for (rule, strategy) in RULES {
        let money = Rounding { rule, currency }.money(Exact::from(exact));
        let mut expected = exact.round_dp_with_strategy(currency.places(), strategy);
        expected.rescale(currency.places());
        // Zero has no sign.
        let expected = expected.to_string();
        let zero = expected
            .bytes()
            .all(|byte| matches!(byte, b'-' | b'0' | b'.'));
        let expected = expected.trim_start_matches(if zero { "-" } else { "" });
        assert_eq!(
            currency.text(money),
            expected,
            "{mantissa}e-{scale} {rule:?}"
        );
        let mut text = Vec::new();
        currency.push_text(money, &mut text);
        assert_eq!(text, expected.as_bytes(), "{mantissa}e-{scale} {rule:?}");
    }
}

proptest! {
    #[test]
    fn amounts_are_rounded_and_written_as_the_decimal_library_does(
        mantissa in prop_oneof![
            -20_000_i128..20_000,
            any::<i64>().prop_map(i128::from),
            -(1_i128 << 95)..(1_i128 << 95),
        ],
        scale in 0_u32..=20,
        code in prop_oneof![Just("JPY"), Just("USD"), Just("BHD"), Just("CLF")],
    ) {
        check(mantissa, scale, code);
    }
}

proptest! {
    /// Amounts are added as whole numbers of minor units are, and compared as the
    /// decimal library does it.
    #[test]
    fn amounts_are_added_and_compared_as_the_decimal_library_does(
        one in amount_units(),
        other in amount_units(),
        code in prop_oneof![Just("JPY"), Just("USD"), Just("BHD"), Just("CLF")],
    ) {
        let currency = Currency::from_code(code).expect("a currency");
        let decimal = |units: i128| Decimal::from_i128_with_scale(units, currency.places());
        let money = |units: i128| Money::from_minor_units(units, currency);
        let added = money(one) + money(other);
        prop_assert_eq!(added.minor_units(currency), one + other);
        prop_assert_eq!(added, money(one + other));
        prop_assert_eq!(money(one).cmp(&money(other)), decimal(one).cmp(&decimal(other)));
        prop_assert_eq!(Money::ZERO.cmp(&money(one)), Decimal::ZERO.cmp(&decimal(one)));
    }
}

/// Small ones, those about the edges of 62 and of 64 bits, and all that add up to
/// no more than a decimal holds.
fn amount_units() -> impl Strategy<Value = i128> {
    let about = |edge: i128| (-3_i128..=3).prop_map(move |away| edge + away);
    prop_oneof![
        -200_i128..200,
        any::<i64>().prop_map(i128::from),
        about(1 << 62),
        about(-(1 << 62)),
        about(1 << 63),
        about(-(1 << 63)),
        -(1_i128 << 94)..(1_i128 << 94),
    ]
}

/// Halves on both sides of nothing, and the largest figures that 64 bits hold.
#[test]
fn halves_and_edges() {
    for half in [5_i128, -5, 15, -15, 25, 125, -125, 49, 51, -49, -51, 0] {
        for scale in 0..=4 {
            for code in ["JPY", "USD", "BHD", "CLF"] {
                check(half, scale, code);
            }
        }
    }
    for edge in [i64::MAX, i64::MIN, i64::MAX - 1] {
        for scale in [0, 1, 2, 3, 18, 19, 20, 21] {
            check(i128::from(edge), scale, "USD");
            check(i128::from(edge) + 1, scale, "JPY");
        }
    }
}

//! 1,000 roundings by a second program: Python's `decimal` module (the General
//! Decimal Arithmetic Specification of M. Cowlishaw). `roundings.py` makes the
//! table; a quarter are exact ties, a quarter lie a hair beside one.

use hailyard::money::{Currency, Exact, Rounding, RoundingRule};
use rust_decimal::Decimal;

#[test]
fn a_thousand_roundings_agree_with_pythons_decimal() {
    let table = include_str!("roundings.csv");
    // A currency of each number of places; no currency has one place.
    let by_places = ["JPY", "", "USD", "KWD"];
    let mut compared = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let exact = Exact::from(cells[0].parse::<Decimal>().expect("a number"));
        let places: usize = cells[1].parse().expect("places");
        let Some(currency) = Currency::from_code(by_places[places]) else {
            // One place: ten times the number to no place, and back by hand.
            let ten = exact.times(Decimal::TEN);
            let yen = Currency::from_code("JPY").expect("a currency");
            for (rule, cell) in [
                (RoundingRule::HalfUp, cells[2]),
                (RoundingRule::HalfEven, cells[3]),
            ] {
                let units = yen.text(
                    Rounding {
                        rule,
                        currency: yen,
                    }
                    .money(ten),
                );
                let expected: Decimal = cell.parse::<Decimal>().expect("a number") * Decimal::TEN;
                assert_eq!(
                    units.parse::<Decimal>().expect("a number"),
                    expected,
                    "{line}"
                );
            }
            compared += 1;
            continue;
        };
        for (rule, cell) in [
            (RoundingRule::HalfUp, cells[2]),
            (RoundingRule::HalfEven, cells[3]),
        ] {
            assert_eq!(
                currency.text(Rounding { rule, currency }.money(exact)),
                cell,
                "{line}"
            );
        }
        compared += 1;
    }
    assert_eq!(compared, 1_000);
}

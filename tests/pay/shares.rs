//! Who gets what: apportionment against published rows, and a car's money off
//! the top against storms whose split an independent program made
//! (`tests/data/pay`).

use super::STORMS;
use crate::builder::{data, read_csv};
use hailyard::intake::{Disk, read_storm};
use hailyard::money::{Currency, Money, Percent};
use hailyard::pay::{OffTheTop, PayPeriod, RedoFrom, Share, ShareOf, apportion};
use hailyard::pricing::price_storm;
use num_bigint::BigUint;
use proptest::prelude::*;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Whole units of a currency without decimals, so that seats are amounts.
fn seats(amount: i128, weights: &[u64]) -> Vec<i128> {
    let yen = Currency::from_code("JPY").expect("a currency");
    let weights: Vec<BigUint> = weights
        .iter()
        .map(|weight| BigUint::from(*weight))
        .collect();
    apportion(Money::from_minor_units(amount, yen), &weights, yen)
        .expect("weights above 0")
        .into_iter()
        .map(|part| part.minor_units(yen))
        .collect()
}

/// Published rows of the largest-remainder method and of its paradox, in which
/// one more seat costs a state one: the toy rows of the encyclopedic article
/// "Largest remainders method" / "Alabama paradox" (6, 6, 2 and 5670, 3850,
/// 420, 60), also on electowiki.
#[test]
fn the_published_paradox() {
    // 10 x 6/14 = 4.286, 10 x 2/14 = 1.429
    assert_eq!(seats(10, &[6, 6, 2]), [4, 4, 2]);
    // 11 x 6/14 = 4.714, 11 x 2/14 = 1.571
    assert_eq!(seats(11, &[6, 6, 2]), [5, 5, 1]);
    assert_eq!(seats(323, &[5_670, 3_850, 420, 60]), [183, 124, 14, 2]);
    assert_eq!(seats(324, &[5_670, 3_850, 420, 60]), [184, 125, 13, 2]);
}

#[test]
fn one_cent_among_seven_goes_to_the_first_and_back() {
    assert_eq!(seats(1, &[1; 7]), [1, 0, 0, 0, 0, 0, 0]);
    assert_eq!(seats(-1, &[1; 7]), [-1, 0, 0, 0, 0, 0, 0]);
    // 100 / 7 = 14.2857: two over, to the first two
    assert_eq!(seats(100, &[1; 7]), [15, 15, 14, 14, 14, 14, 14]);
    // a weight of 0 gets nothing, whatever is over
    assert_eq!(seats(5, &[0, 1, 0, 1]), [0, 3, 0, 2]);
    let yen = Currency::from_code("JPY").expect("a currency");
    let nobody = [BigUint::ZERO, BigUint::ZERO];
    assert_eq!(
        apportion(Money::from_minor_units(1, yen), &nobody, yen),
        None
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// The parts are the whole; each is within one unit of its exact share; a
    /// negative amount mirrors the positive one. The share is reckoned here by
    /// cross-multiplication, without division.
    #[test]
    fn parts_are_the_whole(
        amount in -1_000_000_000_000_i128..1_000_000_000_000,
        weights in proptest::collection::vec(0_u64..1_000_000, 1..12),
    ) {
        prop_assume!(weights.iter().any(|weight| *weight > 0));
        let parts = seats(amount, &weights);
        prop_assert_eq!(parts.iter().sum::<i128>(), amount);
        let all: i128 = weights.iter().map(|weight| i128::from(*weight)).sum();
        for (part, weight) in parts.iter().zip(&weights) {
            let off = part * all - amount * i128::from(*weight);
            prop_assert!(off.abs() < all, "{part} of {amount} for {weight}");
        }
        let mirrored: Vec<i128> = seats(-amount, &weights).iter().map(|part| -part).collect();
        prop_assert_eq!(mirrored, parts);
    }
}

/// `[[share]]` of a storm.toml, read by the general TOML reader.
fn shares(storm: &str) -> Vec<Share> {
    let path = data("pay").join(storm).join("storm.toml");
    let text = std::fs::read_to_string(path).expect("storm.toml");
    let table: toml::Table = text.parse().expect("TOML");
    let none = Vec::new();
    let listed = table
        .get("share")
        .and_then(|shares| shares.as_array())
        .unwrap_or(&none);
    listed
        .iter()
        .map(|share| {
            let text = |key: &str| match &share[key] {
                toml::Value::String(text) => text.clone(),
                other => other.to_string(),
            };
            Share {
                to: text("to"),
                of: ShareOf::from_word(&text("of")).expect("a word of the design"),
                percent: Percent(text("percent").parse().expect("a decimal")),
                line: 0,
            }
        })
        .collect()
}

/// The checked reader finds what the general TOML reader finds.
#[test]
fn the_terms_of_pay_are_read_as_written() {
    let mut read = 0;
    for storm in STORMS {
        let terms = read_storm(&Disk::new(data("pay").join(storm)), None).pay;
        let expected = shares(storm);
        assert_eq!(terms.shares.len(), expected.len(), "{storm}");
        for (found, expected) in terms.shares.iter().zip(&expected) {
            assert_eq!(
                (&found.to, found.of, found.percent),
                (&expected.to, expected.of, expected.percent)
            );
            read += 1;
        }
        let path = data("pay").join(storm).join("storm.toml");
        let text = std::fs::read_to_string(path).expect("storm.toml");
        let table: toml::Table = text.parse().expect("TOML");
        let said = |key: &str, default: &str| -> String {
            let pay = table.get("pay").and_then(|pay| pay.get(key));
            pay.and_then(|value| value.as_str())
                .unwrap_or(default)
                .to_owned()
        };
        let redo = match terms.redo {
            RedoFrom::Charge => "charge",
            RedoFrom::House => "house",
        };
        let period = match terms.period {
            PayPeriod::Week => "week",
            PayPeriod::Storm => "storm",
        };
        assert_eq!(redo, said("redo", "charge"), "{storm}");
        assert_eq!(period, said("period", "week"), "{storm}");
        assert_eq!(
            terms.conventional,
            said("conventional", "conventional"),
            "{storm}"
        );
        assert_eq!(
            terms.overtime,
            said("overtime", "") == "us-piece-rate",
            "{storm}"
        );
    }
    assert!(read > 10, "{read}");
}

/// Sums of the expected pay.csv by stock, panel and what the row is: a share by
/// its receiver, a tax by its name, conventional, or a pool's people, house and
/// unearned part together.
fn expected(storm: &str) -> BTreeMap<[String; 3], Decimal> {
    let rows = read_csv(&data("pay").join(storm).join("expected/pay.csv"));
    let mut sums: BTreeMap<[String; 3], Decimal> = BTreeMap::new();
    for row in &rows[1..] {
        // What belongs to no car nets to nothing: the house pays the people.
        if row[0].is_empty() {
            continue;
        }
        let of = match row[3].as_str() {
            "share" | "tax" => format!("{} {}", row[3], row[2].trim_start_matches('\'')),
            "conventional" => row[3].clone(),
            _ => "pool".to_owned(),
        };
        let amount: Decimal = row[4].parse().expect("an amount");
        *sums
            .entry([row[0].clone(), row[1].clone(), of])
            .or_default() += amount;
    }
    sums.retain(|_, sum| !sum.is_zero());
    sums
}

/// Every share, tax and pool of every car of every storm, equal to the cent.
#[test]
fn shares_and_pools_equal_an_independent_program() {
    let (mut compared, mut rows) = (0, 0);
    for storm in STORMS {
        let shares = shares(storm);
        let intake = read_storm(&Disk::new(data("pay").join(storm)), None);
        assert_eq!(intake.problems.errors(), 0, "{storm}");
        let (lot, rates) = intake.storm.expect("a storm");
        let priced = price_storm(&lot, &rates);
        let mut found: BTreeMap<[String; 3], Decimal> = BTreeMap::new();
        for (car, priced) in lot.cars.iter().zip(&priced.cars) {
            let split = OffTheTop::of(priced, &shares, lot.currency);
            assert_eq!(
                split.total(),
                priced.total().known,
                "{storm} {}",
                car.vehicle.stock
            );
            let terms = &rates.terms[car.vehicle.payer];
            let mut add = |panel: &str, of: String, amount: Money| {
                let amount: Decimal = lot.currency.text(amount).parse().expect("a decimal");
                // As CSV writes a stock that a spreadsheet would run.
                let stock = hailyard::report::guarded(&car.vehicle.stock).into_owned();
                *found.entry([stock, panel.to_owned(), of]).or_default() += amount;
            };
            for (share, taken) in shares.iter().zip(&split.shares) {
                add("", format!("share {}", share.to), taken.amount);
            }
            for pool in &split.panels {
                add(pool.panel.word(), "pool".to_owned(), pool.amount);
            }
            add("", "pool".to_owned(), split.removal + split.house);
            add("", "conventional".to_owned(), split.conventional);
            for (tax, amount) in &split.taxes {
                add("", format!("tax {}", terms.taxes[*tax].name), *amount);
            }
            rows += 1;
        }
        found.retain(|_, sum| !sum.is_zero());
        let expected = expected(storm);
        for (key, sum) in &expected {
            assert_eq!(found.get(key), Some(sum), "{storm} {key:?}");
        }
        assert_eq!(found.len(), expected.len(), "{storm}");
        compared += found.len();
    }
    assert!(
        compared > 1_500 && rows > 150,
        "{compared} amounts of {rows} cars"
    );
}

/// The worked example: 22 % of 540.63 is 118.9386; 8 % of the 421.69 left is
/// 33.7352; 387.95 by 322.25 : 246.83 is 219.6825 : 168.2675, the odd cent to
/// the larger remainder.
#[test]
fn the_worked_example_cent_by_cent() {
    let storm = "worked-example";
    let intake = read_storm(&Disk::new(data("pay").join(storm)), None);
    let (lot, rates) = intake.storm.expect("a storm");
    let priced = price_storm(&lot, &rates);
    let split = OffTheTop::of(&priced.cars[0], &shares(storm), lot.currency);
    let text = |amount: Money| lot.currency.text(amount);
    let taken: Vec<String> = split
        .shares
        .iter()
        .map(|share| text(share.amount))
        .collect();
    assert_eq!(taken, ["118.94", "33.74"]);
    let pools: Vec<(&str, String)> = split
        .panels
        .iter()
        .map(|pool| (pool.panel.word(), text(pool.amount)))
        .collect();
    assert_eq!(
        pools,
        [("hood", "219.68".to_owned()), ("roof", "168.27".to_owned())]
    );
    assert_eq!(text(split.removal), "185.60");
    // parts 14.00 + extra 13.00
    assert_eq!(text(split.house), "27.00");
}

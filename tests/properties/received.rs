//! Pay out of what came in, for random storms, crews and receipts: at every
//! moment what is payable is what came in, nobody's part shrinks while money
//! comes in, and once all is in everyone has what the work earned.

use super::check;
use super::pay::crewed;
use hailyard::intake::{InMemory, read_storm};
use hailyard::money::Money;
use hailyard::pay::{
    CameIn, EntryKind, PayKind, PayTerms, PayableOn, Split, SplitInput, split_storm,
};
use hailyard::pricing::price_storm;
use hailyard::storm::Panel;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::test_runner::{TestCaseError, TestCaseResult};
use proptest::{prop_assert, prop_assert_eq};
use std::cell::Cell;
use std::collections::BTreeMap;

/// What each person holds of each pool, in minor units.
type Held = BTreeMap<(usize, usize, Option<Panel>), i128>;

const FIRST: Date = date(2026, 6, 10);

fn held(split: &Split, units: impl Fn(Money) -> i128) -> Held {
    let mut held = Held::new();
    for statement in &split.statements {
        for entry in statement.entries() {
            let of_pool = matches!(
                entry.kind,
                EntryKind::Work | EntryKind::Redo | EntryKind::RedoCharge | EntryKind::CameIn
            );
            if let (true, Some(car)) = (of_pool, entry.car) {
                *held
                    .entry((statement.person, car, entry.panel))
                    .or_default() += units(entry.amount);
            }
        }
    }
    held
}

#[test]
fn what_is_payable_is_what_came_in() {
    let moments = Cell::new(0);
    check(250, 41, |lot, dice| {
        let mut source = InMemory::default();
        for (path, text) in crewed(lot, dice) {
            source.add(&path, text.into_bytes());
        }
        let intake = read_storm(&source, None);
        let (storm, rates) = intake.storm.expect("a storm");
        let currency = storm.currency;
        let priced = price_storm(&storm, &rates);
        let units = |money: Money| money.minor_units(currency);
        let split = |terms: &PayTerms, came_in: &[CameIn]| {
            let input = SplitInput {
                storm: &storm,
                rates: &rates,
                priced: &priced,
                terms,
                log: &intake.crew,
                came_in,
            };
            split_storm(input)
                .map(|(split, _)| split)
                .map_err(|error| TestCaseError::fail(error.what))
        };
        let by_work = split(&intake.pay, &[])?;
        let earned = held(&by_work, units);
        let terms = PayTerms {
            on: PayableOn::Received,
            ..intake.pay.clone()
        };
        let prices: Vec<i128> = priced
            .cars
            .iter()
            .map(|car| units(car.total().known))
            .collect();
        let mut came_in: Vec<CameIn> = Vec::new();
        let mut sums = vec![0_i128; prices.len()];
        let mut before = Held::new();
        for step in 0..6 {
            let now = split(&terms, &came_in)?;
            moments.set(moments.get() + 1);
            // Summed from the rows: what awaits is what the car lacks.
            let mut awaits = vec![0_i128; prices.len()];
            let mut whole = vec![0_i128; prices.len()];
            for row in &now.rows {
                if let Some(car) = row.car {
                    whole[car] += units(row.amount);
                    awaits[car] += if row.awaits { units(row.amount) } else { 0 };
                }
            }
            for car in 0..prices.len() {
                prop_assert_eq!(whole[car], prices[car]);
                prop_assert_eq!(awaits[car], prices[car] - sums[car].min(prices[car]));
            }
            let payable = held(&now, units);
            for (share, &of_work) in &earned {
                let (price, sum) = (prices[share.1], sums[share.1].min(prices[share.1]));
                let paid = payable.get(share).copied().unwrap_or(0);
                // 0 <= |earned| x came in / price - |paid| < 1, exactly.
                let short = of_work.abs() * sum - paid.abs() * price;
                prop_assert!((0..price).contains(&short), "{share:?} {of_work} {paid}");
                prop_assert!(paid == 0 || paid.signum() == of_work.signum());
                if sum == price {
                    prop_assert_eq!(paid, of_work);
                }
                let earlier = before.get(share).copied().unwrap_or(0);
                prop_assert!(paid.abs() >= earlier.abs(), "{share:?} shrank");
            }
            prop_assert!(payable.keys().all(|share| earned.contains_key(share)));
            before = payable;
            // More comes in, of some cars all that is lacking or more.
            for car in 0..prices.len() {
                let lacking = (prices[car] - sums[car]).max(0);
                let more = match dice.below(4) {
                    _ if step == 4 => lacking,
                    0 => 0,
                    1 => lacking.min(1),
                    2 => lacking * i128::from(dice.below(1_000)) / 1_000,
                    _ => lacking + i128::from(dice.below(2)),
                };
                if more > 0 {
                    sums[car] += more;
                    came_in.push(CameIn {
                        car,
                        date: FIRST.saturating_add(i64::from(dice.below(40)).days()),
                        amount: Money::from_minor_units(more, currency),
                    });
                }
            }
        }
        all_is_in(&split(&terms, &came_in)?, &by_work)
    });
    assert!(moments.get() >= 1_500, "{moments:?}");
}

/// Once all came in everyone has to get what the work earned.
fn all_is_in(now: &Split, by_work: &Split) -> TestCaseResult {
    let rows = |split: &Split| -> Vec<(Option<usize>, Option<Panel>, PayKind, Money)> {
        let rows = split.rows.iter();
        rows.map(|row| (row.car, row.panel, row.kind, row.amount))
            .collect()
    };
    prop_assert!(now.rows.iter().all(|row| !row.awaits));
    prop_assert_eq!(rows(now), rows(by_work));
    for (one, other) in now.statements.iter().zip(&by_work.statements) {
        prop_assert_eq!(one.balance(), other.balance());
    }
    Ok(())
}

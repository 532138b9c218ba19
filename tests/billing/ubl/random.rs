//! Bills at random: the document foots and comes to the bill's amount.

use super::{Books, books};
use hailyard::billing::Untaxed;
use hailyard::money::{Money, Percent};
use hailyard::storm::{BillKind, BillNumber, BillParts, BillRow};
use jiff::civil::date;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use rust_decimal::Decimal;

/// One car: amounts in minor units by group, what was not approved, the other's part
/// and a credit, and the rate of every group by its place in `RATES`.
type CarParts = ([i64; 6], i64, i64, i64, [usize; 6]);

/// None, whole, fine, and so small that a single minor unit is no tax.
const RATES: [(i64, u32); 5] = [(0, 0), (19, 0), (7250, 3), (8875, 3), (125, 3)];

/// The rates below this place are 1 % and more. The published form of BR-CO-17 takes a
/// rate that rounds to 0 for none, which the rule itself does not say.
const WHOLE: usize = 4;

fn car(rates: usize) -> impl Strategy<Value = CarParts> {
    let amount = || prop_oneof![2 => Just(0), 4 => 0_i64..300_000, 1 => -50_000_i64..0];
    // A group's tax may be what another rounding, or a hand, made of it.
    let groups = [amount(), amount(), amount(), amount(), amount(), amount()];
    let rates = prop::array::uniform6(0..rates);
    let seldom = || prop_oneof![3 => Just(0_i64), 1 => -40_000_i64..10_000];
    (groups, seldom(), seldom(), seldom(), rates)
}

fn ledger(cars: &[CarParts], code: &str, later: bool) -> Books {
    let mut books = books(code);
    let currency = books.storm.currency;
    let money = |units: i64| Money::from_minor_units(i128::from(units), currency);
    for (index, (groups, not_approved, other_part, credit, rates)) in cars.iter().enumerate() {
        books.ledger.push(BillRow {
            number: BillNumber {
                text: "9".to_owned(),
                serial: 9,
            },
            date: date(2026, 7, 1),
            due: date(2026, 7, 31),
            kind: BillKind::Bill,
            to: "Quarry Mutual".to_owned(),
            stock: format!("A{}", 101 + index).into(),
            of: String::new(),
            parts: BillParts {
                groups: groups.map(money),
                not_approved: money(*not_approved),
                other_part: money(*other_part),
                credit: money(*credit),
            },
            tax_rates: rates.map(|rate| {
                let (mantissa, scale) = RATES[rate];
                Percent(Decimal::new(mantissa, scale))
            }),
            source: None,
        });
    }
    let amount: Money = books.ledger.iter().map(|row| row.parts.amount()).sum();
    let kind = match amount < Money::ZERO {
        true => BillKind::Correction,
        false if later => BillKind::Supplement,
        false => BillKind::Bill,
    };
    books.ledger.iter_mut().for_each(|row| row.kind = kind);
    books
}

/// Some bills, always the same, for other programs to read.
pub fn samples() -> Vec<(String, Vec<u8>)> {
    let mut runner = TestRunner::deterministic();
    let cars = prop::collection::vec(car(WHOLE), 1..6);
    let drawn = (0..60).map(|index| {
        let tree = cars.new_tree(&mut runner).expect("no filter");
        let code = ["EUR", "USD", "JPY"][index % 3];
        let mut books = ledger(&tree.current(), code, index % 2 == 0);
        books.terms.untaxed = UNTAXED[index / 3 % 3];
        let bytes = books.written().expect("nothing is missing");
        (format!("random-{index}"), bytes)
    });
    drawn.collect()
}

const UNTAXED: [Untaxed; 3] = [Untaxed::Exempt, Untaxed::ZeroRated, Untaxed::OutOfScope];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// `read` holds the document to every rule and `PayableAmount` to the bill.
    #[test]
    fn every_bill_foots_and_comes_to_its_amount(
        cars in prop::collection::vec(car(RATES.len()), 1..9),
        code in prop::sample::select(vec!["EUR", "USD", "JPY"]),
        untaxed in prop::sample::select(UNTAXED.to_vec()),
        later in any::<bool>(),
    ) {
        let mut books = ledger(&cars, code, later);
        books.terms.untaxed = untaxed;
        let doc = books.read();
        let lines = doc.all(&format!("cac:{}Line", doc.name)).len();
        prop_assert!(lines >= cars.len());
    }
}

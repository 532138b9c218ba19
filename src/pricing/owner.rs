//! Step 10: who pays. The owners' deductibles reach as far as the event maximum.

use super::ledger::GroupSum;
use super::total_loss::{self, TotalLossFlag};
use crate::money::Money;
use crate::rates::Terms;

/// What the owners of one payer's cars have borne so far, car by car in lot order.
#[derive(Debug, Clone, Copy, Default)]
pub struct OwnersSoFar(Money);

impl OwnersSoFar {
    /// The owner's part of a car's total; the rest is the payer's. The car
    /// that crosses the event maximum pays partly, later ones nothing.
    pub fn owner_part(&mut self, terms: &Terms, own: Option<Money>, total: Money) -> Money {
        let mut part = deductible(terms, own, total);
        if let Some(most) = terms.deductible_event_max {
            part = part.min(self.left(most));
        }
        self.0 += part;
        part
    }

    fn left(self, most: Money) -> Money {
        if self.0 < most {
            most - self.0
        } else {
            Money::ZERO
        }
    }

    /// Passes many cars in one go: since no total is below nothing, only their sum
    /// matters.
    pub fn pass(&mut self, terms: &Terms, cars: Deductibles) {
        self.0 += match terms.deductible_event_max {
            Some(most) => cars.0.min(self.left(most)),
            None => cars.0,
        };
    }
}

/// What the owner bears if no event maximum is reached.
fn deductible(terms: &Terms, own: Option<Money>, total: Money) -> Money {
    let deductible = own.or(terms.deductible).unwrap_or(Money::ZERO);
    deductible.min(total)
}

/// What the owners of some cars of one payer bear if no event maximum is reached.
/// With it, what the cars before leave is known without going through them.
#[derive(Debug, Clone, Copy, Default)]
pub struct Deductibles(Money);

impl Deductibles {
    /// Adds a car.
    pub fn add(&mut self, terms: &Terms, own: Option<Money>, total: Money) {
        self.0 += deductible(terms, own, total);
    }
}

/// Steps 10 and 11 of one car.
pub struct Share {
    /// What the owner pays; none while nothing is known.
    pub owner_pays: Option<Money>,
    /// What the payer pays; none while nothing is known.
    pub payer_pays: Option<Money>,
    /// The total-loss flag.
    pub total_loss: Option<TotalLossFlag>,
}

impl Share {
    /// Of a counted car's total, in lot order. `value` and `deductible` are
    /// what the lot list says of the car itself.
    pub fn of(
        terms: &Terms,
        value: Option<Money>,
        deductible: Option<Money>,
        total: GroupSum,
        owners: &mut OwnersSoFar,
    ) -> Share {
        let owner = owners.owner_part(terms, deductible, total.known);
        Share {
            owner_pays: total.shown().map(|_| owner),
            payer_pays: total.shown().map(|total| total - owner),
            total_loss: total_loss::flag(terms, value, total),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::money::Currency;

    proptest::proptest! {
        /// Passed many at a time or one by one, cars leave the same of the maximum.
        #[test]
        fn cars_are_passed_in_one_go(
            totals in proptest::collection::vec((proptest::bool::ANY, 0..90_000_i64), 0..40),
            most in proptest::option::of(0..600_000_i64),
            chunk in 1_usize..9,
        ) {
            let money = |cents: i64| Money::from_minor_units(cents.into(), Currency::usd());
            let terms = Terms {
                deductible: Some(money(25_000)),
                deductible_event_max: most.map(money),
                card: 0,
                discount: Default::default(),
                lot_discount: Vec::new(),
                minimum: None,
                taxes: Vec::new(),
                total_loss: None,
            };
            let car = |(has_own, total): &(bool, i64)| {
                (has_own.then(|| money(10_000)), money(*total))
            };
            let (mut one_by_one, mut in_one_go) = <(OwnersSoFar, OwnersSoFar)>::default();
            for cars in totals.chunks(chunk) {
                let mut deductibles = Deductibles::default();
                for (own, total) in cars.iter().map(car) {
                    deductibles.add(&terms, own, total);
                    one_by_one.owner_part(&terms, own, total);
                }
                in_one_go.pass(&terms, deductibles);
                proptest::prop_assert_eq!(in_one_go.0, one_by_one.0);
            }
        }
    }
}

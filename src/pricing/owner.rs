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
        let deductible = own.or(terms.deductible).unwrap_or(Money::ZERO);
        let mut part = deductible.min(total);
        if let Some(most) = terms.deductible_event_max {
            let left = if self.0 < most {
                most - self.0
            } else {
                Money::ZERO
            };
            part = part.min(left);
        }
        self.0 += part;
        part
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

//! Step 10: who pays. The owners' deductibles reach as far as the event maximum.

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

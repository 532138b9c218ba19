//! Steps 7 to 9: discount, minimum, taxes.

use super::ledger::Ledger;
use super::line::{Basis, Item, Line};
use crate::money::{Percent, Rounding};
use crate::rates::{LotTier, Terms};
use crate::storm::Group;

/// Groups that the minimum looks at.
const MINIMUM_GROUPS: [Group; 4] = [Group::Dents, Group::Removal, Group::Parts, Group::Extra];

/// Percents off each group, in [`Group::ALL`] order: the same on all cars of a payer.
pub type Discounts = [Percent; Group::ALL.len()];

/// What a payer's cars get off once the tier is known.
#[must_use]
pub fn discounts(terms: &Terms, tier: Option<LotTier>) -> Discounts {
    Group::ALL.map(|group| terms.discount_on(group, tier))
}

/// Adds the lines of steps 7 to 9.
pub fn settle<L: From<Line>>(
    ledger: &mut Ledger<L>,
    terms: &Terms,
    discounts: &Discounts,
    rounding: Rounding,
) {
    discount(ledger, discounts, rounding);
    minimum(ledger, terms);
    taxes(ledger, terms, rounding);
}

fn discount<L: From<Line>>(ledger: &mut Ledger<L>, discounts: &Discounts, rounding: Rounding) {
    for (group, percent) in Group::ALL.into_iter().zip(*discounts) {
        let sum = ledger.sum(group).known;
        if group == Group::Tax || sum.is_zero() || percent.is_zero() {
            continue;
        }
        ledger.push(Line {
            panel: None,
            group,
            item: Item::Discount,
            quantity: None,
            amount: Some(rounding.money(sum.exact().percent(percent).negated())),
            basis: Basis::PercentOff { percent, sum },
        });
    }
}

fn minimum<L: From<Line>>(ledger: &mut Ledger<L>, terms: &Terms) {
    let Some(minimum) = terms.minimum else { return };
    if ledger.is_open() {
        return;
    }
    let sum = ledger.known(MINIMUM_GROUPS);
    if sum.is_zero() || sum >= minimum {
        return;
    }
    ledger.push(Line {
        panel: None,
        group: Group::Dents,
        item: Item::Minimum,
        quantity: None,
        // Both are whole minor units, so there is nothing to round.
        amount: Some(minimum - sum),
        basis: Basis::UpTo { minimum, sum },
    });
}

fn taxes<L: From<Line>>(ledger: &mut Ledger<L>, terms: &Terms, rounding: Rounding) {
    for (index, tax) in terms.taxes.iter().enumerate() {
        let sum = ledger.known(
            Group::ALL
                .into_iter()
                .filter(|group| *group != Group::Tax && tax.on[group.index()]),
        );
        if tax.percent.is_zero() || sum.is_zero() {
            continue;
        }
        ledger.push(Line {
            panel: None,
            group: Group::Tax,
            item: Item::Tax(index),
            quantity: None,
            amount: Some(rounding.money(sum.exact().percent(tax.percent))),
            basis: Basis::TaxOn {
                percent: tax.percent,
                sum,
            },
        });
    }
}

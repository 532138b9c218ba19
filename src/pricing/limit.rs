//! Step 4: the most a panel may cost in dents.

use super::line::{Basis, Item, Line};
use super::prepared::PreparedCard;
use crate::money::Money;
use crate::rates::LimitAction;
use crate::storm::{Group, Panel};
use std::cmp::Ordering;

/// What a limit does to a panel whose known lines come to `sum`.
pub enum Limited {
    /// Nothing: there is none, or the panel is not above it.
    No,
    /// A line that takes the rest off.
    Held(Line),
    /// The panel is referred.
    Referred,
}

/// Compares a panel with its limit. Equal is not above.
pub fn apply(card: &PreparedCard<'_>, panel: Panel, sum: Money) -> Limited {
    let Some(limit) = card.limit(panel) else {
        return Limited::No;
    };
    if sum.exact().compare(limit.amount) != Ordering::Greater {
        return Limited::No;
    }
    match limit.then {
        LimitAction::Refer => Limited::Referred,
        LimitAction::Hold => Limited::Held(Line {
            panel: Some(panel),
            group: Group::Dents,
            item: Item::Limit,
            quantity: None,
            amount: Some(
                card.rounding
                    .money(limit.amount.plus(sum.exact().negated())),
            ),
            basis: Basis::Held {
                limit: limit.amount,
                sum,
            },
        }),
    }
}

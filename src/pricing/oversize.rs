//! Step 2: dents too big for the last class, one by one.

use super::line::{Basis, Item, Line};
use super::prepared::PreparedCard;
use crate::storm::{Group, MeasuredDents, Panel};
use rust_decimal::Decimal;

/// Adds one line per step in card order; last, without an amount, what is above all steps.
pub fn lines(
    card: &PreparedCard<'_>,
    panel: Panel,
    oversize: &[MeasuredDents],
    lines: &mut Vec<Line>,
) {
    if oversize.is_empty() {
        return;
    }
    let steps = &card.card.oversize;
    let mut per_step = vec![0_u32; steps.len() + 1];
    for dents in oversize {
        let step = steps
            .iter()
            .position(|step| dents.diameter <= step.upto)
            .unwrap_or(steps.len());
        per_step[step] += dents.dents;
    }
    let above = per_step[steps.len()];
    for (index, (step, dents)) in steps.iter().zip(per_step).enumerate() {
        if dents == 0 {
            continue;
        }
        lines.push(Line {
            panel: Some(panel),
            group: Group::Dents,
            item: Item::OversizeTo(index),
            quantity: Some(dents),
            amount: Some(card.rounding.money(step.each.times(Decimal::from(dents)))),
            basis: Basis::Each {
                count: dents,
                each: step.each,
            },
        });
    }
    if above > 0 {
        lines.push(Line {
            panel: Some(panel),
            group: Group::Dents,
            item: Item::OversizeAbove,
            quantity: Some(above),
            amount: None,
            basis: Basis::Quote { dents: above },
        });
    }
}

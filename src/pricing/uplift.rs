//! Step 3: percentages on top.

use super::line::{Basis, Item, Line};
use super::prepared::PreparedCard;
use crate::money::{Exact, Money};
use crate::rates::UpliftMode;
use crate::storm::{Body, Group, PanelCount};

/// Adds one line per uplift whose conditions all hold and whose base is not 0, in
/// card order. `dents` and `oversize` are the sums of those kinds' rounded lines.
pub fn lines(
    card: &PreparedCard<'_>,
    count: &PanelCount,
    body: Body,
    dents: Money,
    oversize: Money,
    lines: &mut Vec<Line>,
) {
    let mut running_dents = dents.exact();
    let mut running_oversize = oversize.exact();
    for (index, uplift) in card.card.uplifts.iter().enumerate() {
        if !uplift.applies(count.metal, count.access, count.panel, body) {
            continue;
        }
        let base_dents = uplift.on.dents.then_some(running_dents);
        let base_oversize = uplift.on.oversize.then_some(running_oversize);
        let base = base_dents
            .unwrap_or(Exact::ZERO)
            .plus(base_oversize.unwrap_or(Exact::ZERO));
        if base.is_zero() {
            continue;
        }
        lines.push(Line {
            panel: Some(count.panel),
            group: Group::Dents,
            item: Item::Uplift(index),
            quantity: None,
            amount: Some(card.rounding.money(base.percent(uplift.percent))),
            basis: Basis::PercentOf {
                percent: uplift.percent,
                dents: base_dents.filter(|base| !base.is_zero()),
                oversize: base_oversize.filter(|base| !base.is_zero()),
            },
        });
        if card.card.uplift_mode == UpliftMode::Compound {
            // The exact part, not the rounded line, is built upon.
            if let Some(base) = base_dents {
                running_dents = base.plus(base.percent(uplift.percent));
            }
            if let Some(base) = base_oversize {
                running_oversize = base.plus(base.percent(uplift.percent));
            }
        }
    }
}

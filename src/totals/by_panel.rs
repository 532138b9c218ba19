//! Sums by panel. These come from lines and not from cars, so they are added
//! up here; what belongs to no panel stands last.

use super::{By, TotalsRow};
use crate::pricing::{GroupSum, PricedStorm};
use crate::storm::Panel;

/// One row per panel with a dent or a line, then the row of the cars' own lines.
pub fn rows(priced: &PricedStorm) -> Vec<TotalsRow> {
    let empty = |by| TotalsRow {
        by,
        cars: 0,
        quotes: 0,
        panels: 0,
        dents: 0,
        oversize: 0,
        groups: [GroupSum::default(); 6],
        payer_pays: None,
        owner_pays: None,
    };
    let mut rows: Vec<TotalsRow> = Panel::ALL
        .into_iter()
        .map(|panel| empty(By::Panel(Some(panel))))
        .collect();
    rows.push(empty(By::Panel(None)));
    let own = rows.len() - 1;
    let at = |panel: Option<Panel>| panel.map_or(own, Panel::index);
    for car in &priced.cars {
        let mut here = [false; Panel::ALL.len() + 1];
        for panel in &car.panels {
            let row = &mut rows[panel.panel.index()];
            row.panels += u64::from(panel.counts());
            row.dents += u64::from(panel.dents);
            row.oversize += u64::from(panel.oversize);
            here[panel.panel.index()] |= panel.counts();
        }
        for (panel, sums) in car.ledger.by_panel() {
            let index = at(panel);
            here[index] = true;
            let row = &mut rows[index];
            let open = sums.iter().any(|sum| sum.open > 0);
            // A car's own lines always have an amount, and quotes there are 0.
            row.quotes += u64::from(open && panel.is_some());
            for (total, sum) in row.groups.iter_mut().zip(sums) {
                total.join(sum);
            }
        }
        for (row, here) in rows.iter_mut().zip(here) {
            row.cars += u64::from(here);
        }
    }
    rows.retain(|row| row.cars > 0);
    rows
}

//! One storm on several cards, side by side: what a lead takes into a negotiation.

use super::grid::{Grid, Kind, Value, columns};
use super::pages::comparison_page;
use super::plain::document_text;
use super::terminal::Width;
use crate::compare::CardComparison;
use crate::pricing::GroupSum;
use crate::storm::Panel;

/// One row of the comparison.
pub struct Row {
    /// Payer, panel, size or total.
    pub by: &'static str,
    /// Which of them.
    pub key: String,
    /// A sum per card.
    pub sums: Vec<GroupSum>,
}

/// The rows of the comparison.
pub fn rows(comparison: &CardComparison) -> Vec<Row> {
    let columns = &comparison.columns;
    let each = |of: &dyn Fn(&crate::compare::CardTotals) -> GroupSum| -> Vec<GroupSum> {
        columns.iter().map(|(_, totals)| of(totals)).collect()
    };
    let mut rows = Vec::new();
    let mut push = |by, key: &str, sums| {
        rows.push(Row {
            by,
            key: key.to_owned(),
            sums,
        });
    };
    for (index, payer) in comparison.storm.payers.iter().enumerate() {
        push("payer", &payer.name, each(&|totals| totals.by_payer[index]));
    }
    for panel in Panel::ALL {
        let sums = each(&|totals| totals.by_panel.get(&panel).copied().unwrap_or_default());
        if sums.iter().any(|sum| sum.priced + sum.open > 0) {
            push("panel", panel.word(), sums);
        }
    }
    for size in &comparison.sizes {
        let sums = each(&|totals| totals.by_size.get(size).copied().unwrap_or_default());
        if sums.iter().any(|sum| sum.priced > 0) {
            push("size", size, sums);
        }
    }
    push("total", "storm", each(&|totals| totals.total));
    rows
}

/// The comparison as text.
#[must_use]
pub fn comparison_text(comparison: &CardComparison, width: Width) -> String {
    document_text(&comparison_page(comparison), width)
}

/// The comparison as one row per key and card.
#[must_use]
pub fn comparison_grid(comparison: &CardComparison) -> Grid<'_> {
    let mut grid = Grid {
        columns: columns(&[
            ("by", Kind::Text),
            ("key", Kind::Text),
            ("card", Kind::Text),
            ("amount", Kind::Money),
        ]),
        rows: Vec::new(),
    };
    let mut push = |by: &'static str, key: String, sums: Vec<GroupSum>| {
        for ((name, _), sum) in comparison.columns.iter().zip(sums) {
            grid.rows.push(vec![
                Value::text(by),
                Value::text(key.clone()),
                Value::text(name.as_str()),
                Value::money(sum.shown()),
            ]);
        }
    };
    for row in rows(comparison) {
        push(row.by, row.key, row.sums);
    }
    for differing in &comparison.differing {
        let sums = comparison
            .columns
            .iter()
            .map(|(_, totals)| totals.by_car[differing.car])
            .collect();
        let stock = comparison.storm.cars[differing.car].vehicle.stock.clone();
        push("car", stock, sums);
    }
    grid
}

/// Panels left out of every column, and removals that a card charges nothing for.
#[must_use]
pub fn not_comparable_grid(comparison: &CardComparison) -> Grid<'_> {
    let panels = comparison.not_comparable.iter().map(|entry| {
        vec![
            Value::text(entry.stock.as_str()),
            Value::text(entry.panel.word()),
            Value::text(comparison.columns[entry.card].0.as_str()),
            Value::text(entry.why.as_str()),
        ]
    });
    let removals = comparison.uncharged.iter().map(|entry| {
        vec![
            Value::text(comparison.storm.cars[entry.car].vehicle.stock.as_str()),
            Value::Empty,
            Value::text(comparison.columns[entry.card].0.as_str()),
            Value::text(format!("no removal {}: it costs nothing on it", entry.code)),
        ]
    });
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("panel", Kind::Text),
            ("card", Kind::Text),
            ("why", Kind::Text),
        ]),
        rows: panels.chain(removals).collect(),
    }
}

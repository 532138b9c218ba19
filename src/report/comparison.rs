//! One storm on several cards, side by side: what a lead takes into a negotiation.

use super::grid::{Grid, Kind, Value, columns};
use super::terminal::{QUOTE_MARK, TextTable, Width};
use crate::compare::CardComparison;
use crate::money::Money;
use crate::pricing::GroupSum;
use crate::storm::Panel;
use std::fmt::Write;

/// Cars on which the cards differ most that are shown.
const CARS_SHOWN: usize = 15;
/// Panels that cannot be compared that are listed.
const PANELS_SHOWN: usize = 20;

/// The rows of the comparison: by, key, and a sum per card.
fn rows(comparison: &CardComparison) -> Vec<(&'static str, String, Vec<GroupSum>)> {
    let columns = &comparison.columns;
    let each = |of: &dyn Fn(&crate::compare::CardTotals) -> GroupSum| -> Vec<GroupSum> {
        columns.iter().map(|(_, totals)| of(totals)).collect()
    };
    let mut rows = Vec::new();
    for (index, payer) in comparison.storm.payers.iter().enumerate() {
        rows.push((
            "payer",
            payer.name.clone(),
            each(&|totals| totals.by_payer[index]),
        ));
    }
    for panel in Panel::ALL {
        let sums = each(&|totals| totals.by_panel.get(&panel).copied().unwrap_or_default());
        if sums.iter().any(|sum| sum.priced + sum.open > 0) {
            rows.push(("panel", panel.word().to_owned(), sums));
        }
    }
    for size in &comparison.sizes {
        let sums = each(&|totals| totals.by_size.get(size).copied().unwrap_or_default());
        if sums.iter().any(|sum| sum.priced > 0) {
            rows.push(("size", size.clone(), sums));
        }
    }
    rows.push(("total", "storm".to_owned(), each(&|totals| totals.total)));
    rows
}

/// The comparison as text.
#[must_use]
pub fn comparison_text(comparison: &CardComparison, width: Width) -> String {
    let currency = comparison.storm.currency;
    let money = |amount: Money| currency.grouped(amount);
    let sum = |sum: GroupSum| match sum.shown() {
        Some(known) if sum.open > 0 => format!("{}{QUOTE_MARK}", money(known)),
        Some(known) => money(known),
        None => "quote".to_owned(),
    };
    let mut text = format!(
        "{} on {} cards, amounts in {}; panel and size rows are dents before discounts\n\n",
        comparison.storm.name,
        comparison.columns.len(),
        currency.code()
    );
    let mut table = TextTable::new().words("by", 1).words("", 0);
    for (name, _) in &comparison.columns {
        table = table.figures(name, 0);
    }
    for (by, key, sums) in rows(comparison) {
        let mut cells = vec![by.to_owned(), key];
        cells.extend(sums.into_iter().map(sum));
        table.row(cells);
    }
    text.push_str(&table.render(width));
    if !comparison.differing.is_empty() {
        text.push_str("\nwhere the cards differ most\n\n");
        let mut table = TextTable::new().words("stock", 0);
        for (name, _) in &comparison.columns {
            table = table.figures(name, 0);
        }
        table = table.figures("apart", 0);
        for differing in comparison.differing.iter().take(CARS_SHOWN) {
            let mut cells = vec![comparison.storm.cars[differing.car].vehicle.stock.clone()];
            cells.extend(
                comparison
                    .columns
                    .iter()
                    .map(|(_, totals)| sum(totals.by_car[differing.car])),
            );
            cells.push(money(differing.spread));
            table.row(cells);
        }
        text.push_str(&table.render(width));
        let more = comparison.differing.len().saturating_sub(CARS_SHOWN);
        if more > 0 {
            let word = if more == 1 { "car" } else { "cars" };
            let _ = writeln!(text, "and {more} more {word}");
        }
    }
    not_comparable(comparison, width, &mut text);
    uncharged(comparison, width, &mut text);
    text
}

/// One line per card and removal that the card lacks.
fn uncharged(comparison: &CardComparison, width: Width, text: &mut String) {
    for (at, same) in comparison
        .uncharged
        .chunk_by(|a, b| (a.card, &a.code) == (b.card, &b.code))
        .enumerate()
    {
        if at == 0 {
            text.push_str("\nremovals that a card lacks, so they cost nothing on it:\n");
        }
        let card = &comparison.columns[same[0].card].0;
        let word = if same.len() == 1 { "car" } else { "cars" };
        let said = format!("  {card}: {} on {} {word}", same[0].code, same.len());
        super::car_sheet::wrap_into(text, &said, width, "    ");
    }
}

fn not_comparable(comparison: &CardComparison, width: Width, text: &mut String) {
    let count = comparison.not_comparable.len();
    if count == 0 {
        return;
    }
    let word = if count == 1 { "panel is" } else { "panels are" };
    let _ = writeln!(text, "\n{count} {word} not comparable and in no column:");
    for entry in comparison.not_comparable.iter().take(PANELS_SHOWN) {
        let said = format!(
            "  {} {}: {} on {}",
            entry.stock,
            entry.panel.word(),
            entry.why,
            comparison.columns[entry.card].0
        );
        super::car_sheet::wrap_into(text, &said, width, "    ");
    }
    if count > PANELS_SHOWN {
        let _ = writeln!(text, "  and {} more", count - PANELS_SHOWN);
    }
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
    for (by, key, sums) in rows(comparison) {
        push(by, key, sums);
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

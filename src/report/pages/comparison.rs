//! The storm on several cards, side by side.

use super::pictures::card_against_card;
use super::{cars_text, hail_text, sender_lines, sum_text};
use crate::compare::CardComparison;
use crate::report::comparison::{Row, rows};
use crate::report::document::{Block, Cell, Document, Table};
use std::collections::BTreeSet;

/// Cars on which the cards differ that are listed.
const CARS_SHOWN: usize = 200;

/// The comparison's page.
#[must_use]
pub fn comparison_page(comparison: &CardComparison) -> Document {
    let storm = &comparison.storm;
    let currency = storm.currency;
    let mut blocks = vec![
        Block::Facts(vec![
            ("storm", format!("{}{}", storm.name, hail_text(storm))),
            ("cards", comparison.columns.len().to_string()),
            ("amounts in", currency.code().to_owned()),
        ]),
        Block::Text(
            "Every column is that card with each payer's terms. Rows by panel and by size are \
             dents before discounts. Agreed amounts are left out, since they belong to lines of \
             one card."
                .to_owned(),
        ),
    ];
    blocks.extend(left_out(comparison));
    blocks.extend(
        card_against_card(comparison)
            .into_iter()
            .map(Block::Picture),
    );
    blocks.push(Block::Heading("Side by side".to_owned()));
    for (by, caption) in [
        ("payer", "By payer"),
        ("panel", "By panel, dents before discounts"),
        ("size", "By size, dents before discounts"),
    ] {
        let mut table = headed(comparison, Table::new(caption).words(by, 0));
        for row in rows(comparison) {
            let cells = cells(comparison, &row);
            if row.by == by {
                table.row(cells);
            } else if row.by == "total" && by == "payer" {
                table.sums(cells);
            }
        }
        if !table.rows.is_empty() {
            blocks.push(Block::Table(table));
        }
    }
    differing(comparison, &mut blocks);
    not_comparable(comparison, &mut blocks);
    Document {
        title: format!("{}: card against card", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

/// What no column holds is said before any total.
fn left_out(comparison: &CardComparison) -> Option<Block> {
    let panels = comparison.not_comparable.len();
    let cars: BTreeSet<&str> = comparison
        .not_comparable
        .iter()
        .map(|entry| entry.stock.as_str())
        .collect();
    let panels = match panels {
        0 => return None,
        1 => "1 panel".to_owned(),
        panels => format!("{panels} panels"),
    };
    Some(Block::Caution {
        about: "not the whole storm".to_owned(),
        text: format!(
            "{panels} on {} can't be priced on every card and stand in no column, so these are \
             not the storm's totals; they are listed at the end.",
            cars_text(cars.len())
        ),
    })
}

fn headed(comparison: &CardComparison, mut table: Table) -> Table {
    for (name, _) in &comparison.columns {
        table = table.figures(name, 0);
    }
    table
}

fn cells(comparison: &CardComparison, row: &Row) -> Vec<Cell> {
    let currency = comparison.storm.currency;
    let mut cells: Vec<Cell> = vec![row.key.as_str().into()];
    cells.extend(
        row.sums
            .iter()
            .map(|sum| Cell::from(sum_text(currency, *sum))),
    );
    cells
}

fn differing(comparison: &CardComparison, blocks: &mut Vec<Block>) {
    if comparison.differing.is_empty() {
        return;
    }
    let currency = comparison.storm.currency;
    blocks.push(Block::Heading("Where the cards differ most".to_owned()));
    let mut table = Table::new("Cars by what the cards are apart").words("stock", 0);
    table = headed(comparison, table).figures("apart", 0);
    table.long = true;
    for differing in comparison.differing.iter().take(CARS_SHOWN) {
        let stock = &comparison.storm.cars[differing.car].vehicle.stock;
        let mut cells: Vec<Cell> = vec![stock.into()];
        cells.extend(
            comparison
                .columns
                .iter()
                .map(|(_, totals)| Cell::from(sum_text(currency, totals.by_car[differing.car]))),
        );
        cells.push(currency.grouped(differing.spread).into());
        table.row(cells);
    }
    blocks.push(Block::Table(table));
    let more = comparison.differing.len().saturating_sub(CARS_SHOWN);
    if more > 0 {
        blocks.push(Block::Text(format!("and {} more", cars_text(more))));
    }
}

fn not_comparable(comparison: &CardComparison, blocks: &mut Vec<Block>) {
    if !comparison.not_comparable.is_empty() {
        blocks.push(Block::Heading("Not comparable".to_owned()));
        let mut table = Table::new("Panels that some card can't express: they are in no column")
            .words("stock", 0)
            .words("panel", 0)
            .words("card", 0)
            .words("why", 0);
        for entry in &comparison.not_comparable {
            table.row(vec![
                entry.stock.as_str().into(),
                entry.panel.word().into(),
                comparison.columns[entry.card].0.as_str().into(),
                entry.why.as_str().into(),
            ]);
        }
        blocks.push(Block::Table(table));
    }
    let mut table = Table::new("Removals that a card lacks: they cost nothing on it")
        .words("card", 0)
        .words("removal", 0)
        .figures("cars", 0);
    for same in comparison
        .uncharged
        .chunk_by(|a, b| (a.card, &a.code) == (b.card, &b.code))
    {
        table.row(vec![
            comparison.columns[same[0].card].0.as_str().into(),
            same[0].code.as_str().into(),
            same.len().to_string().into(),
        ]);
    }
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
}

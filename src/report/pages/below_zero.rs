//! Where the house pays more than it gets.

use super::cars_text;
use crate::money::Money;
use crate::pay::{PayKind, Split};
use crate::report::document::{Block, Table};
use crate::report::pay_tables::HOUSE;
use crate::storm::{Panel, Storm};

/// Rows that are shown; pay.csv has them all.
const SHOWN: usize = 200;

/// One car, or one panel of it, and the house's sum there.
struct Below {
    car: usize,
    panel: Option<Panel>,
    amount: Money,
}

/// Cars as a whole, then single panels, on which the house is below zero.
fn below(split: &Split) -> Vec<Below> {
    let mut of_car = vec![Money::ZERO; split.cars.len()];
    let mut panels = Vec::new();
    for row in &split.rows {
        // What has not come in yet is the house's too.
        let (PayKind::House, Some(car)) = (row.kind, row.car) else {
            continue;
        };
        of_car[car] += row.amount;
        if row.panel.is_some() && !row.awaits && row.amount < Money::ZERO {
            panels.push(Below {
                car,
                panel: row.panel,
                amount: row.amount,
            });
        }
    }
    let cars = of_car.into_iter().enumerate();
    cars.filter(|(_, amount)| *amount < Money::ZERO)
        .map(|(car, amount)| Below {
            car,
            panel: None,
            amount,
        })
        .chain(panels)
        .collect()
}

/// One line for the top of the page, where there is anything to list.
pub fn caution(split: &Split) -> Option<Block> {
    let below = below(split);
    let cars = below.iter().filter(|row| row.panel.is_none()).count();
    let panels = match below.len() - cars {
        1 => "1 panel".to_owned(),
        panels => format!("{panels} panels"),
    };
    (!below.is_empty()).then(|| Block::Caution {
        about: "house below zero".to_owned(),
        text: format!(
            "on {} as a whole and on {panels}; listed below.",
            cars_text(cars)
        ),
    })
}

/// All of them, cars first.
pub fn list(split: &Split, storm: &Storm, blocks: &mut Vec<Block>) {
    let below = below(split);
    if below.is_empty() {
        return;
    }
    blocks.push(Block::Heading("Where the house is below zero".to_owned()));
    let mut table = Table::new("Cars, and panels, on which it pays more than it gets")
        .words("stock", 0)
        .words("panel", 0)
        .figures(HOUSE, 0);
    table.long = true;
    for row in below.iter().take(SHOWN) {
        table.row(vec![
            storm.cars[row.car].vehicle.stock.as_str().into(),
            row.panel.map_or("the whole car", Panel::word).into(),
            storm.currency.grouped(row.amount).into(),
        ]);
    }
    blocks.push(Block::Table(table));
    let more = below.len().saturating_sub(SHOWN);
    if more > 0 {
        blocks.push(Block::Text(format!(
            "and {more} more: pay.csv has them all"
        )));
    }
}

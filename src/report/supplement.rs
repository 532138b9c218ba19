//! A supplement: what changed from one count to the next, line by line.

use super::grid::{Grid, Kind, Value, columns};
use super::pages::supplement_page;
use super::plain::document_text;
use super::terminal::Width;
use crate::compare::{Overlaid, Supplement};
use crate::storm::Storm;

/// The supplement as text. `storm` is the new one.
#[must_use]
pub fn supplement_text(
    supplement: &Supplement,
    storm: &Storm,
    met: &Overlaid,
    width: Width,
) -> String {
    document_text(&supplement_page(supplement, storm, met), width)
}

/// One row per changed line.
#[must_use]
pub fn supplement_lines<'a>(supplement: &'a Supplement, storm: &'a Storm) -> Grid<'a> {
    let mut rows = Vec::new();
    for car in &supplement.cars {
        for line in &car.lines {
            rows.push(vec![
                Value::text(storm.cars[car.car].vehicle.stock.as_str()),
                Value::text(line.panel.map_or("", |panel| panel.word())),
                Value::text(line.group.word()),
                Value::text(line.item.as_str()),
                Value::money(line.before),
                Value::money(line.after),
                Value::Money(line.difference()),
            ]);
        }
    }
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("panel", Kind::Text),
            ("group", Kind::Text),
            ("item", Kind::Text),
            ("before", Kind::Money),
            ("after", Kind::Money),
            ("supplement", Kind::Money),
        ]),
        rows,
    }
}

/// One row per car that changes.
#[must_use]
pub fn supplement_cars<'a>(supplement: &'a Supplement, storm: &'a Storm) -> Grid<'a> {
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("before", Kind::Money),
            ("after", Kind::Money),
            ("supplement", Kind::Money),
            ("owner_before", Kind::Money),
            ("owner_after", Kind::Money),
        ]),
        rows: supplement
            .cars
            .iter()
            .map(|car| {
                vec![
                    Value::text(storm.cars[car.car].vehicle.stock.as_str()),
                    Value::Money(car.before),
                    Value::Money(car.after),
                    Value::Money(car.after - car.before),
                    Value::Money(car.owner_before),
                    Value::Money(car.owner_after),
                ]
            })
            .collect(),
    }
}

//! A supplement: what changed from one count to the next, line by line.

use super::grid::{Grid, Kind, Value, columns};
use super::terminal::{TextTable, Width};
use crate::compare::{LineChange, Overlaid, Supplement};
use crate::money::{Currency, Money};
use crate::storm::Storm;

/// The supplement as text. `storm` is the new one.
#[must_use]
pub fn supplement_text(
    supplement: &Supplement,
    storm: &Storm,
    met: &Overlaid,
    width: Width,
) -> String {
    let shown = Shown {
        currency: storm.currency,
        width,
    };
    let mut text = String::new();
    shown.line(
        &mut text,
        &format!(
            "{}: {} after - {} before = {} supplement, amounts in {}",
            storm.name,
            shown.money(supplement.after),
            shown.money(supplement.before),
            shown.money(supplement.after - supplement.before),
            storm.currency.code()
        ),
    );
    let owners = supplement.owners_after - supplement.owners_before;
    shown.line(
        &mut text,
        &format!(
            "of it the owners {}, the payers {}",
            shown.money(owners),
            shown.money(supplement.after - supplement.before - owners)
        ),
    );
    shown.lists(&mut text, met);
    text.push('\n');
    shown.cars(&mut text, supplement, storm);
    for car in &supplement.cars {
        text.push('\n');
        let stock = &storm.cars[car.car].vehicle.stock;
        shown.line(&mut text, &format!("car {stock}"));
        shown.changes(&mut text, &car.lines, car.after - car.before);
    }
    text
}

struct Shown {
    currency: Currency,
    width: Width,
}

impl Shown {
    fn money(&self, amount: Money) -> String {
        self.currency.grouped(amount)
    }

    fn line(&self, text: &mut String, line: &str) {
        super::car_sheet::wrap_into(text, line, self.width, "  ");
    }

    fn lists(&self, text: &mut String, met: &Overlaid) {
        if !met.new_cars.is_empty() {
            let stocks = met.new_cars.join(", ");
            self.line(text, &format!("only in the new count: cars {stocks}"));
        }
        for (stock, panel) in &met.new_panels {
            self.line(
                text,
                &format!("only in the new count: {} of car {stock}", panel.word()),
            );
        }
        for (stock, panel, was, now) in &met.surface {
            self.line(
                text,
                &format!(
                    "caution: the surface of {} of car {stock} was {was}, now {now}",
                    panel.word()
                ),
            );
        }
        for (stock, panel, before, after) in &met.fewer {
            self.line(
                text,
                &format!(
                    "caution: fewer dents than before on {} of car {stock}: {before}, now {after}",
                    panel.word()
                ),
            );
        }
    }

    fn cars(&self, text: &mut String, supplement: &Supplement, storm: &Storm) {
        if supplement.cars.is_empty() {
            self.line(text, "nothing changes");
            return;
        }
        let mut table = TextTable::new()
            .words("stock", 0)
            .figures("before", 1)
            .figures("after", 1)
            .figures("supplement", 0)
            .figures("owner", 2)
            .words("", 3);
        for car in &supplement.cars {
            table.row(vec![
                storm.cars[car.car].vehicle.stock.clone(),
                self.money(car.before),
                self.money(car.after),
                self.money(car.after - car.before),
                self.money(car.owner_after - car.owner_before),
                if car.open { "quote open" } else { "" }.to_owned(),
            ]);
        }
        table.row(vec![
            "total".to_owned(),
            self.money(supplement.cars.iter().map(|car| car.before).sum()),
            self.money(supplement.cars.iter().map(|car| car.after).sum()),
            self.money(supplement.after - supplement.before),
            self.money(supplement.owners_after - supplement.owners_before),
            String::new(),
        ]);
        text.push_str(&table.render(self.width));
    }

    fn changes(&self, text: &mut String, lines: &[LineChange], sum: Money) {
        let mut table = TextTable::new()
            .words("panel", 0)
            .words("item", 0)
            .figures("before", 1)
            .figures("after", 1)
            .figures("supplement", 0);
        let side =
            |amount: Option<Money>| amount.map_or(String::new(), |amount| self.money(amount));
        for line in lines {
            let after = match line.after {
                None if line.open => "by quote".to_owned(),
                after => side(after),
            };
            table.row(vec![
                line.panel.map_or("", |panel| panel.word()).to_owned(),
                line.item.clone(),
                side(line.before),
                after,
                self.money(line.difference()),
            ]);
        }
        table.row(vec![
            String::new(),
            "total".to_owned(),
            String::new(),
            String::new(),
            self.money(sum),
        ]);
        text.push_str(&table.render(self.width));
    }
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

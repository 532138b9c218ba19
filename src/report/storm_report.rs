//! The plain struct behind every report of a priced storm.

use super::grid::{Column, Grid, Kind, Value, columns};
use crate::pricing::{Explainer, PricedCar, PricedStorm, Status};
use crate::rates::Rates;
use crate::storm::{Group, Storm};
use crate::totals::{By, StormTotals, TotalsRow};

/// A priced storm with its totals, ready to be shown in any format.
#[derive(Debug, Clone, Copy)]
pub struct StormReport<'a> {
    /// The cars and their counts.
    pub storm: &'a Storm,
    /// Cards and terms.
    pub rates: &'a Rates,
    /// The prices.
    pub priced: &'a PricedStorm,
    /// The sums.
    pub totals: &'a StormTotals,
    /// Stocks of cars that are left out because of errors.
    pub left_out: &'a [String],
}

const LINE_COLUMNS: [(&str, Kind); 7] = [
    ("stock", Kind::Text),
    ("panel", Kind::Text),
    ("group", Kind::Text),
    ("item", Kind::Text),
    ("quantity", Kind::Count),
    ("amount", Kind::Money),
    ("basis", Kind::Text),
];

const CAR_COLUMNS: [(&str, Kind); 17] = [
    ("stock", Kind::Text),
    ("payer", Kind::Text),
    ("status", Kind::Text),
    ("panels", Kind::Count),
    ("dents", Kind::Count),
    ("oversize", Kind::Count),
    ("referred", Kind::Count),
    ("dents_amount", Kind::Money),
    ("removal_amount", Kind::Money),
    ("parts_amount", Kind::Money),
    ("extra_amount", Kind::Money),
    ("conventional_amount", Kind::Money),
    ("tax_amount", Kind::Money),
    ("total", Kind::Money),
    ("payer_pays", Kind::Money),
    ("owner_pays", Kind::Money),
    ("flags", Kind::Text),
];

const TOTAL_COLUMNS: [(&str, Kind); 16] = [
    ("by", Kind::Text),
    ("key", Kind::Text),
    ("cars", Kind::Count),
    ("quotes", Kind::Count),
    ("panels", Kind::Count),
    ("dents", Kind::Count),
    ("oversize", Kind::Count),
    ("dents_amount", Kind::Money),
    ("removal_amount", Kind::Money),
    ("parts_amount", Kind::Money),
    ("extra_amount", Kind::Money),
    ("conventional_amount", Kind::Money),
    ("tax_amount", Kind::Money),
    ("total", Kind::Money),
    ("payer_pays", Kind::Money),
    ("owner_pays", Kind::Money),
];

/// The columns of `lines.csv`.
fn line_columns() -> Vec<Column> {
    columns(&LINE_COLUMNS)
}

/// The lines of some cars as `lines.csv` has them.
#[must_use]
pub fn line_grid<'a>(report: &StormReport<'a>, cars: std::ops::Range<usize>) -> Grid<'a> {
    let storm = report.storm;
    let mut rows = Vec::new();
    for index in cars {
        let car = &storm.cars[index];
        let explainer = Explainer::new(storm, report.rates, car.vehicle.payer);
        for line in report.priced.cars[index].ledger.lines() {
            rows.push(vec![
                Value::text(car.vehicle.stock.as_str()),
                Value::text(line.panel.map_or("", |panel| panel.word())),
                Value::text(line.group.word()),
                Value::text(explainer.item(line)),
                Value::count(line.quantity.map(u64::from)),
                Value::money(line.amount),
                Value::text(explainer.basis(line)),
            ]);
        }
    }
    Grid {
        columns: line_columns(),
        rows,
    }
}

impl<'a> StormReport<'a> {
    /// All lines, as `lines.csv` has them.
    #[must_use]
    pub fn lines(&self) -> Grid<'a> {
        line_grid(self, 0..self.storm.cars.len())
    }

    /// One row per car in lot order, as `cars.csv` has them.
    #[must_use]
    pub fn cars(&self) -> Grid<'a> {
        let rows = (0..self.storm.cars.len())
            .map(|index| self.car_row(index))
            .collect();
        Grid {
            columns: columns(&CAR_COLUMNS),
            rows,
        }
    }

    fn car_row(&self, index: usize) -> Vec<Value<'a>> {
        let storm = self.storm;
        let vehicle = &storm.cars[index].vehicle;
        let priced = &self.priced.cars[index];
        let mut row = vec![
            Value::text(vehicle.stock.as_str()),
            Value::text(storm.payers[vehicle.payer].name.as_str()),
            Value::text(priced.status.word()),
        ];
        if priced.status == Status::Uncounted {
            row.resize(CAR_COLUMNS.len(), Value::Empty);
            return row;
        }
        let counts = CarCounts::of(priced);
        row.extend(
            [
                counts.panels,
                counts.dents,
                counts.oversize,
                counts.referred,
            ]
            .map(Value::Count),
        );
        for group in Group::ALL {
            row.push(Value::money(priced.ledger.sum(group).shown()));
        }
        row.push(Value::money(priced.total().shown()));
        row.push(Value::money(priced.payer_pays));
        row.push(Value::money(priced.owner_pays));
        row.push(Value::text(
            priced.total_loss.map_or("", |flag| flag.word()),
        ));
        row
    }

    /// The totals, as `totals.csv` has them.
    #[must_use]
    pub fn total_grid(&self) -> Grid<'a> {
        Grid {
            columns: columns(&TOTAL_COLUMNS),
            rows: self
                .totals
                .rows
                .iter()
                .map(|row| self.total_row(row))
                .collect(),
        }
    }

    fn total_row(&self, row: &TotalsRow) -> Vec<Value<'a>> {
        let (by, key) = self.key(row.by);
        let mut values = vec![Value::text(by), Value::text(key)];
        values
            .extend([row.cars, row.quotes, row.panels, row.dents, row.oversize].map(Value::Count));
        for group in Group::ALL {
            values.push(Value::money(row.groups[group.index()].shown()));
        }
        values.push(Value::money(row.total().shown()));
        values.push(Value::money(row.payer_pays));
        values.push(Value::money(row.owner_pays));
        values
    }

    /// The two words of a totals row.
    #[must_use]
    pub fn key(&self, by: By) -> (&'static str, &'a str) {
        match by {
            By::Storm => ("storm", self.storm.name.as_str()),
            By::Payer(payer) => ("payer", self.storm.payers[payer].name.as_str()),
            By::Body(body) => ("body", body.word()),
            By::Panel(Some(panel)) => ("panel", panel.word()),
            By::Panel(None) => ("panel", "(car)"),
        }
    }
}

/// The counts of one car.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CarCounts {
    /// Panels with a dent, or referred by the counter.
    pub panels: u64,
    /// Dents in the size classes.
    pub dents: u64,
    /// Dents too big for them.
    pub oversize: u64,
    /// Panels that are referred.
    pub referred: u64,
}

impl CarCounts {
    /// Of a car.
    #[must_use]
    pub fn of(car: &PricedCar) -> CarCounts {
        let panels = &car.panels;
        CarCounts {
            panels: panels.iter().filter(|panel| panel.counts()).count() as u64,
            dents: panels.iter().map(|panel| u64::from(panel.dents)).sum(),
            oversize: panels.iter().map(|panel| u64::from(panel.oversize)).sum(),
            referred: panels
                .iter()
                .filter(|panel| panel.referral.is_some())
                .count() as u64,
        }
    }
}

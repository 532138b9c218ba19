//! A priced storm in sums: its cars, its totals, and none of its lines.

use super::grid::{CellSink, Column, Grid, GridCells, Kind, Tabular, Value, columns};
use crate::money::Amount;
use crate::pricing::{CarSums, SummedStorm};
use crate::storm::{Group, Storm};
use crate::totals::{By, StormTotals, TotalsRow};

/// What needs no lines to be said of a priced storm. The storm's own list of
/// cars may be empty.
#[derive(Debug, Clone, Copy)]
pub struct SumReport<'a> {
    /// Name, currency, payers.
    pub storm: &'a Storm,
    /// The cars.
    pub sums: &'a SummedStorm,
    /// Their sums.
    pub totals: &'a StormTotals,
    /// Stocks of cars that are left out because of errors.
    pub left_out: &'a [String],
}

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

impl<'a> SumReport<'a> {
    /// One row per car in lot order, as `cars.csv` has them.
    #[must_use]
    pub fn cars(&self) -> CarTable<'a> {
        CarTable {
            columns: columns(&CAR_COLUMNS),
            storm: self.storm,
            cars: &self.sums.cars,
        }
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

/// The table of cars. Its cells are made as they are asked for: of a million
/// cars they would fill more memory than the cars themselves.
#[derive(Debug)]
pub struct CarTable<'a> {
    columns: Vec<Column>,
    storm: &'a Storm,
    cars: &'a [CarSums],
}

impl<'a> CarTable<'a> {
    /// All of it at once.
    #[must_use]
    pub fn grid(&self) -> Grid<'a> {
        let row = |car: &'a CarSums| {
            let mut cells = GridCells::new(self.columns.len(), self.storm.currency);
            self.cells(car, &mut cells);
            cells.row
        };
        Grid {
            columns: self.columns.clone(),
            rows: self.cars.iter().map(row).collect(),
        }
    }

    /// Gives the cells of a car to `cells`, in the order of [`CAR_COLUMNS`].
    fn cells<'s>(&self, car: &'s CarSums, cells: &mut impl CellSink<'s>)
    where
        'a: 's,
    {
        cells.text(car.stock.as_str());
        cells.text(self.storm.payers[car.payer as usize].name.as_str());
        cells.text(car.status.word());
        if !car.is_counted() {
            for _ in 3..CAR_COLUMNS.len() {
                cells.empty();
            }
            return;
        }
        let counts = &car.counts;
        for count in [
            counts.panels,
            counts.dents,
            counts.oversize,
            counts.referred,
        ] {
            cells.count(u64::from(count));
        }
        car.amounts.shown(|amount| match amount {
            Some(Amount::Units(units)) => cells.units(units),
            Some(Amount::Money(amount)) => cells.money(amount),
            None => cells.empty(),
        });
        cells.text(car.total_loss.map_or("", |flag| flag.word()));
    }
}

impl Tabular for CarTable<'_> {
    fn columns(&self) -> &[Column] {
        &self.columns
    }

    fn height(&self) -> usize {
        self.cars.len()
    }

    fn row<'s>(&'s self, row: usize, cells: &mut impl CellSink<'s>) {
        self.cells(&self.cars[row], cells);
    }
}

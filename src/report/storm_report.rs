//! The plain struct behind every report of a priced storm.

use super::grid::{Column, Grid, Kind, Value, columns};
use super::sum_report::SumReport;
use crate::pricing::{Explainer, PricedStorm, SummedStorm};
use crate::rates::Rates;
use crate::storm::Storm;
use crate::totals::{By, StormTotals};

/// A priced storm with its totals, ready to be shown in any format.
#[derive(Debug, Clone, Copy)]
pub struct StormReport<'a> {
    /// The cars and their counts.
    pub storm: &'a Storm,
    /// Cards and terms.
    pub rates: &'a Rates,
    /// The prices.
    pub priced: &'a PricedStorm,
    /// The same without lines.
    pub sums: &'a SummedStorm,
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

    /// The report without its lines.
    #[must_use]
    pub fn in_sums(&self) -> SumReport<'a> {
        SumReport {
            storm: self.storm,
            sums: self.sums,
            totals: self.totals,
            left_out: self.left_out,
        }
    }

    /// The totals, as `totals.csv` has them.
    #[must_use]
    pub fn total_grid(&self) -> Grid<'a> {
        self.in_sums().total_grid()
    }

    /// One row per car in lot order, as `cars.csv` has them.
    #[must_use]
    pub fn cars(&self) -> Grid<'a> {
        self.in_sums().cars().grid()
    }

    /// The two words of a totals row.
    #[must_use]
    pub fn key(&self, by: By) -> (&'static str, &'a str) {
        self.in_sums().key(by)
    }
}

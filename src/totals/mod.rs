//! Lines → the storm's totals. Sums by payer and body, percentiles and
//! Parquet go through polars; amounts are Decimal(38, places) there, so a
//! sum of cents is exact, and only quantiles come back as `f64`.

mod by_panel;
mod frame;
mod spread;

pub use frame::{FrameError, money_column};

use crate::money::Money;
use crate::pricing::{GroupSum, PricedStorm, Status};
use crate::storm::{Body, Group, Panel, Storm};
use frame::CarFrame;

/// What a row of totals is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The whole storm.
    Storm,
    /// One payer, by index.
    Payer(usize),
    /// One body.
    Body(Body),
    /// One panel; none: what belongs to no panel.
    Panel(Option<Panel>),
}

/// One row of totals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TotalsRow {
    /// Of what.
    pub by: By,
    /// Cars in it.
    pub cars: u64,
    /// Cars with a line without an amount.
    pub quotes: u64,
    /// Panels with a dent, or referred by the counter.
    pub panels: u64,
    /// Dents in the size classes.
    pub dents: u64,
    /// Dents too big for them.
    pub oversize: u64,
    /// Sums per group, in [`Group::ALL`] order.
    pub groups: [GroupSum; 6],
    /// What the payers pay; none in panel rows, and where no total is known.
    pub payer_pays: Option<Money>,
    /// What the owners pay; likewise.
    pub owner_pays: Option<Money>,
}

impl TotalsRow {
    /// The sum of all groups.
    #[must_use]
    pub fn total(&self) -> GroupSum {
        let mut total = GroupSum::default();
        for sum in self.groups {
            total.join(sum);
        }
        total
    }
}

/// How the car totals of a payer or body spread: priced cars only, since a
/// quote's total is only a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Of what.
    pub by: By,
    /// Priced cars.
    pub cars: u64,
    /// 10th, 50th and 90th percentile, linear between the two nearest cars
    /// (Hyndman and Fan 1996, type 7).
    pub percentiles: [f64; 3],
    /// The largest car's total.
    pub largest: Money,
}

/// The totals of a storm.
#[derive(Debug, Clone)]
pub struct StormTotals {
    /// Storm, payers as in storm.toml, bodies and panels in list order; keys that occur only.
    pub rows: Vec<TotalsRow>,
    /// By payer, then by body.
    pub spreads: Vec<Spread>,
    /// Cars on the list or in the counts.
    pub listed: usize,
    /// Cars of them that are counted.
    pub counted: usize,
}

impl StormTotals {
    /// Sums a priced storm.
    ///
    /// # Errors
    /// Only when a sum passes 38 digits, which no checked input reaches.
    pub fn of(storm: &Storm, priced: &PricedStorm) -> Result<StormTotals, FrameError> {
        let frame = CarFrame::new(storm, priced)?;
        let mut rows = vec![frame.whole()?];
        rows.extend(frame.by_payer()?);
        rows.extend(frame.by_body()?);
        rows.extend(by_panel::rows(priced));
        Ok(StormTotals {
            rows,
            spreads: spread::spreads(&frame)?,
            listed: storm.cars.len(),
            counted: priced.cars.iter().filter(|car| car.is_counted()).count(),
        })
    }

    /// The row of the whole storm.
    #[must_use]
    pub fn storm(&self) -> Option<&TotalsRow> {
        self.rows.first()
    }
}

/// Whether a car's total is whole, for statistics.
fn has_whole_total(status: Status) -> bool {
    status == Status::Priced
}

/// The names of the six groups' columns.
fn group_column(group: Group) -> String {
    format!("{}_amount", group.word())
}

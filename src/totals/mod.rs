//! Sums of cars and panels → the storm's totals. Percentiles and Parquet go
//! through polars; amounts are Decimal(38, places) there, and only quantiles
//! come back as `f64`.

mod columns;
mod parts;
mod spread;

pub use columns::FrameError;

use crate::money::Money;
use crate::pricing::{GroupSum, SummedStorm};
use crate::storm::{Body, Panel};
use parts::Parts;

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
        GroupSum::of_all(&self.groups)
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
    /// Sums a storm with so many payers. Time grows with the cars.
    ///
    /// # Errors
    /// Only when the library of data frames fails, which is a bug.
    pub fn of(storm: &SummedStorm, payers: usize) -> Result<StormTotals, FrameError> {
        let parts = Parts::of(&storm.cars, payers, storm.currency);
        let whole = parts.whole().row(By::Storm, storm.currency);
        let counted = whole.cars;
        let mut rows = vec![whole];
        let (mut spread, by_body) = rayon::join(|| parts.by_payer(), || parts.by_body());
        spread.extend(by_body);
        rows.extend(
            spread
                .iter()
                .map(|(by, part)| part.row(*by, storm.currency)),
        );
        rows.extend(storm.panels.rows().map(|(panel, sum)| TotalsRow {
            by: By::Panel(panel),
            cars: sum.cars,
            quotes: sum.quotes,
            panels: sum.panels,
            dents: sum.dents,
            oversize: sum.oversize,
            groups: sum.groups,
            payer_pays: None,
            owner_pays: None,
        }));
        Ok(StormTotals {
            rows,
            spreads: spread::spreads(spread)?,
            listed: storm.cars.len(),
            counted: usize::try_from(counted).unwrap_or(usize::MAX),
        })
    }

    /// The row of the whole storm.
    #[must_use]
    pub fn storm(&self) -> Option<&TotalsRow> {
        self.rows.first()
    }
}

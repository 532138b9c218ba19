//! Sums over the cars of the storm, of each payer, of each body.

use super::{By, TotalsRow};
use crate::money::{Currency, Money};
use crate::pricing::{AmountSums, CarSums, GroupSum, Status};
use crate::storm::Body;
use rayon::prelude::*;

/// What some cars come to. Joining is exact and in any order the same, so
/// cars can be summed on all cores.
#[derive(Debug, Clone, Default)]
pub struct Part {
    cars: u64,
    quotes: u64,
    panels: u64,
    dents: u64,
    oversize: u64,
    amounts: AmountSums,
    /// The totals of the priced cars, for statistics: a quote's total is only a part.
    pub totals: Vec<f64>,
    /// The largest of them.
    pub largest: Option<Money>,
}

impl Part {
    fn add(&mut self, car: &CarSums, currency: Currency) {
        self.cars += 1;
        self.quotes += u64::from(car.status == Status::Quote);
        self.panels += u64::from(car.counts.panels);
        self.dents += u64::from(car.counts.dents);
        self.oversize += u64::from(car.counts.oversize);
        self.amounts.add(&car.amounts, currency);
        if car.status == Status::Priced {
            let total = car.amounts.total(currency);
            self.totals.push(total.known.as_statistic());
            self.largest = self.largest.max(Some(total.known));
        }
    }

    fn join(&mut self, other: &Part) {
        self.join_sums(other);
        self.totals.extend_from_slice(&other.totals);
    }

    /// All but the totals one by one.
    fn join_sums(&mut self, other: &Part) {
        self.cars += other.cars;
        self.quotes += other.quotes;
        self.panels += other.panels;
        self.dents += other.dents;
        self.oversize += other.oversize;
        self.amounts.join(&other.amounts);
        self.largest = self.largest.max(other.largest);
    }

    /// As a row of the totals.
    #[must_use]
    pub fn row(&self, by: By, currency: Currency) -> TotalsRow {
        let groups = self.amounts.groups(currency);
        let shown = GroupSum::of_all(&groups).shown();
        TotalsRow {
            by,
            cars: self.cars,
            quotes: self.quotes,
            panels: self.panels,
            dents: self.dents,
            oversize: self.oversize,
            groups,
            payer_pays: shown.map(|_| self.amounts.payers_pay(currency)),
            owner_pays: shown.map(|_| self.amounts.owners_pay(currency)),
        }
    }
}

/// The counted cars by payer and body: every other part is a sum of these.
pub struct Parts {
    payers: usize,
    /// `cells[payer * bodies + body]`.
    cells: Vec<Part>,
}

const BODIES: usize = Body::ALL.len();
/// Cars that are summed in one go.
const CHUNK: usize = 16_384;

impl Parts {
    /// Sums cars; uncounted ones are in no total.
    pub fn of(cars: &[CarSums], payers: usize, currency: Currency) -> Parts {
        let empty = || vec![Part::default(); payers * BODIES];
        let chunks: Vec<Vec<Part>> = cars
            .par_chunks(CHUNK)
            .map(|cars| {
                let mut cells = empty();
                for car in cars.iter().filter(|car| car.is_counted()) {
                    cells[car.payer as usize * BODIES + car.body as usize].add(car, currency);
                }
                cells
            })
            .collect();
        let mut cells = empty();
        for chunk in &chunks {
            for (cell, part) in cells.iter_mut().zip(chunk) {
                cell.join(part);
            }
        }
        Parts { payers, cells }
    }

    /// All counted cars, without their totals one by one.
    pub fn whole(&self) -> Part {
        let mut whole = Part::default();
        for cell in &self.cells {
            whole.join_sums(cell);
        }
        whole
    }

    /// The payers that occur, as in storm.toml.
    pub fn by_payer(&self) -> Vec<(By, Part)> {
        (0..self.payers)
            .map(|payer| {
                let cells = &self.cells[payer * BODIES..(payer + 1) * BODIES];
                (By::Payer(payer), sum(cells.iter()))
            })
            .filter(|(_, part)| part.cars > 0)
            .collect()
    }

    /// The bodies that occur, in list order.
    pub fn by_body(&self) -> Vec<(By, Part)> {
        Body::ALL
            .into_iter()
            .map(|body| {
                let cells = self.cells.iter().skip(body as usize).step_by(BODIES);
                (By::Body(body), sum(cells))
            })
            .filter(|(_, part)| part.cars > 0)
            .collect()
    }
}

fn sum<'a>(cells: impl Iterator<Item = &'a Part>) -> Part {
    let mut whole = Part::default();
    for cell in cells {
        whole.join(cell);
    }
    whole
}

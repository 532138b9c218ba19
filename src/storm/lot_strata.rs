//! How many cars the whole lot has, counted or not, and which are alike: what
//! an estimate from the cars counted so far, and a forecast, need to know.

use std::collections::BTreeSet;

/// The name of the stratum where the column is blank.
pub const BLANK_STRATUM: &str = "(blank)";
/// The name of the one stratum where there are no others.
pub const WHOLE_LOT: &str = "all";

/// Who says how many cars there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LotSource {
    /// `lot.*`: this file.
    File(String),
    /// The vehicle list, which is the whole lot then.
    List,
    /// Nobody but the count sheets: there are as many as they speak of.
    Counts,
}

/// The strata of a lot.
#[derive(Debug, Clone)]
pub struct LotStrata {
    /// The column of the vehicle list that parts them; none: the lot is one.
    pub column: Option<&'static str>,
    /// In the order of `lot.*`, else as they first occur.
    pub strata: Vec<LotStratum>,
    /// By car of the storm: its stratum.
    pub of_car: Vec<usize>,
    /// The column that helps, where one is named.
    pub helper: Option<LotHelper>,
    /// How the counted cars were picked, as the lead says it; may be empty.
    pub picked: String,
    /// Who says how many there are.
    pub source: LotSource,
    /// Whether storm.toml has `[sample]` or there is a `lot.*`: a storm without
    /// either is not meant as a sample.
    pub is_asked: bool,
}

/// One stratum.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LotStratum {
    /// Its name, as first written.
    pub name: String,
    /// Cars in it, counted or not, listed or not; no fewer than are counted.
    pub cars: u64,
}

/// A number that is known of every car.
#[derive(Debug, Clone)]
pub struct LotHelper {
    /// Its column.
    pub column: &'static str,
    /// By car of the storm.
    pub of_car: Vec<f64>,
    /// Over all cars of the lot.
    pub total: f64,
}

impl LotStrata {
    /// By stratum: cars of the lot that the storm does not hold, since no list
    /// has them or since they were left out.
    #[must_use]
    pub fn unlisted(&self) -> Vec<u64> {
        let mut left: Vec<u64> = self.strata.iter().map(|stratum| stratum.cars).collect();
        for stratum in &self.of_car {
            left[*stratum] = left[*stratum].saturating_sub(1);
        }
        left
    }

    /// Takes some cars of the storm out. They stay cars of the lot.
    pub(super) fn remove(&mut self, cars: &BTreeSet<usize>) {
        keep(&mut self.of_car, cars);
        if let Some(helper) = &mut self.helper {
            keep(&mut helper.of_car, cars);
        }
    }
}

fn keep<T>(of_car: &mut Vec<T>, out: &BTreeSet<usize>) {
    let mut next = 0;
    of_car.retain(|_| {
        next += 1;
        !out.contains(&(next - 1))
    });
}

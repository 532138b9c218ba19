//! A whole lot from the cars counted so far: totals with standard error and
//! interval, and how many more to count (Cochran 1977, Sampling Techniques).
//!
//! Everything here is a statistic, so it is `f64`; a total of money that was
//! counted is exact elsewhere.

mod allocate;
mod estimate;
mod groups;
mod lot_estimate;
mod lot_sample;
mod ratio;
mod student;

pub use allocate::{Allocation, can_allocate, more_to_count};
pub use estimate::{
    Degrees, Figure, StratumFigure, TotalEstimate, estimate_total, estimate_total_by, satterthwaite,
};
pub use lot_estimate::{LotEstimate, LotInput, LotRequest, MeasureEstimate, PayerSample};
pub use lot_sample::Measure;
pub use ratio::{RatioEstimate, estimate_ratio, estimate_ratio_by, residuals};
pub use student::quantile_975;

/// One stratum of a lot: how many cars it has, and what was found on those
/// that were counted, in the order of the lot.
#[derive(Debug, Clone, PartialEq)]
pub struct Stratum {
    /// Its name.
    pub name: String,
    /// Cars in all, N.
    pub cars: u64,
    /// Of every counted car, n of them; n is at most N.
    pub values: Vec<f64>,
}

impl Stratum {
    /// Cars counted, n.
    #[must_use]
    pub fn counted(&self) -> u64 {
        self.values.len() as u64
    }

    /// Whether nothing of it is a guess.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.counted() == self.cars
    }

    /// The mean of the counted cars; none without one.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        let counted = self.values.len();
        (counted > 0).then(|| self.values.iter().sum::<f64>() / counted as f64)
    }

    /// N times the mean: what the stratum comes to.
    #[must_use]
    pub fn total(&self) -> Option<f64> {
        self.mean().map(|mean| self.cars as f64 * mean)
    }
}

/// The sum of squares about the mean.
fn squares(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    values.iter().map(|value| (value - mean).powi(2)).sum()
}

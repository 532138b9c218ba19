//! Step 11: the total-loss flag. It flags; it never changes a price.

use super::ledger::GroupSum;
use crate::money::Money;
use crate::rates::Terms;
use std::cmp::Ordering;

/// What can be said of a total loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TotalLossFlag {
    /// The total reaches the threshold.
    Reached,
    /// A quote car whose known total does not suffice: not known yet.
    Unknown,
}

impl TotalLossFlag {
    /// The word in `cars.csv`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            TotalLossFlag::Reached => "total-loss",
            TotalLossFlag::Unknown => "total-loss-unknown",
        }
    }
}

/// What is printed with every flag: thresholds differ by state and by what
/// counts as repair cost (see the sources in `tests/published`).
pub const CAUTION: &str = "A total-loss threshold differs by state and by what counts as repair cost; this flag decides nothing: local law and the insurer do.";

/// Compares total × 100 with percent × value.
#[must_use]
pub fn flag(terms: &Terms, value: Option<Money>, total: GroupSum) -> Option<TotalLossFlag> {
    let rule = terms.total_loss.filter(|rule| !rule.hail_exempt)?;
    let value = value.filter(|value| !value.is_zero())?;
    let threshold = value.exact().percent(rule.percent);
    let reached = match total.known.exact().compare(threshold) {
        Ordering::Greater => true,
        Ordering::Equal => rule.or_equal,
        Ordering::Less => false,
    };
    match (reached, total.open > 0) {
        (true, _) => Some(TotalLossFlag::Reached),
        (false, true) => Some(TotalLossFlag::Unknown),
        (false, false) => None,
    }
}

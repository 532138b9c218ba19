//! How many more cars to count, and where.

use super::groups::groups;
use super::student::quantile_975;
use super::{Stratum, squares};

/// Strata times cars above which nobody is told how many more to count: each is
/// given out by itself.
const MOST_STEPS: u64 = 50_000_000;

/// Whether cars can be given out one by one in a moment.
#[must_use]
pub fn can_allocate(strata: &[Stratum]) -> bool {
    let all: u64 = strata.iter().map(|stratum| stratum.cars).sum();
    all.saturating_mul(strata.len() as u64) <= MOST_STEPS
}

/// How many cars to count of every stratum, in all.
#[derive(Debug, Clone, PartialEq)]
pub struct Allocation {
    /// By stratum, those counted already among them.
    pub counts: Vec<u64>,
    /// Half the interval, as a part of the total, that it should give.
    pub reach: f64,
}

impl Allocation {
    /// How many more than are counted.
    #[must_use]
    pub fn more(&self, strata: &[Stratum]) -> Vec<u64> {
        let pairs = self.counts.iter().zip(strata);
        pairs
            .map(|(count, stratum)| count.saturating_sub(stratum.counted()))
            .collect()
    }
}

/// The fewest whole cars with which the interval of 95 % reaches no further than
/// `wanted` of the total to either side, by today's spreads.
///
/// From two cars a stratum (or what is counted) one car at a time goes to the
/// stratum with the largest N S / √(n (n + 1)) that has cars left: Neyman's
/// allocation in whole cars, optimal at every step (Wright 2012, The American
/// Statistician 66:217). The spread of a stratum with one counted car is that
/// of its group taken as one sample, with none that of all counted cars.
/// `spreads` are the values whose spread counts: the counted ones, or what a
/// ratio leaves of them. None where no spread can be told.
#[must_use]
pub fn more_to_count(
    strata: &[Stratum],
    spreads: &[Stratum],
    total: f64,
    wanted: f64,
) -> Option<Allocation> {
    let deviations = deviations(spreads)?;
    let mut counts: Vec<u64> = strata
        .iter()
        .map(|stratum| stratum.counted().max(2).min(stratum.cars))
        .collect();
    loop {
        let reach = reach(strata, &deviations, &counts, total);
        if reach.is_some_and(|reach| reach <= wanted) {
            return Some(Allocation {
                counts,
                reach: reach.unwrap_or(0.0),
            });
        }
        let gain = |at: usize| {
            let n = counts[at] as f64;
            strata[at].cars as f64 * deviations[at] / (n * (n + 1.0)).sqrt()
        };
        // Of equal gains the first in lot order.
        let next = (0..strata.len())
            .filter(|at| counts[*at] < strata[*at].cars)
            .rev()
            .max_by(|a, b| gain(*a).total_cmp(&gain(*b)));
        counts[next?] += 1;
    }
}

/// Half the interval over the total; none while no degree of freedom is there.
fn reach(strata: &[Stratum], deviations: &[f64], counts: &[u64], total: f64) -> Option<f64> {
    let variance: f64 = strata
        .iter()
        .zip(deviations)
        .zip(counts)
        .filter(|(_, count)| **count > 0)
        .map(|((stratum, deviation), count)| {
            let all = stratum.cars as f64;
            (all * deviation).powi(2) * (1.0 / *count as f64 - 1.0 / all)
        })
        .sum();
    if variance <= 0.0 {
        return Some(0.0);
    }
    let used: Vec<&u64> = counts.iter().filter(|count| **count > 0).collect();
    let df = used.iter().map(|count| **count as f64).sum::<f64>() - used.len() as f64;
    Some(quantile_975(df)? * variance.sqrt() / total.abs())
}

fn deviations(strata: &[Stratum]) -> Option<Vec<f64>> {
    let all: Vec<f64> = strata
        .iter()
        .flat_map(|stratum| stratum.values.iter().copied())
        .collect();
    let spread = |values: &[f64]| {
        (values.len() > 1).then(|| (squares(values) / (values.len() as f64 - 1.0)).sqrt())
    };
    let groups = groups(strata);
    strata
        .iter()
        .enumerate()
        .map(|(at, stratum)| match stratum.values.len() {
            0 => spread(&all),
            1 if stratum.is_whole() => Some(0.0),
            1 => {
                let group = groups.as_ref()?.iter().find(|group| group.contains(&at))?;
                let together: Vec<f64> = group
                    .iter()
                    .flat_map(|at| strata[*at].values.iter().copied())
                    .collect();
                spread(&together)
            }
            _ => spread(&stratum.values),
        })
        .collect()
}

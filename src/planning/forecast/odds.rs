//! What replications say: the day that holds at given odds, the odds of a
//! promise, how many cars are finished when.

use super::replicate::{Replications, day_of};

/// The odds that are shown, in percent.
pub const SHOWN: [u32; 3] = [50, 80, 95];

/// Of one working day: at least so many cars are finished by its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FanDay {
    /// In 95, 80, 50, 20 and 5 of 100 replications.
    pub at_least: [u32; 5],
}

/// The odds of the fan, in percent.
pub const FAN: [u32; 5] = [95, 80, 50, 20, 5];

impl Replications {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.ends.len()
    }

    /// Their last minutes in order; infinite ones last.
    #[must_use]
    pub fn in_order(&self) -> Vec<f64> {
        let mut ends = self.ends.clone();
        ends.sort_by(f64::total_cmp);
        ends
    }

    /// How many of them can't finish.
    #[must_use]
    pub fn not_done(&self) -> usize {
        self.ends.iter().filter(|end| end.is_infinite()).count()
    }

    /// By working day: how many cars are finished by its end.
    #[must_use]
    pub fn fan(&self) -> Vec<FanDay> {
        let days = self.by_day.iter().map(Vec::len).max().unwrap_or(0);
        let mut counts = vec![0; self.count()];
        (0..days)
            .map(|day| {
                for (count, by_day) in counts.iter_mut().zip(&self.by_day) {
                    // After the last day no more are finished.
                    *count = by_day.get(day).or(by_day.last()).copied().unwrap_or(0);
                }
                counts.sort_unstable();
                FanDay {
                    at_least: FAN.map(|odds| at_least(&counts, odds)),
                }
            })
            .collect()
    }
}

/// The least of values in order that a given part of all does not exceed: with
/// it so many in a hundred hold. None where that one is infinite, or of none.
#[must_use]
pub fn holds(in_order: &[f64], odds: u32) -> Option<f64> {
    let at = place(in_order.len(), odds)?;
    Some(in_order[at]).filter(|value| value.is_finite())
}

/// The working day on which all are finished at given odds.
#[must_use]
pub fn day_that_holds(in_order: &[f64], odds: u32, day: f64) -> Option<u32> {
    holds(in_order, odds).map(|end| day_of(end, day))
}

/// The part of all that end by a minute.
#[must_use]
pub fn odds_of(in_order: &[f64], minute: f64) -> f64 {
    if in_order.is_empty() {
        return 0.0;
    }
    let by_then = in_order.partition_point(|end| *end <= minute);
    by_then as f64 / in_order.len() as f64
}

/// What given odds reach at least, of counts in order.
fn at_least(counts: &[u32], odds: u32) -> u32 {
    let place = place(counts.len(), odds).map(|at| counts.len() - 1 - at);
    place.map_or(0, |at| counts[at])
}

/// The place, from 0, of the least of so many in order with which the odds hold.
fn place(of: usize, odds: u32) -> Option<usize> {
    (of * odds as usize)
        .div_ceil(100)
        .checked_sub(1)
        .filter(|at| *at < of)
}

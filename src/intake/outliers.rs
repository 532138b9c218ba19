//! Counts far from their neighbours': a slip of the pen, or a car to look at again.

use super::draft::Drafts;
use super::header::Role;
use super::problem::{Problem, Problems, Severity};
use crate::storm::{Car, Panel};
use std::collections::BTreeMap;

/// A count is compared only where at least this many cars have the panel counted.
const FEWEST_CARS: usize = 8;
/// More robust deviations than this from the median is far.
const FAR: f64 = 4.0;
/// The least robust deviation: the transformed counts of a Poisson variable
/// have a standard deviation of 1, so half of it is already a very even lot.
const LEAST_SPREAD: f64 = 0.5;
/// Median absolute deviation × this estimates the standard deviation of a normal variable.
const MAD_TO_SD: f64 = 1.4826;

/// The variance-stabilising transform of a Poisson count,
/// 2·√(n + 3/8) (Anscombe 1948, Biometrika 35:246).
#[must_use]
pub fn anscombe(count: u32) -> f64 {
    2.0 * (f64::from(count) + 0.375).sqrt()
}

/// Median of a list that is not empty.
fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    if values.len() % 2 == 1 {
        values[half]
    } else {
        f64::midpoint(values[half - 1], values[half])
    }
}

/// How many robust deviations each count lies from the median of all of them.
#[must_use]
pub fn deviations(counts: &[u32]) -> Vec<f64> {
    let transformed: Vec<f64> = counts.iter().map(|count| anscombe(*count)).collect();
    let centre = median(&mut transformed.clone());
    let mut away: Vec<f64> = transformed
        .iter()
        .map(|value| (value - centre).abs())
        .collect();
    let spread = (MAD_TO_SD * median(&mut away)).max(LEAST_SPREAD);
    transformed
        .iter()
        .map(|value| (value - centre).abs() / spread)
        .collect()
}

/// A count that is compared with its neighbours': which car, which of its
/// panels, how many dents.
type Member = (usize, usize, u32);

/// Adds a caution for every count far from those of the same panel in the
/// same row of the lot (the whole lot where no rows are given).
pub fn report(cars: &[Car], drafts: &Drafts, problems: &mut Problems) {
    let mut groups: BTreeMap<(Panel, &str), Vec<Member>> = BTreeMap::new();
    for (car_index, car) in cars.iter().enumerate() {
        for (panel_index, count) in car.panels.iter().enumerate() {
            let sized = count.sized.iter().map(|(_, dents)| *dents);
            let measured = count.measured.iter().map(|dents| dents.dents);
            let total: u32 = sized.chain(measured).sum();
            // "Conventional" without a count says nothing about how many there are.
            if count.conventional && total == 0 {
                continue;
            }
            groups
                .entry((count.panel, car.vehicle.row.as_str()))
                .or_default()
                .push((car_index, panel_index, total));
        }
    }
    for ((panel, row), members) in groups {
        if members.len() < FEWEST_CARS {
            continue;
        }
        let counts: Vec<u32> = members.iter().map(|(_, _, count)| *count).collect();
        let mut ordered = counts.clone();
        ordered.sort_unstable();
        let middle = ordered[ordered.len() / 2];
        for ((car, at, count), deviation) in members.iter().zip(deviations(&counts)) {
            if deviation <= FAR {
                continue;
            }
            let source = cars[*car].panels[*at].source;
            let place = drafts.place(source, |role| {
                role == Role::Panel || matches!(role, Role::PanelCell(cell) if cell == panel)
            });
            let among = if row.is_empty() {
                "on the lot".to_owned()
            } else {
                format!("in row {row}")
            };
            problems.push(Problem {
                severity: Severity::Caution,
                place,
                found: format!("{count} dents on {}", panel.word()),
                expected: format!(
                    "a count nearer to the other {} {among} (median {middle}): look at it again",
                    members.len() - 1
                ),
                meant: None,
                stock: Some(cars[*car].vehicle.stock.clone()),
            });
        }
    }
}

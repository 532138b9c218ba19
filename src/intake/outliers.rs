//! Counts far from their neighbours': a slip of the pen, or a car to look at again.

use super::draft::{CarDraft, Drafts};
use super::header::{ListColumn, Role};
use super::panel_list::PanelRef;
use super::problem::{Problem, Problems, Severity};
use crate::storm::{Car, Panel, PlainCount};
use rayon::prelude::*;
use std::collections::HashMap;

/// A count is compared only where at least this many cars have the panel counted.
const FEWEST_CARS: u64 = 8;
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

/// The middle of values with how often each occurs, least first: of an even
/// number of them, the mean of the two in the middle.
fn median(values: &[(f64, u64)]) -> f64 {
    let all: u64 = values.iter().map(|(_, times)| times).sum();
    let at = |place: u64| {
        let mut before = 0;
        let holds = |(_, times): &&(f64, u64)| {
            before += times;
            place < before
        };
        values
            .iter()
            .find(holds)
            .map_or(f64::NAN, |(value, _)| *value)
    };
    if all % 2 == 1 {
        at(all / 2)
    } else {
        f64::midpoint(at(all / 2 - 1), at(all / 2))
    }
}

/// Where the counts of one panel lie, and how they spread.
#[derive(Debug, Clone, Copy)]
struct Spread {
    centre: f64,
    deviation: f64,
}

impl Spread {
    /// Of counts with how often each occurs, least first; at least one.
    fn of(counts: &[(u32, u64)]) -> Spread {
        let values: Vec<(f64, u64)> = counts
            .iter()
            .map(|(count, times)| (anscombe(*count), *times))
            .collect();
        let centre = median(&values);
        let mut away: Vec<(f64, u64)> = values
            .iter()
            .map(|(value, times)| ((value - centre).abs(), *times))
            .collect();
        away.sort_by(|one, other| one.0.total_cmp(&other.0));
        Spread {
            centre,
            deviation: (MAD_TO_SD * median(&away)).max(LEAST_SPREAD),
        }
    }

    /// How many robust deviations a count lies from the centre.
    fn deviations(self, count: u32) -> f64 {
        (anscombe(count) - self.centre).abs() / self.deviation
    }
}

/// Each count that occurs, least first, and how often.
fn tally(counts: &[u32]) -> Vec<(u32, u64)> {
    let mut sorted = counts.to_vec();
    sorted.sort_unstable();
    let same = sorted.chunk_by(|one, other| one == other);
    same.map(|same| (same[0], same.len() as u64)).collect()
}

/// How many robust deviations each count lies from the median of all of them.
#[must_use]
pub fn deviations(counts: &[u32]) -> Vec<f64> {
    if counts.is_empty() {
        return Vec::new();
    }
    let spread = Spread::of(&tally(counts));
    let each = counts.iter().map(|count| spread.deviations(*count));
    each.collect()
}

const PANELS: usize = Panel::ALL.len();

/// The counts of sound cars by row of the lot and panel; the whole lot is one
/// row where no rows are given.
#[derive(Debug, Default)]
pub struct Neighbours {
    rows: HashMap<String, usize>,
    last: Option<(String, usize)>,
    /// `counts[row][panel]`
    counts: Vec<[Counts; PANELS]>,
}

/// The counts of one panel in one row: one by one while there are few, as in
/// a row of a lot, and by how often each occurs where a whole region is one row.
#[derive(Debug, Default)]
struct Counts {
    /// In the room of two bytes: a region has tens of thousands of rows.
    few: Vec<u16>,
    /// How often each number of dents occurs, by the number.
    many: Vec<u32>,
}

impl Counts {
    const FEW: usize = 1_024;

    #[inline]
    fn add(&mut self, total: u32) {
        // What a region's counts come to in the end.
        match self.many.get_mut(total as usize) {
            Some(times) => *times += 1,
            None => self.add_new(total),
        }
    }

    fn add_new(&mut self, total: u32) {
        match u16::try_from(total) {
            Ok(small) if self.many.is_empty() => {
                self.few.push(small);
                if self.few.len() >= Counts::FEW {
                    for small in std::mem::take(&mut self.few) {
                        add(&mut self.many, small.into(), 1);
                    }
                }
            }
            _ => add(&mut self.many, total, 1),
        }
    }

    fn join(&mut self, other: Counts) {
        if self.few.is_empty() && self.many.is_empty() {
            *self = other;
            return;
        }
        for (total, times) in (0..).zip(other.many) {
            if times > 0 {
                add(&mut self.many, total, times);
            }
        }
        for small in other.few {
            self.add(small.into());
        }
    }

    /// Each number of dents that occurs, least first, and how often.
    fn occurring(&self) -> Vec<(u32, u64)> {
        if self.many.is_empty() {
            let few: Vec<u32> = self.few.iter().copied().map(u32::from).collect();
            return tally(&few);
        }
        let mut many = self.many.clone();
        for small in &self.few {
            add(&mut many, u32::from(*small), 1);
        }
        let occurs = (0..).zip(many).filter(|(_, times)| *times > 0);
        occurs.map(|(total, times)| (total, times.into())).collect()
    }
}

fn add(counts: &mut Vec<u32>, total: u32, times: u32) {
    let at = total as usize;
    if counts.len() <= at {
        counts.resize(at + 1, 0);
    }
    counts[at] += times;
}

impl Neighbours {
    /// Adds a car with its plain panels.
    pub fn add(&mut self, car: &Car, plain: &[PlainCount]) {
        let row = self.row(&car.vehicle.row);
        let counts = &mut self.counts[row];
        for count in plain {
            counts[count.panel.index()].add(count.dents);
        }
        for count in &car.panels {
            let sized = count.sized.iter().map(|(_, dents)| *dents);
            let measured = count.measured.iter().map(|dents| dents.dents);
            let total: u32 = sized.chain(measured).sum();
            if is_told(count.conventional, total) {
                counts[count.panel.index()].add(total);
            }
        }
    }

    fn row(&mut self, name: &str) -> usize {
        // Neighbours follow each other.
        if let Some((last, row)) = &self.last
            && is_same(last, name)
        {
            return *row;
        }
        let row = self.row_of(name);
        self.last = Some((name.to_owned(), row));
        row
    }

    fn row_of(&mut self, name: &str) -> usize {
        if let Some(row) = self.rows.get(name) {
            return *row;
        }
        self.rows.insert(name.to_owned(), self.counts.len());
        self.counts.push(Default::default());
        self.counts.len() - 1
    }

    /// Adds the counts of other cars.
    pub fn join(&mut self, other: Neighbours) {
        let mut others = other.counts;
        for (name, from) in &other.rows {
            let row = self.row(name);
            for (counts, more) in self.counts[row].iter_mut().zip(&mut others[*from]) {
                counts.join(std::mem::take(more));
            }
        }
    }
}

/// Whether two names are the same. A million cars without a row are found so
/// without a comparison of bytes, which is dear where there are none: an empty
/// text stands nowhere.
fn is_same(one: &str, other: &str) -> bool {
    one.len() == other.len() && (one.is_empty() || one == other)
}

/// "Conventional" without a count says nothing about how many there are.
fn is_told(conventional: bool, total: u32) -> bool {
    !conventional || total > 0
}

/// The counts of one panel in one row that are near enough to each other: all of
/// them, where too few cars have the panel counted or none is far.
#[derive(Debug, Clone, Copy)]
struct Near {
    least: u32,
    most: u32,
    median: u32,
    cars: u64,
}

impl Default for Near {
    fn default() -> Near {
        Near {
            least: 0,
            most: u32::MAX,
            median: 0,
            cars: 0,
        }
    }
}

impl Near {
    #[inline]
    fn holds(&self, total: u32) -> bool {
        total.wrapping_sub(self.least) <= self.most - self.least
    }

    /// None where too few cars have the panel counted, or no count is far.
    fn of(counts: &Counts) -> Option<Near> {
        let occurs = counts.occurring();
        let cars: u64 = occurs.iter().map(|(_, times)| times).sum();
        if cars < FEWEST_CARS {
            return None;
        }
        let spread = Spread::of(&occurs);
        let is_near = |total: &u32| spread.deviations(*total) <= FAR;
        let near = || occurs.iter().map(|(total, _)| *total).filter(is_near);
        // A count lies the farther the farther it is from the centre, so what
        // is near lies side by side.
        let (least, most) = (near().min()?, near().max()?);
        let all_near = occurs.len() == near().count();
        let mut before = 0;
        let middle = occurs.iter().find(|(_, times)| {
            before += times;
            cars / 2 < before
        })?;
        (!all_near).then_some(Near {
            least,
            most,
            median: middle.0,
            cars,
        })
    }
}

/// Adds a caution for every count far from those of the same panel in the
/// same row of the lot (the whole lot where no rows are given).
pub fn report(neighbours: &Neighbours, drafts: &Drafts, problems: &mut Problems) {
    let near: Vec<Option<[Near; PANELS]>> = neighbours
        .counts
        .par_iter()
        .map(|counts| {
            let near: [Option<Near>; PANELS] =
                std::array::from_fn(|panel| Near::of(&counts[panel]));
            let any_far = near.iter().any(Option::is_some);
            any_far.then(|| near.map(Option::unwrap_or_default))
        })
        .collect();
    if near.iter().all(Option::is_none) {
        return;
    }
    let far: Vec<Vec<Problem>> = drafts
        .cars
        .par_chunks(super::resolve::CHUNK)
        .map(|cars| {
            let mut far = Vec::new();
            // Neighbours follow each other.
            let mut last: Option<(&str, Option<&[Near; PANELS]>)> = None;
            for car in cars.iter().filter(|car| !car.bad) {
                let row = car.fact(ListColumn::Row);
                let row = row.map_or("", |fact| fact.text.as_str());
                if last.is_none_or(|(name, _)| !is_same(name, row)) {
                    let at = neighbours.rows.get(row);
                    last = at.map(|at| (row, near[*at].as_ref()));
                }
                if let Some((_, Some(near))) = last {
                    far_counts(car, row, near, drafts, &mut far);
                }
            }
            far
        })
        .collect();
    for problem in far.into_iter().flatten() {
        problems.push(problem);
    }
}

fn far_counts(
    car: &CarDraft,
    row: &str,
    near: &[Near; PANELS],
    drafts: &Drafts,
    far: &mut Vec<Problem>,
) {
    for stored in drafts.panels(car).iter() {
        let (panel, total, is_told) = match stored {
            PanelRef::Plain(plain) => (plain.panel, plain.total(), true),
            PanelRef::Whole(draft) => {
                let total = draft.total();
                (draft.panel, total, is_told(draft.conventional, total))
            }
        };
        let near = &near[panel.index()];
        if near.holds(total) || !is_told {
            continue;
        }
        let place = drafts.place(stored.source(), |role| {
            role == Role::Panel || matches!(role, Role::PanelCell(cell) if cell == panel)
        });
        let among = if row.is_empty() {
            "on the lot".to_owned()
        } else {
            format!("in row {row}")
        };
        far.push(Problem {
            severity: Severity::Caution,
            place,
            found: format!("{total} dents on {}", panel.word()),
            expected: format!(
                "a count nearer to the other {} {among} (median {}): look at it again",
                near.cars - 1,
                near.median
            ),
            meant: None,
            stock: Some(car.stock.to_string()),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// However the counts are parted and joined, each number of dents occurs as
    /// often as it was added: few of them, many, and beyond two bytes.
    #[test]
    fn joined_counts_are_those_of_all_parts() {
        for all in [3_u32, 1_023, 1_024, 5_000] {
            let totals: Vec<u32> = (0..all)
                .map(|at| at * at % 97 + at / 4_000 * 70_000)
                .collect();
            let mut expected = std::collections::BTreeMap::new();
            for total in &totals {
                *expected.entry(*total).or_insert(0_u64) += 1;
            }
            let expected: Vec<(u32, u64)> = expected.into_iter().collect();
            for part in [1, 2, 700, 1_024, 5_000] {
                let mut joined = Counts::default();
                for totals in totals.chunks(part) {
                    let mut counts = Counts::default();
                    totals.iter().for_each(|total| counts.add(*total));
                    joined.join(counts);
                }
                assert_eq!(joined.occurring(), expected, "{all} in parts of {part}");
            }
        }
    }

    #[test]
    fn names_are_the_same_letter_by_letter() {
        assert!(is_same("", "") && is_same("R1", "R1"));
        assert!(!is_same("", "R1") && !is_same("R1", "R2") && !is_same("R1", "R12"));
    }
}

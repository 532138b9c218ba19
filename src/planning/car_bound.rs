//! What the stages of one car take at least.

use super::problem::{Minute, Stage};
use super::shop::Shop;
use rust_decimal::Decimal;

/// Steps of the search for a packing; past them the weaker figure stands,
/// which is a bound as well.
const MOST_STEPS: u32 = 20_000;

/// Bounds by car.
#[derive(Debug)]
pub struct CarBounds {
    arrives: Vec<Minute>,
    strip: Vec<Minute>,
    dents: Vec<Minute>,
    fit: Vec<Minute>,
    fit_from: Vec<Minute>,
    /// The last stage.
    pub finish: Vec<Minute>,
    /// From the first task to the end of the last before finish.
    pub in_bay: Vec<Minute>,
    /// The end of the car.
    pub ends: Vec<Minute>,
}

impl CarBounds {
    /// Works all cars out.
    #[must_use]
    pub fn of(shop: &Shop<'_>) -> CarBounds {
        let mut bounds = CarBounds {
            arrives: Vec::new(),
            strip: Vec::new(),
            dents: Vec::new(),
            fit: Vec::new(),
            fit_from: Vec::new(),
            finish: Vec::new(),
            in_bay: Vec::new(),
            ends: Vec::new(),
        };
        for (car, tasks) in shop.problem.cars.iter().zip(&shop.cars) {
            let strip = shop.least(tasks.strip);
            let dents = dents(shop, &tasks.panels);
            let (fit, finish) = (shop.least(tasks.fit), shop.least(tasks.finish));
            let fit_from = if tasks.fit.is_some() {
                car.fit_not_before
            } else {
                0
            };
            let before_fit = car.arrives + strip + dents;
            bounds.arrives.push(car.arrives);
            bounds.strip.push(strip);
            bounds.dents.push(dents);
            bounds.fit.push(fit);
            bounds.fit_from.push(fit_from);
            bounds.finish.push(finish);
            bounds.in_bay.push(strip + dents + fit);
            bounds.ends.push(if tasks.count() == 0 {
                0
            } else {
                before_fit.max(fit_from) + fit + finish
            });
        }
        bounds
    }

    /// What lies before and after a stage of a car at least: no task of it
    /// begins before the head, and none ends later than the tail before the end.
    #[must_use]
    pub fn head_and_tail(&self, car: usize, stage: Stage) -> (Minute, Minute) {
        let (strip, dents) = (self.strip[car], self.dents[car]);
        let (fit, finish) = (self.fit[car], self.finish[car]);
        let arrives = self.arrives[car];
        let fit_head = (arrives + strip + dents).max(self.fit_from[car]);
        match stage {
            Stage::Strip => (arrives, dents + fit + finish),
            Stage::Dents => (arrives + strip, fit + finish),
            Stage::Fit => (fit_head, finish),
            Stage::Finish => (fit_head + fit, 0),
        }
    }
}

/// What the panels of a car take at least, with so many hands on it at once:
/// the longest by the fastest; all of them by the `hands` fastest together;
/// and unsplit on that many copies of the fastest. The last is no bound with
/// the real people, since a third may step in for a slow second.
fn dents(shop: &Shop<'_>, panels: &[usize]) -> Minute {
    if panels.is_empty() {
        return 0;
    }
    let least: Vec<Minute> = panels.iter().map(|task| shop.least(Some(*task))).collect();
    let longest = least.iter().copied().max().unwrap_or(0);
    let hands = shop.problem.hands.max(1);
    let together = longest.max(by_fastest_together(shop, panels, hands));
    // A day away parts a panel, and lets others to the car meanwhile.
    let away = |able: &super::shop::Able| shop.problem.workers[able.worker].days.is_some();
    if panels
        .iter()
        .any(|task| shop.tasks[*task].able.iter().any(away))
    {
        return together;
    }
    together.max(unsplit(least, hands))
}

/// All minutes over the summed speeds of the `hands` fastest.
fn by_fastest_together(shop: &Shop<'_>, panels: &[usize], hands: usize) -> Minute {
    let mut workers: Vec<usize> = panels
        .iter()
        .flat_map(|task| shop.tasks[*task].able.iter().map(|able| able.worker))
        .collect();
    workers.sort_unstable();
    workers.dedup();
    let mut speeds: Vec<Decimal> = workers
        .iter()
        .map(|worker| shop.problem.workers[*worker].speed)
        .collect();
    speeds.sort_unstable_by(|a, b| b.cmp(a));
    let speed: Decimal = speeds.iter().take(hands).sum();
    if speed.is_zero() {
        return 0;
    }
    let cars = &shop.problem.cars;
    let minutes: Decimal = panels
        .iter()
        .filter_map(|task| {
            let task = &shop.tasks[*task];
            task.panel.map(|panel| cars[task.car].panels[panel].minutes)
        })
        .sum();
    super::problem::duration(minutes, speed)
}

/// The least end of pieces on equal hands, none split: exact for pieces of a
/// car, as far as the steps reach.
fn unsplit(mut pieces: Vec<Minute>, hands: usize) -> Minute {
    pieces.sort_unstable_by(|a, b| b.cmp(a));
    let sum: Minute = pieces.iter().sum();
    let parts = Minute::try_from(hands).unwrap_or(1);
    let even = sum.div_euclid(parts) + Minute::from(sum % parts != 0);
    let mut end = even.max(pieces[0]);
    // Of hands + 1 pieces two share a hand.
    if pieces.len() > hands {
        end = end.max(pieces[hands - 1] + pieces[hands]);
    }
    if hands == 1 || pieces.len() <= hands {
        return end;
    }
    let mut steps = MOST_STEPS;
    while !fits(&pieces, &mut vec![0; hands], end, &mut steps) {
        end += 1;
    }
    end
}

/// Whether the pieces, longest first, fit on the hands up to an end. Where the
/// steps run out it is taken to be so.
fn fits(pieces: &[Minute], loads: &mut Vec<Minute>, end: Minute, steps: &mut u32) -> bool {
    let Some((first, rest)) = pieces.split_first() else {
        return true;
    };
    if *steps == 0 {
        return true;
    }
    *steps -= 1;
    for hand in 0..loads.len() {
        // Equal loads are the same choice.
        if loads[..hand].contains(&loads[hand]) || loads[hand] + first > end {
            continue;
        }
        loads[hand] += first;
        if fits(rest, loads, end, steps) {
            return true;
        }
        loads[hand] -= first;
    }
    false
}

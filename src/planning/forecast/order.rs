//! The order in which a plan's cars are dealt out anew.

use super::super::dispatch::PREFERENCES;
use super::super::problem::{PlanProblem, Stage};
use super::super::search::Plan;
use super::drawn::{CarChance, DayChance, Drawn};
use super::flow::{DealOrder, Flow};
use super::run::Run;
use crate::planning::Day;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};

/// Nothing happens that was not foreseen.
#[derive(Debug, Clone, Copy)]
pub struct NoChance;

impl CarChance for NoChance {
    fn late(&mut self) -> f64 {
        0.0
    }
    fn which(&mut self, _: usize) -> usize {
        0
    }
    fn growth(&mut self) -> f64 {
        1.0
    }
    fn factor(&mut self) -> f64 {
        1.0
    }
}

impl DayChance for NoChance {
    fn is_closed(&mut self, _: Day) -> bool {
        false
    }
    fn is_absent(&mut self, _: u64, _: Day) -> bool {
        false
    }
}

/// How a flow goes where nothing is left to chance: worse is more, as plans are
/// told apart.
#[derive(Debug, Clone, PartialEq, PartialOrd)]
pub struct WithoutChance {
    /// Working days until the last finish; infinite where some cars have none.
    pub days: f64,
    /// Whole days late, weighted.
    pub late: i64,
    /// The last finish.
    pub end: f64,
}

/// Goes through a flow where nothing is left to chance, and says when each car is
/// finished too, by rank.
#[must_use]
pub fn without_chance(flow: &Flow) -> (WithoutChance, Vec<f64>) {
    let mut drawn = Drawn {
        pace: flow
            .people
            .iter()
            .map(|person| 1.0 / person.speed)
            .collect(),
        ..Drawn::default()
    };
    drawn.draw(flow, |_| NoChance);
    let mut run = Run::of(flow);
    let end = run.go(&mut drawn, &mut NoChance, &mut |_| {});
    let end = end.unwrap_or(f64::INFINITY);
    let late = flow.cars.iter().zip(&run.ends);
    let late = late.map(|(car, end)| car.weight.saturating_mul(days_late(flow, car.due, *end)));
    let came = WithoutChance {
        days: days_of(flow, end),
        late: late.fold(0, i64::saturating_add),
        end,
    };
    (came, run.ends)
}

/// Whole working days late against a promise; nothing where time has no days.
fn days_late(flow: &Flow, due: Option<f64>, end: f64) -> i64 {
    let Some(due) = due.filter(|_| flow.day.is_finite()) else {
        return 0;
    };
    // A promise may lie before the first day.
    (days_of(flow, end) - days_of(flow, due)).max(0.0) as i64
}

fn days_of(flow: &Flow, end: f64) -> f64 {
    if flow.day.is_finite() {
        ((end - 1e-6) / flow.day).ceil()
    } else {
        end
    }
}

/// Tasks that are dealt out, over and over, while an order is improved.
const TASKS_DEALT: usize = 4_000_000;
/// Orders that are tried at most.
const TRIES: usize = 4_000;

/// Moves cars in the order of a flow, one after the other, as long as without any
/// chance it takes more days, or is late by more, than the plan: a plan chooses
/// who does what, and whoever deals to the free needs another order for the same
/// days. Which car goes where is drawn from a fixed seed.
pub fn improve(flow: &mut Flow, days: f64, late: i64) {
    let tasks: usize = flow.patterns.iter().map(|of| of.panels.len() + 3).sum();
    let tries = (TASKS_DEALT / tasks.max(1)).min(TRIES);
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(1);
    let mut below = |end: usize| {
        let roll = u128::from(rng.next_u64()) * end as u128;
        usize::try_from(roll >> 64).unwrap_or(0)
    };
    let mut best = without_chance(flow).0;
    for _ in 0..tries {
        if (best.days <= days && best.late <= late) || flow.cars.len() < 2 {
            return;
        }
        let (from, to) = (below(flow.cars.len()), below(flow.cars.len()));
        move_car(&mut flow.cars, from, to);
        let (came, _) = without_chance(flow);
        // More days than the plan's are mended first, then promises.
        let worth = |of: &WithoutChance| (of.days.max(days), of.late, of.end);
        if worth(&came) <= worth(&best) {
            best = came;
        } else {
            move_car(&mut flow.cars, to, from);
        }
    }
}

fn move_car<T>(cars: &mut [T], from: usize, to: usize) {
    if from < to {
        cars[from..=to].rotate_left(1);
    } else {
        cars[to..=from].rotate_right(1);
    }
}

impl DealOrder {
    /// The order of a plan: its cars by when it begins them, or by when it ends
    /// them, each with its panels as it begins them. Who has several trades
    /// looks at them as the plan has it, or in another order; whichever of all
    /// these is best without any chance, as plans are told apart.
    #[must_use]
    pub fn of_plan(problem: &PlanProblem, plan: &Plan) -> DealOrder {
        let mut begins: Vec<Option<i64>> = vec![None; problem.cars.len()];
        let mut ends = begins.clone();
        let mut panels: Vec<Vec<(i64, usize)>> = vec![Vec::new(); problem.cars.len()];
        for task in &plan.tasks {
            let begin = begins[task.car].get_or_insert(task.start);
            *begin = task.start.min(*begin);
            let end = ends[task.car].get_or_insert(task.end);
            *end = task.end.max(*end);
            if let (Stage::Dents, Some(panel)) = (task.stage, task.panel) {
                panels[task.car].push((task.start, panel));
            }
        }
        let by = |times: &[Option<i64>]| {
            let mut cars: Vec<usize> = (0..times.len())
                .filter(|car| times[*car].is_some())
                .collect();
            cars.sort_by_key(|car| (times[*car], *car));
            cars
        };
        let panels: Vec<Vec<usize>> = panels
            .into_iter()
            .map(|mut of_car| {
                of_car.sort_unstable();
                of_car.into_iter().map(|(_, panel)| panel).collect()
            })
            .collect();
        let longest = DealOrder::longest_first(problem);
        let of_plan: Vec<[usize; 3]> = plan
            .sequence
            .prefers
            .iter()
            .map(|at| PREFERENCES[*at])
            .collect();
        let has_several = problem
            .workers
            .iter()
            .any(|worker| worker.trades.count() > 1);
        let others = PREFERENCES.iter().filter(|_| has_several);
        let mut prefers = vec![of_plan];
        prefers.extend(others.map(|order| vec![*order; problem.workers.len()]));
        let mut best: Option<(WithoutChance, DealOrder)> = None;
        for prefers in prefers {
            for cars in [by(&begins), by(&ends)] {
                for panels in [&panels, &longest.panels] {
                    let order = DealOrder {
                        cars: cars.clone(),
                        panels: panels.clone(),
                        prefers: prefers.clone(),
                    };
                    // Of equal ones the first is taken.
                    let (came, _) = without_chance(&Flow::of(problem, &order));
                    if best.as_ref().is_none_or(|(known, _)| came < *known) {
                        best = Some((came, order));
                    }
                }
            }
        }
        best.map_or(longest, |(_, order)| order)
    }
}

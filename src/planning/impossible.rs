//! Why a lot can't be done by a crew, and what would cure it.

use super::calendar::NEVER;
use super::problem::{Minute, PlanProblem, PlannedTask, Stage};
use super::shop::Shop;
use std::collections::{BTreeMap, BTreeSet};

/// Why some work can't be done at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Impossible {
    /// There is no bay.
    NoBay,
    /// It would take more working days than anyone plans.
    TooFar {
        /// How many at least.
        days: i64,
    },
    /// A car or its parts come later than anyone plans.
    FarAway {
        /// The car.
        car: usize,
    },
    /// Nobody has the trade.
    Nobody {
        /// The stage.
        stage: Stage,
        /// Cars with work in it.
        cars: Vec<usize>,
    },
    /// Nobody with the trade is here for so long.
    TooLong {
        /// The stage.
        stage: Stage,
        /// The car whose task it is.
        car: usize,
        /// Whole minutes of whoever would be quickest.
        minutes: Minute,
    },
    /// Everyone with the trade has gone before it could be done.
    EveryoneGone {
        /// The stage.
        stage: Stage,
        /// Cars with work left in it.
        cars: Vec<usize>,
        /// Minutes of that, by whoever is quickest.
        minutes: Minute,
        /// The last minute of the last of them.
        last: Minute,
    },
}

/// What stands against a plan; empty where every task has its place. Only the
/// first stage of a car that can't be done is named: what comes after it is
/// held up by it.
#[must_use]
pub fn impossible(problem: &PlanProblem, tasks: &[PlannedTask]) -> Vec<Impossible> {
    let shop = Shop::of(problem);
    if problem.bays == Some(0) && shop.tasks.iter().any(|task| task.stage != Stage::Finish) {
        return vec![Impossible::NoBay];
    }
    let placed: BTreeSet<(usize, Stage, Option<usize>)> = tasks
        .iter()
        .map(|task| (task.car, task.stage, task.panel))
        .collect();
    let mut first_open: BTreeMap<usize, Stage> = BTreeMap::new();
    let mut nobody: BTreeMap<Stage, BTreeSet<usize>> = BTreeMap::new();
    let mut gone: BTreeMap<Stage, (BTreeSet<usize>, Minute)> = BTreeMap::new();
    let mut found = Vec::new();
    for (index, task) in shop.tasks.iter().enumerate() {
        if placed.contains(&(task.car, task.stage, task.panel)) {
            continue;
        }
        if *first_open.entry(task.car).or_insert(task.stage) != task.stage {
            continue;
        }
        let has_trade = problem
            .workers
            .iter()
            .any(|worker| worker.trades.meets(task.stage.trade()));
        if !has_trade {
            nobody.entry(task.stage).or_default().insert(task.car);
        } else if task.able.is_empty() {
            found.push(Impossible::TooLong {
                stage: task.stage,
                car: task.car,
                minutes: least_minutes(problem, task),
            });
        } else {
            let (cars, minutes) = gone.entry(task.stage).or_default();
            cars.insert(task.car);
            *minutes += shop.least(Some(index));
        }
    }
    let mut all: Vec<Impossible> = nobody
        .into_iter()
        .map(|(stage, cars)| Impossible::Nobody {
            stage,
            cars: cars.into_iter().collect(),
        })
        .collect();
    all.append(&mut found);
    all.extend(
        gone.into_iter()
            .map(|(stage, (cars, minutes))| Impossible::EveryoneGone {
                stage,
                cars: cars.into_iter().collect(),
                minutes,
                last: last_minute(&shop, stage),
            }),
    );
    all
}

/// What a task takes of whoever with its trade is quickest, however short they
/// stay.
fn least_minutes(problem: &PlanProblem, task: &super::shop::Task) -> Minute {
    let car = &problem.cars[task.car];
    let work = match (task.stage, task.panel) {
        (Stage::Strip, _) => car.strip,
        (Stage::Fit, _) => car.fit,
        (Stage::Finish, _) => car.finish,
        (Stage::Dents, panel) => car.panels[panel.unwrap_or(0)],
    };
    problem
        .workers
        .iter()
        .filter(|worker| worker.trades.meets(task.stage.trade()))
        .map(|worker| super::problem::duration(work.minutes, worker.speed))
        .min()
        .unwrap_or(0)
}

/// The last minute of those who can do a stage.
fn last_minute(shop: &Shop<'_>, stage: Stage) -> Minute {
    let workers = shop.problem.workers.iter().zip(&shop.calendars);
    workers
        .filter(|(worker, _)| worker.trades.meets(stage.trade()))
        .map(|(_, calendar)| match calendar.capacity() {
            0 => 0,
            own if own >= NEVER => NEVER,
            own => calendar.site_end(own),
        })
        .max()
        .unwrap_or(0)
}

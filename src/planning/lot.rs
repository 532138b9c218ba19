//! Jobs → a problem in minutes → the plan of a lot.

use super::bound::{Bound, car_bounds, lower_bound};
use super::calendar::NEVER;
use super::impossible::{Impossible, impossible};
use super::outcome::{Outcome, days};
use super::problem::{Minute, PlanCar, PlanProblem, PlannedTask, Stage, Trades, Work, Worker};
use super::schedule::{Score, Sequence};
use super::search::{Plan, StopRule, plan};
use super::shop::Shop;
use crate::crew::{CarJob, HORIZON, JobTask, Jobs};
use crate::storm::{Person, Storm, Trade};
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// The problem that jobs pose. Its workers are the crew in its order, its
/// cars the jobs in theirs.
#[must_use]
pub fn problem_of(storm: &Storm, people: &[Person], jobs: &Jobs) -> PlanProblem {
    let workers =
        people
            .iter()
            .zip(&jobs.paces.people)
            .zip(&jobs.days)
            .map(|((person, pace), days)| Worker {
                name: person.name.clone(),
                trades: trades(person),
                speed: pace.planned,
                days: days.clone(),
            });
    PlanProblem {
        day: Some(jobs.hours.day_minutes()),
        workers: workers.collect(),
        cars: jobs.cars.iter().map(|job| car(storm, jobs, job)).collect(),
        bays: jobs.site.bays.map(|bays| bays as usize),
        release: jobs.site.release_for_parts,
        hands: jobs.site.hands_per_car as usize,
    }
}

/// Lets others do what was kept for somebody and found no place; which it was.
fn hand_over(problem: &mut PlanProblem, tasks: &[PlannedTask]) -> Vec<(usize, usize)> {
    let placed: BTreeSet<(usize, Stage, Option<usize>)> = tasks
        .iter()
        .map(|task| (task.car, task.stage, task.panel))
        .collect();
    let mut handed_over = Vec::new();
    for (index, car) in problem.cars.iter_mut().enumerate() {
        let mut free = |stage: Stage, panel: Option<usize>, work: &mut Work| {
            if let Some(only) = work.only
                && !placed.contains(&(index, stage, panel))
            {
                work.only = None;
                handed_over.push((index, only));
            }
        };
        free(Stage::Strip, None, &mut car.strip);
        for (at, work) in car.panels.iter_mut().enumerate() {
            free(Stage::Dents, Some(at), work);
        }
        free(Stage::Fit, None, &mut car.fit);
        free(Stage::Finish, None, &mut car.finish);
    }
    handed_over.sort_unstable();
    handed_over.dedup();
    handed_over
}

/// The plan in which nothing is done.
fn none(problem: &PlanProblem) -> Plan {
    let shop = Shop::of(problem);
    Plan {
        score: Score {
            unplaced: shop.tasks.len() as i64,
            ..Score::default()
        },
        tasks: Vec::new(),
        sequence: Sequence::of_cars(&shop, &[]),
    }
}

fn car(storm: &Storm, jobs: &Jobs, job: &CarJob) -> PlanCar {
    let work = |task: Option<JobTask>| {
        task.map_or_else(Work::default, |task| Work {
            minutes: task.minutes,
            only: task.only,
        })
    };
    let parts = job.parts_due.unwrap_or(0).max(0);
    // Where bays are given back, who only waits for parts has none.
    let waits_outside =
        jobs.site.release_for_parts && job.strip.is_none() && job.panels.is_empty() && parts > 0;
    PlanCar {
        stock: storm.cars[job.car].vehicle.stock.clone(),
        arrives: job.arrives,
        strip: work(job.strip),
        panels: job
            .panels
            .iter()
            .map(|(_, task)| work(Some(*task)))
            .collect(),
        fit: work(job.fit),
        fit_not_before: parts,
        finish: work(job.finish),
        in_bay: job.in_bay && !waits_outside,
        due: job.due,
        weight: job.weight,
    }
}

fn trades(person: &Person) -> Trades {
    person.trades.iter().fold(Trades::default(), |all, trade| {
        all.and(match trade {
            Trade::Dents => Trades::DENTS,
            Trade::Strip | Trade::Fit => Trades::STRIP,
            Trade::Finish => Trades::FINISH,
            Trade::Other => Trades::default(),
        })
    })
}

/// A lot's plan with all that is to be said of it.
#[derive(Debug, Clone)]
pub struct LotPlan {
    /// What was planned.
    pub problem: PlanProblem,
    /// The plan.
    pub plan: Plan,
    /// What no plan can beat.
    pub bound: Bound,
    /// No car is finished earlier under any plan, by car.
    pub car_bounds: Vec<Minute>,
    /// What the plan means.
    pub outcome: Outcome,
    /// Why there is none; empty where every task has its place.
    pub impossible: Vec<Impossible>,
    /// Begun work that found no place with who began it: car and person.
    pub handed_over: Vec<(usize, usize)>,
}

impl LotPlan {
    /// Plans jobs.
    #[must_use]
    pub fn of(storm: &Storm, people: &[Person], jobs: &Jobs, stop: StopRule, seed: u64) -> LotPlan {
        let mut problem = problem_of(storm, people, jobs);
        let first = LotPlan::of_problem(problem.clone(), jobs, stop, seed);
        if first.plan.score.unplaced == 0 {
            return first;
        }
        // Who began a task may have left before its car or parts are here:
        // then it is for whoever can.
        let handed_over = hand_over(&mut problem, &first.plan.tasks);
        if handed_over.is_empty() {
            return first;
        }
        LotPlan {
            handed_over,
            ..LotPlan::of_problem(problem, jobs, stop, seed)
        }
    }

    fn of_problem(problem: PlanProblem, jobs: &Jobs, stop: StopRule, seed: u64) -> LotPlan {
        let shop = Shop::of(&problem);
        let bound = lower_bound(&shop);
        let car_bounds = car_bounds(&shop);
        drop(shop);
        let far = HORIZON * jobs.hours.day_minutes();
        // Work without end is not even scheduled: nobody waits for it. What no
        // calendar holds is: the schedule tells what found no place.
        let plan = if far < bound.end && bound.end < NEVER {
            none(&problem)
        } else {
            plan(&problem, stop, seed)
        };
        let outcome = Outcome::of(&problem, &plan.tasks);
        let end = plan.score.end.max(bound.end);
        let late = problem.cars.iter().position(|car| {
            let has_work = car.finish.minutes > Decimal::ZERO || !car.panels.is_empty();
            has_work && car.arrives.max(car.fit_not_before) > far
        });
        let impossible = if let Some(car) = late {
            vec![Impossible::FarAway { car }]
        } else if far < end && end < NEVER {
            vec![Impossible::TooFar {
                days: days(end, jobs.hours.day_minutes()),
            }]
        } else if plan.score.unplaced > 0 {
            impossible(&problem, &plan.tasks)
        } else {
            Vec::new()
        };
        LotPlan {
            problem,
            plan,
            bound,
            car_bounds,
            outcome,
            impossible,
            handed_over: Vec::new(),
        }
    }

    /// Working days of the site that no plan can do with fewer of.
    #[must_use]
    pub fn least_days(&self) -> i64 {
        self.problem.day.map_or(0, |day| days(self.bound.end, day))
    }

    /// Whether no plan at all keeps a car's promise.
    #[must_use]
    pub fn cannot_hold(&self, car: usize) -> bool {
        match (self.problem.cars[car].due, self.problem.day) {
            (Some(due), Some(day)) => days(self.car_bounds[car], day) > days(due, day),
            _ => false,
        }
    }
}

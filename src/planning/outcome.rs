//! What a plan means for cars and people: when each car is finished, how late,
//! how busy everyone is, and who waits for what.

use super::calendar::Calendar;
use super::problem::{Minute, PlanProblem, PlannedTask, Stage};
use std::collections::BTreeSet;

/// Why somebody has nothing to do for a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WaitsFor {
    /// The next car has not arrived.
    Car,
    /// Its parts have not.
    Parts,
    /// An earlier stage of it is not over.
    Stage(Stage),
    /// Every bay is taken.
    Bay,
    /// As many people are on it as may be.
    Hands,
    /// Nothing hangs on it: the next task could begin earlier.
    Nothing,
    /// All work of the person's trades is done.
    MoreWork,
}

/// A while without a task, of a person who is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wait {
    /// Index of the worker.
    pub worker: usize,
    /// From, in minutes of the site.
    pub from: Minute,
    /// To.
    pub to: Minute,
    /// Working minutes of the person in between.
    pub minutes: Minute,
    /// Why.
    pub why: WaitsFor,
    /// The car that comes next; none after the last task.
    pub car: Option<usize>,
}

/// The time of one worker up to the end of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Busy {
    /// Minutes with a task.
    pub work: Minute,
    /// Minutes here.
    pub here: Minute,
}

/// What a plan means.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// By car: its last minute; none where it has no work left.
    pub ends: Vec<Option<Minute>>,
    /// By car: whole days late.
    pub late: Vec<i64>,
    /// By worker.
    pub busy: Vec<Busy>,
    /// By worker, then by time.
    pub waits: Vec<Wait>,
}

impl Outcome {
    /// Looks at a plan.
    #[must_use]
    pub fn of(problem: &PlanProblem, tasks: &[PlannedTask]) -> Outcome {
        let mut ends: Vec<Option<Minute>> = vec![None; problem.cars.len()];
        for task in tasks {
            let end = &mut ends[task.car];
            *end = Some(end.unwrap_or(0).max(task.end));
        }
        let late = problem
            .cars
            .iter()
            .zip(&ends)
            .map(|(car, end)| match (car.due, end, problem.day) {
                (Some(due), Some(end), Some(day)) => (days(*end, day) - days(due, day)).max(0),
                _ => 0,
            })
            .collect();
        let end = ends.iter().flatten().copied().max().unwrap_or(0);
        let mut by_worker: Vec<Vec<&PlannedTask>> = vec![Vec::new(); problem.workers.len()];
        for task in tasks {
            by_worker[task.worker].push(task);
        }
        let look = Look::of(problem, tasks);
        let (mut busy, mut waits) = (Vec::new(), Vec::new());
        for (worker, tasks) in by_worker.iter_mut().enumerate() {
            tasks.sort_by_key(|task| task.start);
            let calendar = Calendar::of(&problem.workers[worker], problem.day);
            let own = |minute: Minute| calendar.own(minute).min(calendar.capacity());
            let last = own(end);
            let mut work = 0;
            let mut free = 0;
            for task in tasks.iter() {
                let (from, to) = (calendar.own(task.start), calendar.own(task.end - 1) + 1);
                work += to - from;
                if from > free {
                    waits.push(Wait {
                        worker,
                        from: calendar.site(free),
                        to: calendar.site_end(from),
                        minutes: from - free,
                        why: look.why(task, calendar.site(free)),
                        car: Some(task.car),
                    });
                }
                free = to;
            }
            if last > free {
                waits.push(Wait {
                    worker,
                    from: calendar.site(free),
                    to: calendar.site_end(last),
                    minutes: last - free,
                    why: WaitsFor::MoreWork,
                    car: None,
                });
            }
            busy.push(Busy { work, here: last });
        }
        Outcome {
            ends,
            late,
            busy,
            waits,
        }
    }
}

/// The working day, from 1, in which the minute before this one lies.
#[must_use]
pub fn days(end: Minute, day: Minute) -> i64 {
    (end + day - 1).div_euclid(day)
}

/// All tasks, to see what held one of them up.
struct Look<'a> {
    problem: &'a PlanProblem,
    by_car: Vec<Vec<&'a PlannedTask>>,
    /// When a bay may have been given back.
    given_back: BTreeSet<Minute>,
}

impl<'a> Look<'a> {
    fn of(problem: &'a PlanProblem, tasks: &'a [PlannedTask]) -> Look<'a> {
        let mut by_car: Vec<Vec<&PlannedTask>> = vec![Vec::new(); problem.cars.len()];
        for task in tasks {
            by_car[task.car].push(task);
        }
        let given_back = by_car
            .iter()
            .enumerate()
            .filter(|(car, _)| problem.cars[*car].fit_not_before > 0 && problem.release)
            .flat_map(|(_, tasks)| tasks.iter().filter(|task| task.stage == Stage::Dents))
            .map(|task| task.end);
        let given_back = given_back.chain(by_car.iter().filter_map(|tasks| {
            let in_bay = tasks.iter().filter(|task| task.stage != Stage::Finish);
            in_bay.map(|task| task.end).max()
        }));
        let given_back = given_back.collect();
        Look {
            problem,
            by_car,
            given_back,
        }
    }

    /// What held a task up, of somebody who was free before: the last of all
    /// that had to be waited for.
    fn why(&self, task: &PlannedTask, free: Minute) -> WaitsFor {
        let car = &self.problem.cars[task.car];
        let mut reasons = vec![(car.arrives, WaitsFor::Car)];
        if task.stage == Stage::Fit {
            reasons.push((car.fit_not_before, WaitsFor::Parts));
        }
        for other in &self.by_car[task.car] {
            if other.stage < task.stage {
                reasons.push((other.end, WaitsFor::Stage(other.stage)));
            }
        }
        // Of two that end together the one nearer to the task is named.
        let last = reasons.into_iter().max_by_key(|(minute, _)| *minute);
        match last {
            Some((minute, why)) if minute > free && minute >= task.start => why,
            _ if self.no_bay(task) => WaitsFor::Bay,
            _ if self.hands_full(task) => WaitsFor::Hands,
            Some((minute, why)) if minute > free => why,
            _ => WaitsFor::Nothing,
        }
    }

    /// Whether a car gets its bay with this task, which another gives back then.
    fn no_bay(&self, task: &PlannedTask) -> bool {
        let first = self.by_car[task.car]
            .iter()
            .filter(|other| other.stage != Stage::Finish)
            .map(|other| other.start)
            .min();
        self.problem.bays.is_some()
            && task.stage != Stage::Finish
            && first == Some(task.start)
            && self.given_back.contains(&task.start)
    }

    /// Whether hands leave the car just as this task begins.
    fn hands_full(&self, task: &PlannedTask) -> bool {
        let on_it = |minute: Minute| {
            self.by_car[task.car]
                .iter()
                .filter(|other| other.stage == Stage::Dents)
                .filter(|other| other.start <= minute && minute < other.end)
                .count()
        };
        task.stage == Stage::Dents && on_it(task.start - 1) >= self.problem.hands
    }
}

//! A lot as it flows through the site: the cars in their order, and the people
//! in the order in which they are dealt work.

use super::super::problem::{Day, PlanProblem, Trades, Work};
use super::ranks::Ranks;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::cmp::Reverse;

/// Working days after which nothing more is waited for.
pub const LAST_DAY: Day = 4_000;

/// The days on which somebody is to be here, as far as is known beforehand.
#[derive(Debug, Clone)]
pub struct Attendance {
    days: Vec<Day>,
    by_day: Ranks,
}

impl Attendance {
    /// Days in order.
    #[must_use]
    pub fn of(days: &[Day]) -> Attendance {
        let sound = |day: &&Day| (0..LAST_DAY).contains(*day);
        let days: Vec<Day> = days.iter().filter(sound).copied().collect();
        let mut by_day = Ranks::below(usize::try_from(LAST_DAY).unwrap_or(0));
        for day in &days {
            by_day.insert(usize::try_from(*day).unwrap_or(0));
        }
        Attendance { days, by_day }
    }

    /// The first day of it that is not before this one.
    #[must_use]
    pub fn from(&self, day: Day) -> Option<Day> {
        let found = self.by_day.from(usize::try_from(day).ok()?)?;
        Day::try_from(found).ok()
    }

    /// The last day of it.
    #[must_use]
    pub fn last(&self) -> Option<Day> {
        self.days.last().copied()
    }

    /// How many of its days come after this one.
    #[must_use]
    pub fn after(&self, day: Day) -> usize {
        self.days.len() - self.days.partition_point(|known| *known <= day)
    }
}

/// A person.
#[derive(Debug, Clone)]
pub struct FlowPerson {
    /// Index into the problem's workers.
    pub worker: usize,
    /// What the person's draws hang on: the same in a crew of another size.
    pub key: u64,
    /// What the person can do.
    pub trades: Trades,
    /// The same in the order in which they are looked at: places in [`Trades::ALL`].
    pub looks_at: Vec<usize>,
    /// Pace against the standard.
    pub speed: f64,
    /// `None`: on every day that the site works.
    pub days: Option<Attendance>,
}

/// A piece of work.
#[derive(Debug, Clone, Copy, Default)]
pub struct FlowTask {
    /// Minutes at the standard's pace; 0 is none.
    pub minutes: f64,
    /// Place in [`Flow::people`] of who has begun it.
    pub only: Option<usize>,
}

/// What is to be done on a car.
#[derive(Debug, Clone, Default)]
pub struct CarPattern {
    /// Taking off.
    pub strip: FlowTask,
    /// The panels, in the order in which they are worked.
    pub panels: Vec<FlowTask>,
    /// Putting back.
    pub fit: FlowTask,
    /// The last stage.
    pub finish: FlowTask,
}

/// What is known of a car's work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KnownWork {
    /// It was counted: a place in [`Flow::patterns`].
    Counted(usize),
    /// It was not: its work is that of any car of a place in [`Flow::pools`].
    AnyOf(usize),
}

/// A car.
#[derive(Debug, Clone, Copy)]
pub struct FlowCar {
    /// Whose it is, for whoever made the flow.
    pub car: usize,
    /// What its draws hang on.
    pub key: u64,
    /// No task begins before.
    pub arrives: f64,
    /// Putting back begins no earlier.
    pub parts: f64,
    /// Whether the parts are still to come, so that they may be late.
    pub awaits_parts: bool,
    /// Whether it stands in a bay when time begins.
    pub in_bay: bool,
    /// Finished no later, where that was promised.
    pub due: Option<f64>,
    /// What a day late weighs.
    pub weight: i64,
    /// Its work.
    pub work: KnownWork,
}

/// A lot, its people and the rules of the site.
#[derive(Debug, Clone)]
pub struct Flow {
    /// Working minutes of a day; infinite: time is not parted into days.
    pub day: f64,
    /// People in dents on one car at once.
    pub hands: u32,
    /// Cars in strip, dents and fit at once.
    pub bays: Option<usize>,
    /// Whether a car that waits for its parts gives its bay back meanwhile.
    pub release: bool,
    /// The people: fewest trades first, then the fastest, then crew order.
    pub people: Vec<FlowPerson>,
    /// The cars: who comes first goes first.
    pub cars: Vec<FlowCar>,
    /// The work of counted cars.
    pub patterns: Vec<CarPattern>,
    /// Patterns of which an uncounted car may have any, each as likely.
    pub pools: Vec<Vec<usize>>,
}

/// In which order people are dealt work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DealOrder {
    /// The cars, the first one first; who has no work left may be missing.
    pub cars: Vec<usize>,
    /// By car: its panels in the order in which they are worked.
    pub panels: Vec<Vec<usize>>,
    /// By worker: the order in which trades are looked at.
    pub prefers: Vec<[usize; 3]>,
}

impl DealOrder {
    /// The cars with the most work first, and of each the longest panels.
    #[must_use]
    pub fn longest_first(problem: &PlanProblem) -> DealOrder {
        let total = |car: usize| {
            let car = &problem.cars[car];
            let panels: Decimal = car.panels.iter().map(|panel| panel.minutes).sum();
            panels + car.strip.minutes + car.fit.minutes + car.finish.minutes
        };
        let mut cars: Vec<usize> = (0..problem.cars.len()).collect();
        cars.sort_by_key(|car| Reverse(total(*car)));
        let longest = |panels: &[Work]| {
            let mut order: Vec<usize> = (0..panels.len()).collect();
            order.sort_by_key(|at| Reverse(panels[*at].minutes));
            order
        };
        DealOrder {
            cars,
            panels: problem
                .cars
                .iter()
                .map(|car| longest(&car.panels))
                .collect(),
            prefers: vec![[0, 1, 2]; problem.workers.len()],
        }
    }
}

impl Flow {
    /// The minutes for which cars are promised, each once, in order.
    #[must_use]
    pub fn dates(&self) -> Vec<f64> {
        let mut dates: Vec<f64> = self.cars.iter().filter_map(|car| car.due).collect();
        dates.sort_by(f64::total_cmp);
        dates.dedup();
        dates
    }

    /// The flow of a problem, its cars dealt in an order. Cars without work
    /// left are not in it.
    #[must_use]
    pub fn of(problem: &PlanProblem, order: &DealOrder) -> Flow {
        let mut workers: Vec<usize> = (0..problem.workers.len()).collect();
        workers.sort_by_key(|at| {
            let worker = &problem.workers[*at];
            (worker.trades.count(), Reverse(worker.speed), *at)
        });
        let mut place = vec![0; workers.len()];
        for (at, worker) in workers.iter().enumerate() {
            place[*worker] = at;
        }
        let people = workers.iter().map(|at| {
            let worker = &problem.workers[*at];
            let days = worker.days.as_ref().filter(|_| problem.day.is_some());
            FlowPerson {
                worker: *at,
                key: *at as u64,
                trades: worker.trades,
                looks_at: order.prefers[*at]
                    .into_iter()
                    .filter(|trade| worker.trades.meets(Trades::ALL[*trade]))
                    .collect(),
                speed: number(worker.speed),
                days: days.map(|days| Attendance::of(days)),
            }
        });
        let task = |work: &Work| FlowTask {
            minutes: number(work.minutes),
            only: work.only.map(|worker| place[worker]),
        };
        let mut flow = Flow {
            day: problem.day.map_or(f64::INFINITY, |day| day as f64),
            hands: u32::try_from(problem.hands).unwrap_or(u32::MAX),
            bays: problem.bays,
            release: problem.release,
            people: people.collect(),
            cars: Vec::new(),
            patterns: Vec::new(),
            pools: Vec::new(),
        };
        for index in &order.cars {
            let car = &problem.cars[*index];
            let panels = order.panels[*index].iter().map(|at| &car.panels[*at]);
            let panels = panels.filter(|panel| !panel.minutes.is_zero());
            let pattern = CarPattern {
                strip: task(&car.strip),
                panels: panels.map(task).collect(),
                fit: task(&car.fit),
                finish: task(&car.finish),
            };
            if pattern.is_nothing() {
                continue;
            }
            flow.cars.push(FlowCar {
                car: *index,
                key: *index as u64,
                arrives: car.arrives as f64,
                parts: car.fit_not_before as f64,
                awaits_parts: car.fit_not_before > 0,
                in_bay: car.in_bay,
                due: car.due.map(|due| due as f64),
                weight: car.weight,
                work: KnownWork::Counted(flow.patterns.len()),
            });
            flow.patterns.push(pattern);
        }
        flow
    }
}

impl CarPattern {
    /// Whether there is no work in it.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.tasks().all(|task| task.minutes == 0.0)
    }

    /// All of it.
    pub fn tasks_mut(&mut self) -> impl Iterator<Item = &mut FlowTask> {
        let others = [&mut self.strip, &mut self.fit, &mut self.finish];
        self.panels.iter_mut().chain(others)
    }

    /// All of it.
    pub fn tasks(&self) -> impl Iterator<Item = &FlowTask> {
        self.panels
            .iter()
            .chain([&self.strip, &self.fit, &self.finish])
    }
}

/// An exact figure as the nearest float: the one crossing from plan to odds.
pub fn number(exact: Decimal) -> f64 {
    exact.to_f64().unwrap_or(0.0)
}

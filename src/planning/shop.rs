//! A problem with all that a schedule asks for again and again worked out.

use super::calendar::Calendar;
use super::problem::{Minute, PlanProblem, Stage, Trades, Work, duration};

/// A worker who may do a task, and how long it takes.
#[derive(Debug, Clone, Copy)]
pub struct Able {
    /// The worker.
    pub worker: usize,
    /// Whole minutes.
    pub takes: Minute,
}

/// One task.
#[derive(Debug, Clone)]
pub struct Task {
    /// The car.
    pub car: usize,
    /// The stage.
    pub stage: Stage,
    /// The panel, for dents.
    pub panel: Option<usize>,
    /// Who may do it: fewest trades first, then crew order.
    pub able: Vec<Able>,
}

/// The tasks of one car: places in [`Shop::tasks`], stage by stage.
#[derive(Debug, Clone, Default)]
pub struct CarTasks {
    /// Taking off.
    pub strip: Option<usize>,
    /// The panels with work.
    pub panels: Vec<usize>,
    /// Putting back.
    pub fit: Option<usize>,
    /// The last stage.
    pub finish: Option<usize>,
}

impl CarTasks {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.panels.len() + [self.strip, self.fit, self.finish].iter().flatten().count()
    }

    /// All of them, stage by stage.
    pub fn all(&self) -> impl Iterator<Item = usize> {
        let before = self.strip.into_iter().chain(self.panels.iter().copied());
        before.chain(self.fit).chain(self.finish)
    }
}

/// A problem, ready to be scheduled.
#[derive(Debug)]
pub struct Shop<'a> {
    /// The problem.
    pub problem: &'a PlanProblem,
    /// All tasks, car by car, stage by stage.
    pub tasks: Vec<Task>,
    /// By car.
    pub cars: Vec<CarTasks>,
    /// By worker.
    pub calendars: Vec<Calendar>,
    /// The shortest task of every worker: gaps below it hold nothing.
    pub shortest: Vec<Minute>,
    /// By worker and trade: whether there is a task for them in it.
    pub has_work: Vec<[bool; 3]>,
    /// By task: what the later stages of its car take at least.
    pub tails: Vec<Minute>,
}

impl<'a> Shop<'a> {
    /// Works a problem out.
    #[must_use]
    pub fn of(problem: &'a PlanProblem) -> Shop<'a> {
        let mut order: Vec<usize> = (0..problem.workers.len()).collect();
        order.sort_by_key(|worker| (problem.workers[*worker].trades.count(), *worker));
        let mut shop = Shop {
            problem,
            tasks: Vec::new(),
            cars: Vec::with_capacity(problem.cars.len()),
            calendars: problem
                .workers
                .iter()
                .map(|worker| Calendar::of(worker, problem.day))
                .collect(),
            shortest: vec![Minute::MAX; problem.workers.len()],
            has_work: vec![[false; 3]; problem.workers.len()],
            tails: Vec::new(),
        };
        for (index, car) in problem.cars.iter().enumerate() {
            let strip = shop.task(&order, index, Stage::Strip, None, car.strip);
            let panels = (0..car.panels.len())
                .filter_map(|at| shop.task(&order, index, Stage::Dents, Some(at), car.panels[at]))
                .collect();
            let fit = shop.task(&order, index, Stage::Fit, None, car.fit);
            let finish = shop.task(&order, index, Stage::Finish, None, car.finish);
            shop.cars.push(CarTasks {
                strip,
                panels,
                fit,
                finish,
            });
        }
        shop.tails = shop.tasks.iter().map(|task| shop.tail(task)).collect();
        shop
    }

    fn task(
        &mut self,
        order: &[usize],
        car: usize,
        stage: Stage,
        panel: Option<usize>,
        work: Work,
    ) -> Option<usize> {
        if work.minutes.is_zero() {
            return None;
        }
        let workers = &self.problem.workers;
        let able: Vec<Able> = order
            .iter()
            .filter(|worker| {
                work.only
                    .map_or(workers[**worker].trades.meets(stage.trade()), |only| {
                        only == **worker
                    })
            })
            .map(|worker| Able {
                worker: *worker,
                takes: duration(work.minutes, workers[*worker].speed),
            })
            .filter(|able| able.takes <= self.calendars[able.worker].capacity())
            .collect();
        let trade = Trades::ALL.iter().position(|one| *one == stage.trade());
        for able in &able {
            if let Some(trade) = trade {
                self.has_work[able.worker][trade] = true;
            }
            let shortest = &mut self.shortest[able.worker];
            *shortest = able.takes.min(*shortest);
        }
        self.tasks.push(Task {
            car,
            stage,
            panel,
            able,
        });
        Some(self.tasks.len() - 1)
    }

    /// What comes after a task in its car takes at least this: the longest
    /// panel, fit and finish, as far as they are later stages.
    fn tail(&self, task: &Task) -> Minute {
        let tasks = &self.cars[task.car];
        let after = |stage: Stage, minutes: Minute| if stage > task.stage { minutes } else { 0 };
        let panels = tasks.panels.iter();
        let longest = panels.map(|panel| self.least(Some(*panel))).max();
        after(Stage::Dents, longest.unwrap_or(0))
            + after(Stage::Fit, self.least(tasks.fit))
            + after(Stage::Finish, self.least(tasks.finish))
    }

    /// The least minutes of a task, by whoever is fastest at it.
    #[must_use]
    pub fn least(&self, task: Option<usize>) -> Minute {
        task.map_or(0, |task| {
            let able = self.tasks[task].able.iter();
            able.map(|able| able.takes).min().unwrap_or(0)
        })
    }
}

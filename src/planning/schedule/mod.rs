//! Serial scheduling: tasks in a given order, each at the earliest place that
//! the rules leave, inserted into gaps.

mod gaps;
mod kept;
mod score;
mod sequence;

pub use score::{Score, Tie};
pub use sequence::Sequence;

use super::calendar::NEVER;
use super::dispatch::dispatch;
use super::problem::{Minute, PlannedTask, Stage};
use super::shop::Shop;
use gaps::{Cut, Gaps, Place, Span, full_until};
use kept::Kept;
use sequence::Step;
use std::ops::Range;

/// A task as it was placed.
#[derive(Debug, Clone, Copy)]
struct Placed {
    worker: usize,
    start: Minute,
    end: Minute,
}

const NOWHERE: Placed = Placed {
    worker: usize::MAX,
    start: NEVER,
    end: NEVER,
};

/// The board on which tasks are placed; kept between schedules for its memory.
pub struct Board<'s, 'a> {
    shop: &'s Shop<'a>,
    gaps: Gaps,
    placed: Vec<Placed>,
    /// What tells plans apart that end at the same minute.
    tie: Tie,
    /// The sequence that is scheduled, task by task.
    steps: Vec<Step>,
    /// The schedule that changes are measured from.
    kept: Kept,
    /// Bays held: from, to, by car that has one.
    held: Vec<Span>,
    /// What was taken from gaps for the car at hand.
    cuts: Vec<Cut>,
    // Memory that is used again and again.
    next: Vec<usize>,
    crowd: Vec<Span>,
    busy: Vec<bool>,
    last: Vec<Minute>,
}

impl<'s, 'a> Board<'s, 'a> {
    /// An empty board.
    #[must_use]
    pub fn new(shop: &'s Shop<'a>) -> Board<'s, 'a> {
        Board {
            shop,
            gaps: Gaps::default(),
            placed: vec![NOWHERE; shop.tasks.len()],
            tie: Tie::Cars,
            steps: Vec::new(),
            kept: Kept::default(),
            held: Vec::new(),
            cuts: Vec::new(),
            next: Vec::new(),
            crowd: Vec::new(),
            busy: Vec::new(),
            last: Vec::new(),
        }
    }

    /// Chooses what tells plans apart that end at the same minute.
    pub fn break_ties_by(&mut self, tie: Tie) {
        self.tie = tie;
    }

    /// Schedules a sequence and says how good it is. Changes are measured from
    /// it from now on.
    pub fn schedule(&mut self, sequence: &Sequence) -> Score {
        self.kept.forget();
        let score = self.reschedule(sequence, &Score::WORST);
        self.keep();
        score.unwrap_or(Score::WORST)
    }

    /// Schedules a sequence from its first difference to the one that is kept,
    /// and says how good it is; `None`: worse than the limit. It may be left
    /// half done then.
    pub fn reschedule(&mut self, sequence: &Sequence, limit: &Score) -> Option<Score> {
        if sequence.through_time {
            self.kept.forget();
            self.steps.clear();
            self.placed.fill(NOWHERE);
            dispatch(self, sequence);
            return self.score(limit);
        }
        sequence.steps_into(self.shop, &mut self.next, &mut self.steps);
        let from = match self.kept.restore(&self.steps, &mut self.placed) {
            Some(mark) => {
                self.gaps.copy_from(&mark.gaps);
                self.held.clone_from(&mark.held);
                mark.at
            }
            None => {
                self.gaps.reset(&self.shop.calendars);
                self.held.clear();
                self.placed.fill(NOWHERE);
                0
            }
        };
        self.cuts.clear();
        let latest = self.latest_end(limit);
        let mut at = from;
        while at < self.steps.len() {
            self.kept.mark(at, self.steps.len(), &self.gaps, &self.held);
            let until = match self.shop.problem.bays {
                None => {
                    self.place(self.steps[at], 0);
                    at + 1
                }
                Some(bays) => self.place_car(at, bays),
            };
            // No task of a car ends later than what must follow allows.
            for step in &self.steps[at..until] {
                let placed = self.placed[step.task];
                if placed.end < NEVER && placed.end + self.shop.tails[step.task] > latest {
                    return None;
                }
            }
            at = until;
        }
        self.score(limit)
    }

    /// Keeps the schedule that was made last: changes are measured from it.
    pub fn keep(&mut self) {
        self.kept.keep(&self.steps, &self.placed);
    }

    /// The problem that is scheduled.
    #[must_use]
    pub fn shop(&self) -> &'s Shop<'a> {
        self.shop
    }

    /// Who has a task that is placed.
    #[must_use]
    pub fn worker_of(&self, task: usize) -> usize {
        self.placed[task].worker
    }

    /// Who has a task in the schedule that is kept.
    #[must_use]
    pub fn kept_worker(&self, task: usize) -> usize {
        self.kept.placed[task].worker
    }

    /// The task at a place of the schedule that is kept.
    #[must_use]
    pub fn kept_task(&self, at: usize) -> usize {
        self.kept.steps[at].task
    }

    /// Places a task without a look at gaps.
    pub fn put(&mut self, task: usize, worker: usize, start: Minute, end: Minute) {
        self.placed[task] = Placed { worker, start, end };
    }

    /// The same plan as a sequence to schedule task by task: its tasks by their
    /// beginning, each with who did it, and last what found no place.
    #[must_use]
    pub fn as_sequence(&self, from: &Sequence) -> Sequence {
        let mut order: Vec<usize> = (0..self.placed.len()).collect();
        order.sort_by_key(|task| (self.placed[*task].start, *task));
        let mut sequence = Sequence {
            cars: order
                .iter()
                .map(|task| self.shop.tasks[*task].car)
                .collect(),
            through_time: false,
            ..from.clone()
        };
        for (car, tasks) in self.shop.cars.iter().enumerate() {
            sequence.panels[car].sort_by_key(|at| self.placed[tasks.panels[*at]].start);
        }
        for &task in &order {
            let able = self.shop.tasks[task].able.iter();
            sequence.who[task] = able
                .into_iter()
                .position(|able| able.worker == self.placed[task].worker);
        }
        sequence
    }

    /// Where a task may begin: after the stages before it.
    fn ready(&self, task: usize) -> Minute {
        let Some(task) = self.shop.tasks.get(task) else {
            return 0;
        };
        let (car, tasks) = (&self.shop.problem.cars[task.car], &self.shop.cars[task.car]);
        let end = |task: Option<usize>| task.map_or(0, |task| self.placed[task].end);
        let mut ready = car.arrives;
        if task.stage > Stage::Strip {
            ready = ready.max(end(tasks.strip));
        }
        if task.stage > Stage::Dents {
            for panel in &tasks.panels {
                ready = ready.max(self.placed[*panel].end);
            }
        }
        if task.stage > Stage::Fit {
            ready = ready.max(end(tasks.fit));
        }
        if task.stage == Stage::Fit {
            ready = ready.max(car.fit_not_before);
        }
        ready
    }

    /// Places a task at its earliest end, or with its chosen worker.
    fn place(&mut self, step: Step, not_before: Minute) {
        let ready = self.ready(step.task).max(not_before);
        if ready >= NEVER {
            return;
        }
        let task = &self.shop.tasks[step.task];
        let candidates = match step.who.and_then(|at| task.able.get(at)) {
            Some(chosen) => std::slice::from_ref(chosen),
            None => task.able.as_slice(),
        };
        let is_panel = task.stage == Stage::Dents;
        if is_panel {
            self.gather_crowd(task.car, ready);
        }
        let crowd = is_panel.then_some((self.crowd.as_slice(), self.shop.problem.hands));
        let mut best: Option<Place> = None;
        for able in candidates {
            let beat = best.map_or(NEVER, |best| best.end);
            // Nobody ends earlier than a whole duration after the beginning.
            if ready + able.takes >= beat {
                continue;
            }
            let calendar = &self.shop.calendars[able.worker];
            best = self
                .gaps
                .earliest(calendar, *able, ready, beat, crowd)
                .or(best);
        }
        if let Some(best) = best {
            self.put(step.task, best.worker, best.start, best.end);
            let cut = self.gaps.take(best, self.shop.shortest[best.worker]);
            self.cuts.push(cut);
        }
    }

    /// The spans of the car's panels that are placed already and not over.
    fn gather_crowd(&mut self, car: usize, ready: Minute) {
        self.crowd.clear();
        for panel in &self.shop.cars[car].panels {
            let placed = self.placed[*panel];
            if placed.worker != usize::MAX && placed.end > ready {
                self.crowd.push((placed.start, placed.end));
            }
        }
    }

    /// Places all tasks of a car so that it has a bay from its first to the end
    /// of its last among strip, dents and fit; where bays are given back, not
    /// while it waits for parts. Returns the step after them.
    fn place_car(&mut self, at: usize, bays: usize) -> usize {
        let car = self.shop.tasks[self.steps[at].task].car;
        let tasks = &self.shop.cars[car];
        let until = at + tasks.count();
        let fit_over = until - usize::from(tasks.finish.is_some());
        let fit = fit_over - usize::from(tasks.fit.is_some());
        let car = &self.shop.problem.cars[car];
        let (parts, stands_in) = (car.fit_not_before, car.in_bay);
        let may_leave = self.shop.problem.release && fit < fit_over && fit > at;
        let leaves = may_leave && {
            let over = self.place_in_bay(at..fit, bays, stands_in);
            if over >= parts {
                self.take_back(at..fit);
                self.held.pop();
            }
            over < parts
        };
        if leaves {
            self.place_in_bay(fit..fit_over, bays, false);
        } else {
            self.place_in_bay(at..fit_over, bays, stands_in);
        }
        for step in fit_over..until {
            self.place(self.steps[step], 0);
        }
        until
    }

    /// Places steps of one car that hold a bay from the first to the end of the
    /// last, or from the beginning where the car stands in it, and holds it.
    /// Returns that end.
    fn place_in_bay(&mut self, steps: Range<usize>, bays: usize, stands_in: bool) -> Minute {
        let mut not_before = 0;
        while !steps.is_empty() {
            self.cuts.clear();
            let (mut from, mut to) = (NEVER, 0);
            for step in steps.clone() {
                self.place(self.steps[step], not_before);
                let placed = self.placed[self.steps[step].task];
                from = from.min(placed.start);
                to = to.max(placed.end);
            }
            if stands_in {
                self.held.push((0, to));
                return to;
            }
            match self.bay_free(from, to, bays) {
                Some(free) if to < NEVER => {
                    // Every bay is taken somewhere in it: not before one is free.
                    self.take_back(steps.clone());
                    not_before = free.max(from + 1);
                }
                _ => {
                    self.held.push((from, to));
                    return to;
                }
            }
        }
        0
    }

    /// Takes back what was placed last.
    fn take_back(&mut self, steps: Range<usize>) {
        while let Some(cut) = self.cuts.pop() {
            self.gaps.put_back(cut);
        }
        for step in &self.steps[steps] {
            self.placed[step.task] = NOWHERE;
        }
    }

    /// Where all bays are held within a span, the minute at which one is given back.
    fn bay_free(&mut self, from: Minute, to: Minute, bays: usize) -> Option<Minute> {
        self.crowd.clear();
        let meets = |span: &&Span| span.0 < to && from < span.1;
        self.crowd.extend(self.held.iter().filter(meets));
        full_until(&self.crowd, from, to, bays)
    }

    /// The tasks as they lie, car by car, stage by stage.
    #[must_use]
    pub fn tasks(&self) -> Vec<PlannedTask> {
        let all = self.shop.tasks.iter().zip(&self.placed);
        all.filter(|(_, placed)| placed.worker != usize::MAX)
            .map(|(task, placed)| PlannedTask {
                car: task.car,
                stage: task.stage,
                panel: task.panel,
                worker: placed.worker,
                start: placed.start,
                end: placed.end,
            })
            .collect()
    }
}

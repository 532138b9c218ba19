//! Serial scheduling: tasks in a given order, each at the earliest place that
//! the rules leave, inserted into gaps.

mod score;

pub use score::Score;

use super::calendar::NEVER;
use super::dispatch::dispatch;
use super::problem::{Minute, PlannedTask, Stage};
use super::shop::{Able, Shop};

/// What a schedule is made from: an order of cars, one mention for every task,
/// the panels of each car in their order, and who is to do a task where that is
/// not left to the earliest end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sequence {
    /// Cars; the n-th mention of a car is its n-th task.
    pub cars: Vec<usize>,
    /// By car: its panels, as places in [`super::shop::CarTasks::panels`].
    pub panels: Vec<Vec<usize>>,
    /// By task: the chosen one among those able.
    pub who: Vec<Option<usize>>,
    /// By worker: the order in which trades are looked at, a place in
    /// [`super::dispatch::PREFERENCES`].
    pub prefers: Vec<usize>,
    /// Whether it is scheduled through time, and not task by task.
    pub through_time: bool,
}

/// A place for a task.
#[derive(Clone, Copy)]
struct Place {
    worker: usize,
    gap: usize,
    own_start: Minute,
    own_end: Minute,
    start: Minute,
    end: Minute,
}

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
    gaps: Vec<Vec<(Minute, Minute)>>,
    placed: Vec<Placed>,
    next: Vec<usize>,
    /// Bays held: from, to, by car that has one.
    held: Vec<(Minute, Minute)>,
    crowd: Vec<(Minute, Minute)>,
}

impl<'s, 'a> Board<'s, 'a> {
    /// An empty board.
    #[must_use]
    pub fn new(shop: &'s Shop<'a>) -> Board<'s, 'a> {
        Board {
            shop,
            gaps: vec![Vec::new(); shop.calendars.len()],
            placed: vec![NOWHERE; shop.tasks.len()],
            next: vec![0; shop.cars.len()],
            held: Vec::new(),
            crowd: Vec::new(),
        }
    }

    /// Schedules a sequence and says how good it is.
    pub fn schedule(&mut self, sequence: &Sequence) -> Score {
        for (gaps, calendar) in self.gaps.iter_mut().zip(&self.shop.calendars) {
            gaps.clear();
            if calendar.capacity() > 0 {
                gaps.push((0, calendar.capacity()));
            }
        }
        self.placed.fill(NOWHERE);
        self.next.fill(0);
        self.held.clear();
        if sequence.through_time {
            dispatch(self, sequence);
            return self.score();
        }
        match self.shop.problem.bays {
            None => {
                for &car in &sequence.cars {
                    let nth = self.next[car];
                    self.next[car] += 1;
                    let task = self.nth_task(sequence, car, nth);
                    self.place(sequence, task, 0);
                }
            }
            Some(bays) => {
                // A bay is held to the end of fit, so a car is placed whole at
                // its first mention.
                for &car in &sequence.cars {
                    if self.next[car] == 0 {
                        self.next[car] = 1;
                        self.place_car(sequence, car, bays);
                    }
                }
            }
        }
        self.score()
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

    /// Who has each task.
    pub fn workers_into(&self, workers: &mut [usize]) {
        for (worker, placed) in workers.iter_mut().zip(&self.placed) {
            *worker = placed.worker;
        }
    }

    /// Places a task without a look at gaps.
    pub fn put(&mut self, task: usize, worker: usize, start: Minute, end: Minute) {
        self.placed[task] = Placed { worker, start, end };
    }

    /// The same plan as a sequence to schedule task by task: its tasks by their
    /// beginning, each with who did it.
    #[must_use]
    pub fn as_sequence(&self, from: &Sequence) -> Sequence {
        let mut order: Vec<usize> = (0..self.placed.len())
            .filter(|task| self.placed[*task].worker != usize::MAX)
            .collect();
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

    fn nth_task(&self, sequence: &Sequence, car: usize, nth: usize) -> usize {
        let tasks = &self.shop.cars[car];
        let mut nth = nth;
        if let Some(strip) = tasks.strip {
            if nth == 0 {
                return strip;
            }
            nth -= 1;
        }
        if nth < tasks.panels.len() {
            return tasks.panels[sequence.panels[car][nth]];
        }
        nth -= tasks.panels.len();
        if let Some(fit) = tasks.fit
            && nth == 0
        {
            return fit;
        }
        // The mentions of a car are as many as its tasks.
        tasks.finish.or(tasks.fit).unwrap_or(0)
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
    fn place(&mut self, sequence: &Sequence, task: usize, not_before: Minute) {
        let ready = self.ready(task).max(not_before);
        if ready >= NEVER {
            return;
        }
        let able = &self.shop.tasks[task].able;
        let mut best: Option<Place> = None;
        let chosen = sequence.who[task].and_then(|at| able.get(at));
        let candidates = match chosen {
            Some(chosen) => std::slice::from_ref(chosen),
            None => able.as_slice(),
        };
        for able in candidates {
            // Nobody ends earlier than a whole duration after the beginning.
            if best.is_some_and(|best| ready + able.takes >= best.end) {
                continue;
            }
            let place = self.earliest(task, *able, ready, best.map(|best| best.end));
            if let Some(place) = place
                && best.is_none_or(|best| place.end < best.end)
            {
                best = Some(place);
            }
        }
        if let Some(best) = best {
            self.take(task, best);
        }
    }

    /// The earliest place of a task with one worker that ends before `beat`.
    fn earliest(
        &mut self,
        task: usize,
        able: Able,
        ready: Minute,
        beat: Option<Minute>,
    ) -> Option<Place> {
        let calendar = &self.shop.calendars[able.worker];
        let is_panel = self.shop.tasks[task].stage == Stage::Dents;
        if is_panel {
            self.gather_crowd(task);
        }
        let own_ready = calendar.own(ready);
        let gaps = &self.gaps[able.worker];
        let first = gaps.partition_point(|(_, end)| *end < own_ready + able.takes);
        for (gap, (from, to)) in gaps.iter().enumerate().skip(first) {
            let mut own_start = own_ready.max(*from);
            while own_start + able.takes <= *to {
                let start = calendar.site(own_start);
                let end = calendar.site_end(own_start + able.takes);
                if beat.is_some_and(|beat| end >= beat) || end >= NEVER {
                    return None;
                }
                match is_panel.then(|| self.crowded(start, end)).flatten() {
                    Some(free) => own_start = calendar.own(free).max(own_start + 1),
                    None => {
                        return Some(Place {
                            worker: able.worker,
                            gap,
                            own_start,
                            own_end: own_start + able.takes,
                            start,
                            end,
                        });
                    }
                }
            }
        }
        None
    }

    /// The spans of the car's panels that are placed already.
    fn gather_crowd(&mut self, task: usize) {
        self.crowd.clear();
        for panel in &self.shop.cars[self.shop.tasks[task].car].panels {
            let placed = self.placed[*panel];
            if placed.worker != usize::MAX {
                self.crowd.push((placed.start, placed.end));
            }
        }
    }

    /// Where too many hands would be on the car within a span, the minute at
    /// which one of them leaves.
    fn crowded(&self, start: Minute, end: Minute) -> Option<Minute> {
        let hands = self.shop.problem.hands;
        if self.crowd.len() < hands {
            return None;
        }
        let covers = |minute: Minute| {
            self.crowd
                .iter()
                .filter(move |(from, to)| *from <= minute && minute < *to)
        };
        let moments = self
            .crowd
            .iter()
            .map(|(from, _)| *from)
            .filter(|from| start < *from && *from < end);
        std::iter::once(start)
            .chain(moments)
            .filter(|minute| covers(*minute).count() >= hands)
            .filter_map(|minute| covers(minute).map(|(_, to)| *to).min())
            .max()
    }

    /// Takes a place: the gap shrinks or parts in two.
    fn take(&mut self, task: usize, place: Place) {
        self.placed[task] = Placed {
            worker: place.worker,
            start: place.start,
            end: place.end,
        };
        let least = self.shop.shortest[place.worker];
        let gaps = &mut self.gaps[place.worker];
        let (from, to) = gaps[place.gap];
        let (before, after) = ((from, place.own_start), (place.own_end, to));
        let keeps = |gap: (Minute, Minute)| gap.1 - gap.0 >= least;
        match (keeps(before), keeps(after)) {
            (true, true) => {
                gaps[place.gap] = before;
                gaps.insert(place.gap + 1, after);
            }
            (true, false) => gaps[place.gap] = before,
            (false, true) => gaps[place.gap] = after,
            (false, false) => {
                gaps.remove(place.gap);
            }
        }
    }

    /// Places all tasks of a car so that it has a bay from its first to the end
    /// of its last among strip, dents and fit.
    fn place_car(&mut self, sequence: &Sequence, car: usize, bays: usize) {
        let tasks = &self.shop.cars[car];
        let in_bay: Vec<usize> = tasks
            .strip
            .into_iter()
            .chain(sequence.panels[car].iter().map(|at| tasks.panels[*at]))
            .chain(tasks.fit)
            .collect();
        let mut not_before = 0;
        while !in_bay.is_empty() {
            let saved: Vec<Vec<(Minute, Minute)>> = self.gaps.clone();
            for &task in &in_bay {
                self.place(sequence, task, not_before);
            }
            let from = in_bay.iter().map(|task| self.placed[*task].start).min();
            let to = in_bay.iter().map(|task| self.placed[*task].end).max();
            let (Some(from), Some(to)) = (from, to) else {
                break;
            };
            match self.bay_free(from, to, bays) {
                Some(free) if to < NEVER => {
                    // Every bay is taken somewhere in it: not before one is free.
                    self.gaps = saved;
                    for &task in &in_bay {
                        self.placed[task] = NOWHERE;
                    }
                    not_before = free.max(from + 1);
                }
                _ => {
                    self.held.push((from, to));
                    break;
                }
            }
        }
        if let Some(finish) = tasks.finish {
            self.place(sequence, finish, 0);
        }
    }

    /// Where all bays are held within a span, the minute at which one is given back.
    fn bay_free(&self, from: Minute, to: Minute, bays: usize) -> Option<Minute> {
        let covers = |minute: Minute| {
            self.held
                .iter()
                .filter(move |(start, end)| *start <= minute && minute < *end)
        };
        let moments = self
            .held
            .iter()
            .map(|(start, _)| *start)
            .filter(|start| from < *start && *start < to);
        std::iter::once(from)
            .chain(moments)
            .filter(|minute| covers(*minute).count() >= bays)
            .filter_map(|minute| covers(minute).map(|(_, end)| *end).min())
            .max()
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

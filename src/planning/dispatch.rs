//! Scheduling through time: whoever is free takes what is there, the cars in
//! their order. It lets nobody wait who could work, and no car into a bay before
//! its turn, which keeps bays from being held by cars that wait.

use super::calendar::NEVER;
use super::problem::{Minute, Stage, Trades};
use super::schedule::{Board, Sequence};
use super::shop::Shop;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// The orders in which a worker of several trades looks at them.
pub const PREFERENCES: [[usize; 3]; 6] = [
    [0, 1, 2],
    [0, 2, 1],
    [1, 0, 2],
    [1, 2, 0],
    [2, 0, 1],
    [2, 1, 0],
];

/// What happens at a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Event {
    /// A task is over.
    Over(usize),
    /// A worker is here again.
    Here(usize),
    /// A car has arrived.
    Arrived(usize),
    /// The parts of a car are due.
    Parts(usize),
}

/// How far a car is.
#[derive(Debug, Clone, Default)]
struct Progress {
    /// Panels that nobody has begun, the next one last.
    panels: Vec<usize>,
    /// Hands on it.
    hands: usize,
    /// Panels not yet over.
    open: usize,
    /// Whether it has, or needs, no bay.
    in_bay: bool,
    needs_bay: bool,
    /// Whether only its fit is left to be begun.
    dents_over: bool,
}

/// A schedule in the making.
struct Dispatch<'b, 's, 'a> {
    board: &'b mut Board<'s, 'a>,
    shop: &'s Shop<'a>,
    rank: Vec<usize>,
    preference: &'b [usize],
    events: BinaryHeap<Reverse<(Minute, Event)>>,
    progress: Vec<Progress>,
    /// Tasks to take, by rank of their car: dents by car, strip and finish by task.
    queues: [BTreeSet<(usize, usize)>; 3],
    /// Cars that have arrived and have no bay yet.
    outside: BTreeSet<(usize, usize)>,
    /// Below 0 where more cars stand in than there are bays.
    bays: i64,
    idle: Vec<usize>,
}

/// Places all tasks on an empty board.
pub fn dispatch(board: &mut Board<'_, '_>, sequence: &Sequence) {
    let shop = board.shop();
    let mut rank = vec![usize::MAX; shop.cars.len()];
    let mut next = 0;
    for &car in &sequence.cars {
        if rank[car] == usize::MAX {
            rank[car] = next;
            next += 1;
        }
    }
    let mut idle: Vec<usize> = (0..shop.problem.workers.len()).collect();
    idle.sort_by_key(|worker| {
        let worker_of = &shop.problem.workers[*worker];
        (worker_of.trades.count(), Reverse(worker_of.speed), *worker)
    });
    let mut run = Dispatch {
        shop,
        rank,
        preference: &sequence.prefers,
        events: BinaryHeap::new(),
        progress: Vec::with_capacity(shop.cars.len()),
        queues: [BTreeSet::new(), BTreeSet::new(), BTreeSet::new()],
        outside: BTreeSet::new(),
        bays: shop
            .problem
            .bays
            .map_or(i64::MAX, |bays| i64::try_from(bays).unwrap_or(i64::MAX)),
        idle,
        board,
    };
    for (car, tasks) in shop.cars.iter().enumerate() {
        let mut panels: Vec<usize> = sequence.panels[car]
            .iter()
            .map(|at| tasks.panels[*at])
            .collect();
        panels.reverse();
        run.progress.push(Progress {
            open: panels.len(),
            needs_bay: tasks.strip.is_some() || tasks.fit.is_some() || !panels.is_empty(),
            panels,
            ..Progress::default()
        });
        if tasks.count() > 0 {
            let arrives = shop.problem.cars[car].arrives;
            run.events.push(Reverse((arrives, Event::Arrived(car))));
        }
    }
    run.go();
}

impl Dispatch<'_, '_, '_> {
    fn go(&mut self) {
        while let Some(Reverse((now, event))) = self.events.pop() {
            self.happens(now, event);
            while let Some(Reverse((same, event))) = self.events.peek().copied() {
                if same > now {
                    break;
                }
                self.events.pop();
                self.happens(now, event);
            }
            self.admit(now);
            self.assign(now);
        }
    }

    fn happens(&mut self, now: Minute, event: Event) {
        match event {
            Event::Arrived(car) => {
                if self.shop.problem.bays.is_some() && self.shop.problem.cars[car].in_bay {
                    self.progress[car].in_bay = true;
                    self.bays -= 1;
                    self.begin(now, car);
                } else if self.progress[car].needs_bay {
                    self.outside.insert((self.rank[car], car));
                } else {
                    self.after_fit(car);
                }
            }
            Event::Parts(car) => {
                if self.shop.problem.bays.is_some() && !self.progress[car].in_bay {
                    self.outside.insert((self.rank[car], car));
                } else {
                    self.queue_fit(car);
                }
            }
            Event::Here(worker) => self.idle_again(worker),
            Event::Over(task) => {
                self.idle_again(self.board.worker_of(task));
                self.over(now, task);
            }
        }
    }

    fn idle_again(&mut self, worker: usize) {
        let workers = &self.shop.problem.workers;
        let key = |worker: usize| {
            (
                workers[worker].trades.count(),
                Reverse(workers[worker].speed),
                worker,
            )
        };
        let at = self.idle.partition_point(|other| key(*other) < key(worker));
        if self.idle.get(at) != Some(&worker) {
            self.idle.insert(at, worker);
        }
    }

    fn over(&mut self, now: Minute, task: usize) {
        let (car, stage) = (self.shop.tasks[task].car, self.shop.tasks[task].stage);
        match stage {
            Stage::Strip => self.after_strip(now, car),
            Stage::Dents => {
                let progress = &mut self.progress[car];
                progress.hands -= 1;
                progress.open -= 1;
                if progress.open == 0 {
                    self.after_dents(now, car);
                } else if !progress.panels.is_empty() {
                    self.queues[0].insert((self.rank[car], car));
                }
            }
            Stage::Fit => self.after_fit(car),
            Stage::Finish => {}
        }
    }

    fn after_strip(&mut self, now: Minute, car: usize) {
        if self.progress[car].panels.is_empty() {
            self.after_dents(now, car);
        } else {
            self.queues[0].insert((self.rank[car], car));
        }
    }

    fn queue_fit(&mut self, car: usize) {
        if let Some(fit) = self.shop.cars[car].fit {
            self.queues[1].insert((self.rank[car], fit));
        }
    }

    fn after_dents(&mut self, now: Minute, car: usize) {
        self.progress[car].dents_over = true;
        match self.shop.cars[car].fit {
            Some(_) => {
                let parts = self.shop.problem.cars[car].fit_not_before;
                if parts > now {
                    if self.shop.problem.release {
                        self.give_back(car);
                    }
                    self.events.push(Reverse((parts, Event::Parts(car))));
                } else {
                    self.happens(now, Event::Parts(car));
                }
            }
            None => self.after_fit(car),
        }
    }

    fn give_back(&mut self, car: usize) {
        if self.progress[car].in_bay {
            self.bays += 1;
            self.progress[car].in_bay = false;
        }
    }

    fn after_fit(&mut self, car: usize) {
        self.give_back(car);
        if let Some(finish) = self.shop.cars[car].finish {
            self.queues[2].insert((self.rank[car], finish));
        }
    }

    /// Lets cars into free bays, in their order.
    fn admit(&mut self, now: Minute) {
        while self.bays > 0
            && let Some((_, car)) = self.outside.pop_first()
        {
            if self.shop.problem.bays.is_some() {
                self.bays -= 1;
                self.progress[car].in_bay = true;
            }
            self.begin(now, car);
        }
    }

    /// What is next on a car that has a bay.
    fn begin(&mut self, now: Minute, car: usize) {
        match self.shop.cars[car].strip {
            _ if self.progress[car].dents_over => self.queue_fit(car),
            Some(strip) => {
                self.queues[1].insert((self.rank[car], strip));
            }
            None => self.after_strip(now, car),
        }
    }

    /// Whoever is idle takes what is there.
    fn assign(&mut self, now: Minute) {
        let mut at = 0;
        while at < self.idle.len() {
            let worker = self.idle[at];
            let calendar = &self.shop.calendars[worker];
            let own = calendar.own(now);
            let here = calendar.site(own);
            if here != now {
                self.idle.remove(at);
                if here < NEVER {
                    self.events.push(Reverse((here, Event::Here(worker))));
                }
                continue;
            }
            match self.pick(worker, own) {
                Some((task, takes)) => {
                    self.idle.remove(at);
                    let end = calendar.site_end(own + takes);
                    self.board.put(task, worker, now, end);
                    self.events.push(Reverse((end, Event::Over(task))));
                }
                None => at += 1,
            }
        }
    }

    /// The task that a worker takes now, and how long it takes.
    fn pick(&mut self, worker: usize, own: Minute) -> Option<(usize, Minute)> {
        let trades = self.shop.problem.workers[worker].trades;
        let left = self.shop.calendars[worker].capacity() - own;
        let takes = |task: usize| {
            let able = self.shop.tasks[task].able.iter();
            able.filter(|able| able.worker == worker && able.takes <= left)
                .map(|able| able.takes)
                .next()
        };
        for &queue in &PREFERENCES[self.preference[worker]] {
            // Else every task that waits would be looked at in vain.
            if !self.shop.has_work[worker][queue] {
                continue;
            }
            let is_able = trades.meets(Trades::ALL[queue]);
            for &(rank, what) in &self.queues[queue] {
                if queue != 0 {
                    let Some(minutes) = takes(what) else {
                        // Begun by somebody else, or too long for who leaves.
                        continue;
                    };
                    self.queues[queue].remove(&(rank, what));
                    return Some((what, minutes));
                }
                let panels = &self.progress[what].panels;
                let found = (0..panels.len())
                    .rev()
                    .find_map(|at| takes(panels[at]).map(|minutes| (at, minutes)));
                if let Some((at, minutes)) = found {
                    let progress = &mut self.progress[what];
                    let task = progress.panels.remove(at);
                    progress.hands += 1;
                    if progress.panels.is_empty() || progress.hands >= self.shop.problem.hands {
                        self.queues[0].remove(&(rank, what));
                    }
                    return Some((task, minutes));
                }
                // Who can do no panel of this car can do none of another,
                // unless some are kept for who began them.
                if !is_able {
                    break;
                }
            }
        }
        None
    }
}

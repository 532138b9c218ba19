//! One replication: people are dealt work through time.
//!
//! Whoever is free takes, of the first trade they look at, the task that waits
//! of the car that comes first; the people in their order. Nobody begins a task
//! that they can't expect to end before they leave. Time is working minutes of
//! the site, not rounded: nights take none.

mod cars;
mod people;

use super::super::problem::{Day, Stage, Trades};
use super::drawn::{DayChance, Drawn};
use super::flow::{Flow, FlowPerson};
use super::next_up::{self, NextUp};
use super::ranks::Ranks;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The most people of a crew: each is a bit.
pub const MOST_PEOPLE: usize = next_up::MOST;

/// Some of the crew.
type Crew = u128;

#[inline]
fn bit(person: usize) -> Crew {
    1 << person
}

/// A task, in few bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Which {
    /// The car's.
    pub rank: u32,
    /// The stage.
    pub stage: Stage,
    /// A place in [`Drawn::panels`], for dents.
    pub panel: u32,
}

impl Which {
    #[inline]
    fn of(rank: usize, stage: Stage) -> Which {
        // More cars than that fit no memory.
        let rank = rank as u32;
        Which {
            rank,
            stage,
            panel: 0,
        }
    }

    #[inline]
    fn car(self) -> usize {
        self.rank as usize
    }
}

/// A stretch of work, for whoever watches.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    /// Place in [`Flow::people`].
    pub person: usize,
    /// What was worked on.
    pub task: Which,
    /// From.
    pub from: f64,
    /// To: over, or gone back to whoever is free.
    pub to: f64,
    /// The part of it that went back.
    pub left: f64,
}

/// What a person is at.
#[derive(Debug, Clone, Copy)]
enum Doing {
    /// Nothing, and here or not known to be away.
    Idle,
    /// Not here, until the time set.
    Away,
    /// Not here, so that what they had begun is for anybody at the time set.
    GivesUp,
    /// A task, until the time set.
    Task(Which),
}

/// What is written down of a task when it is begun.
#[derive(Debug, Clone, Copy, Default)]
struct Begun {
    from: f64,
    /// Minutes that are worked on it.
    work: f64,
    /// The part of it that goes back at its end.
    left: f64,
}

/// How far a car is.
#[derive(Debug, Clone, Copy, Default)]
struct Progress {
    /// The next panel that nobody has taken, as a place in [`Drawn::panels`].
    next: u32,
    /// One past the last one for anybody.
    last: u32,
    /// Panels not yet over.
    open: u32,
    /// People on them.
    hands: u32,
    /// Panels that went back.
    returned: u32,
    in_bay: bool,
    dents_over: bool,
}

/// The memory of replications, used again and again.
#[derive(Debug)]
pub struct Run<'f> {
    flow: &'f Flow,
    /// When each car comes, the first one first.
    arrivals: Vec<(f64, usize)>,
    next: NextUp,
    doing: Vec<Doing>,
    begun: Vec<Begun>,
    /// Who has nothing to do.
    idle: Crew,
    /// Who can do what, by trade.
    able: [Crew; 3],
    /// Whom a task of their own waits for.
    has_own: Crew,
    /// Cars with a task that waits, by trade.
    queues: [Ranks; 3],
    /// Cars here without a bay.
    outside: Ranks,
    /// Below 0 where more cars stand in than there are bays.
    bays: i64,
    progress: Vec<Progress>,
    /// Parts to come: the bits of a time that is not below 0 are in its order.
    parts: BinaryHeap<Reverse<(u64, usize)>>,
    /// Panels that went back.
    returned: Vec<Which>,
    /// By person: whether they have begun anything before.
    has_begun: Vec<bool>,
    /// By person: tasks that they have begun and that wait for them.
    own: Vec<Vec<Which>>,
    /// By person: the day of which it is known that they are here.
    here_on: Vec<Day>,
    now: f64,
    today: Day,
    closes: f64,
    open: usize,
    last: f64,
    /// By rank: when the car is finished; infinite where it isn't, and below 0
    /// where nothing is to be done on it.
    pub ends: Vec<f64>,
    /// By person: minutes with a task.
    pub worked: Vec<f64>,
    /// The end of the last stretch of work.
    pub worked_until: f64,
}

impl<'f> Run<'f> {
    /// Memory for a flow, whose people are at most [`MOST_PEOPLE`].
    #[must_use]
    pub fn of(flow: &'f Flow) -> Run<'f> {
        let (cars, people) = (flow.cars.len(), flow.people.len());
        let mut arrivals: Vec<(f64, usize)> = flow
            .cars
            .iter()
            .enumerate()
            .map(|(rank, car)| (car.arrives, rank))
            .collect();
        arrivals.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let able = Trades::ALL.map(|trade| {
            let can = |(at, of): (usize, &FlowPerson)| of.trades.meets(trade).then(|| bit(at));
            flow.people.iter().enumerate().filter_map(can).sum()
        });
        let mut has_begun = vec![false; people];
        for pattern in &flow.patterns {
            for person in pattern.tasks().filter_map(|task| task.only) {
                has_begun[person] = true;
            }
        }
        Run {
            flow,
            arrivals,
            next: NextUp::of(people),
            doing: vec![Doing::Idle; people],
            begun: vec![Begun::default(); people],
            idle: 0,
            able,
            has_own: 0,
            queues: std::array::from_fn(|_| Ranks::below(cars)),
            outside: Ranks::below(cars),
            bays: 0,
            progress: vec![Progress::default(); cars],
            parts: BinaryHeap::new(),
            returned: Vec::new(),
            has_begun,
            own: vec![Vec::new(); people],
            here_on: vec![-1; people],
            now: 0.0,
            today: 0,
            closes: flow.day,
            open: 0,
            last: 0.0,
            ends: vec![f64::INFINITY; cars],
            worked: vec![0.0; people],
            worked_until: 0.0,
        }
    }

    /// Goes through time until nothing more can happen; the minute at which the
    /// last car is finished, or none if some never are.
    pub fn go(
        &mut self,
        drawn: &mut Drawn,
        days: &mut impl DayChance,
        watch: &mut impl FnMut(Stretch),
    ) -> Option<f64> {
        self.reset(drawn, days);
        let mut coming = 0;
        loop {
            let next_car = self.arrivals.get(coming);
            let next_parts = self.parts.peek();
            let of_cars = next_car.map_or(f64::INFINITY, |next| next.0);
            let of_cars = next_parts.map_or(of_cars, |Reverse((bits, _))| {
                of_cars.min(f64::from_bits(*bits))
            });
            let now = of_cars.min(self.next.first().0);
            if now == f64::INFINITY {
                break;
            }
            self.advance(now);
            // All that happens at one time comes before anybody is dealt work.
            while let (time, person) = self.next.first()
                && time == now
            {
                self.happens(drawn, days, person, watch);
            }
            if of_cars == now {
                coming = self.cars_come(drawn, coming);
            }
            self.admit(drawn);
            self.deal(drawn, days);
        }
        (self.open == 0).then_some(self.last)
    }

    fn reset(&mut self, drawn: &Drawn, days: &mut impl DayChance) {
        self.next.clear();
        self.queues.iter_mut().for_each(Ranks::clear);
        self.outside.clear();
        self.parts.clear();
        self.returned.clear();
        self.ends.fill(f64::INFINITY);
        self.worked.fill(0.0);
        self.worked_until = 0.0;
        self.bays = self
            .flow
            .bays
            .map_or(0, |bays| i64::try_from(bays).unwrap_or(i64::MAX));
        (self.now, self.today, self.closes) = (0.0, 0, self.flow.day);
        (self.open, self.last) = (self.flow.cars.len(), 0.0);
        for (progress, car) in self.progress.iter_mut().zip(&drawn.cars) {
            *progress = Progress {
                next: car.first,
                last: car.first + car.common,
                open: car.panels,
                ..Progress::default()
            };
        }
        self.own.iter_mut().for_each(Vec::clear);
        self.here_on.fill(-1);
        (self.idle, self.has_own) = (0, 0);
        for person in 0..self.flow.people.len() {
            self.doing[person] = Doing::Idle;
            self.idle |= bit(person);
            if self.has_begun[person] {
                self.may_give_up(person, days);
            }
        }
    }

    fn advance(&mut self, now: f64) {
        self.now = now;
        if now >= self.closes {
            self.today = (now / self.flow.day) as Day;
            self.closes = (self.today + 1) as f64 * self.flow.day;
        }
    }

    /// What was set for a person happens.
    #[inline]
    fn happens(
        &mut self,
        drawn: &mut Drawn,
        days: &mut impl DayChance,
        person: usize,
        watch: &mut impl FnMut(Stretch),
    ) {
        self.next.set(person, f64::INFINITY);
        match std::mem::replace(&mut self.doing[person], Doing::Idle) {
            Doing::Idle => {}
            Doing::Away => self.idle |= bit(person),
            Doing::GivesUp => self.gives_up(drawn, person, days),
            Doing::Task(task) => {
                let begun = self.begun[person];
                watch(Stretch {
                    person,
                    task,
                    from: begun.from,
                    to: self.now,
                    left: begun.left,
                });
                self.worked[person] += begun.work;
                self.worked_until = self.now;
                if begun.left > 0.0 {
                    self.goes_back(drawn, task, begun.left);
                    self.comes_back(person, days);
                } else {
                    self.idle |= bit(person);
                    self.over(drawn, task);
                }
            }
        }
    }
}

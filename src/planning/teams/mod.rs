//! A start by teams: as many people as may work on one car stay together and
//! take cars of their own. So nobody ever waits for room at a car, and what each
//! team has to do can be levelled to the minute that its last car leaves it.

mod chance;
mod level;
mod share;

use super::problem::{Minute, Trades};
use super::schedule::Sequence;
use super::shop::Shop;
use chance::Chance;
use std::cmp::Reverse;

/// Shared minutes are counted in parts, since a team of two halves them.
const PARTS: Minute = 1_000;
/// How far before its dents a car is stripped, as a place in the sequence.
const LEAD: Minute = 300;
/// Minutes by which a car should be ready before a team comes to it: one of them
/// may be ahead of the other.
const MARGIN: Minute = 40;
/// Minutes above which nothing is levelled: sums of parts must not overflow.
const MOST: Minute = 1_000_000_000;
/// Minutes by which chance may change what a car has still to come.
const JITTER: usize = 240;

/// People who share cars.
struct Team<'t> {
    members: &'t [usize],
    /// Minutes in parts for each car of the lot, shared among the members.
    shared: &'t [Minute],
    /// Its cars in their order, the one that ends its work last.
    cars: Vec<usize>,
    /// Parts of minutes for all of them.
    takes: Minute,
    /// Minutes from its last panel to the end of everything.
    rest: Minute,
}

impl Team<'_> {
    fn over(&self) -> Minute {
        self.takes + self.rest * PARTS
    }

    /// How many of its cars may be changed: all but the last.
    fn inner(&self) -> usize {
        self.cars.len().saturating_sub(1)
    }
}

/// Plans by teams, drawn one after the other.
pub struct Teams<'s, 'a> {
    shop: &'s Shop<'a>,
    /// The members of each team: people who do nothing but dents, the fastest
    /// first; and what each car of the lot takes them together, in parts.
    teams: Vec<(Vec<usize>, Vec<Minute>)>,
    /// When the dents of a car could begin, if cars were stripped as they come.
    ready: Vec<Minute>,
    /// What follows the dents of a car.
    after: Vec<Minute>,
}

impl<'s, 'a> Teams<'s, 'a> {
    /// `None`: there is no team of people who do nothing but dents.
    #[must_use]
    pub fn of(shop: &'s Shop<'a>) -> Option<Teams<'s, 'a>> {
        let workers = &shop.problem.workers;
        let mut people: Vec<usize> = (0..workers.len())
            .filter(|at| workers[*at].trades == Trades::DENTS)
            .collect();
        people.sort_by_key(|at| (Reverse(workers[*at].speed), *at));
        if people.len() < 2 || shop.problem.hands < 2 {
            return None;
        }
        // Sums of parts of minutes must not overflow.
        let minutes = shop.tasks.iter().flat_map(|task| &task.able);
        let all = minutes.fold(0, |sum: Minute, able| sum.saturating_add(able.takes));
        let cars = shop.problem.cars.iter();
        if all > MOST || cars.clone().any(|car| car.arrives > MOST) {
            return None;
        }
        let cars = shop.cars.iter();
        let after = cars.map(|car| shop.least(car.fit) + shop.least(car.finish));
        let chunks = people.chunks(shop.problem.hands);
        Some(Teams {
            shop,
            teams: chunks
                .map(|members| (members.to_vec(), shared(shop, members)))
                .collect(),
            ready: ready(shop),
            after: after.collect(),
        })
    }

    /// A plan, drawn by chance: by seed, island, run and number. `None` leaves
    /// nothing to chance.
    #[must_use]
    pub fn draw(&self, turn: Option<[u64; 4]>) -> Sequence {
        let mut chance = Chance::of(turn);
        let teams = self.teams.iter();
        let mut teams: Vec<Team<'_>> = teams
            .map(|(members, shared)| Team {
                members,
                shared,
                cars: Vec::new(),
                takes: 0,
                rest: 0,
            })
            .collect();
        let last = self.last_cars(teams.len(), chance.below(3));
        // What a car has still to come, with its dents or without.
        let with_dents = Minute::from(chance.below(2) == 0);
        let hurry: Vec<Minute> = (0..self.after.len())
            .map(|car| {
                let dents = teams[0].shared[car] / PARTS;
                let jitter = Minute::try_from(chance.below(JITTER)).unwrap_or(0);
                self.after[car] + with_dents * dents + jitter
            })
            .collect();
        self.hand_out(&mut teams, &last, &hurry);
        self.level_cars(&mut teams);
        self.sequence(&teams, &mut chance)
    }

    /// Cars that end the work of the teams: those with the shortest way after
    /// their dents, some of them left out.
    fn last_cars(&self, count: usize, leave_out: usize) -> Vec<usize> {
        let mut cars: Vec<usize> = (0..self.after.len())
            .filter(|car| self.shop.cars[*car].panels.len() > 1)
            .collect();
        cars.sort_by_key(|car| (self.after[*car], *car));
        if leave_out > 0 && cars.len() > count {
            cars.remove((leave_out - 1).min(count));
        }
        cars.truncate(count);
        cars
    }

    /// The last cars to a team each; every other car to the team that comes to
    /// it first.
    fn hand_out(&self, teams: &mut [Team<'_>], last: &[usize], hurry: &[Minute]) {
        let mut free = vec![0; self.able(Trades::FINISH)];
        for (team, car) in teams.iter_mut().zip(last) {
            // The last cars are finished one after the other.
            free.sort_unstable();
            free[0] += self.shop.least(self.shop.cars[*car].finish);
            team.rest = free[0] + self.shop.least(self.shop.cars[*car].fit);
        }
        let mut left: Vec<usize> = (0..self.ready.len())
            .filter(|car| !last.contains(car) && !self.shop.cars[*car].panels.is_empty())
            .collect();
        left.sort_by_key(|car| (-hurry[*car], *car));
        while !left.is_empty() {
            let Some(team) = teams.iter_mut().min_by_key(|team| team.over()) else {
                return;
            };
            let now = team.takes / PARTS;
            let waits = |car: usize| (self.ready[car] + MARGIN - now).max(0);
            // The first that is ready, or else the one that is so first.
            let mut place = 0;
            for (at, car) in left.iter().enumerate() {
                if waits(*car) < waits(left[place]) {
                    place = at;
                }
                if waits(left[place]) == 0 {
                    break;
                }
            }
            let car = left.remove(place);
            team.cars.push(car);
            team.takes += team.shared[car];
        }
        for (team, car) in teams.iter_mut().zip(last) {
            team.cars.push(*car);
            team.takes += team.shared[*car];
        }
    }

    /// How many can do a trade, at least one.
    fn able(&self, trade: Trades) -> usize {
        let workers = self.shop.problem.workers.iter();
        workers
            .filter(|worker| worker.trades.meets(trade))
            .count()
            .max(1)
    }

    /// The teams' cars as a sequence, with who does every panel.
    fn sequence(&self, teams: &[Team<'_>], chance: &mut Chance) -> Sequence {
        let none = Minute::MAX / 2;
        let mut spans = vec![(none, none); self.shop.cars.len()];
        let mut who: Vec<Option<usize>> = vec![None; self.shop.tasks.len()];
        let mut early: Vec<(Minute, usize)> = Vec::new();
        for team in teams {
            let (shares, filled) = self.share(team, &mut spans, chance);
            early.extend(filled.iter().map(|(start, panel, _)| (*start, *panel)));
            let filled = filled.into_iter().map(|(_, panel, member)| (panel, member));
            for (panel, member) in shares.into_iter().chain(filled) {
                let mut able = self.shop.tasks[panel].able.iter();
                who[panel] = able.position(|able| able.worker == team.members[member]);
            }
        }
        early.sort_unstable();
        let mut order: Vec<usize> = (0..self.shop.cars.len()).collect();
        order.sort_by_key(|car| (spans[*car], *car));
        let mut sequence = Sequence::of_cars(self.shop, &order);
        sequence.who = who;
        if self.shop.problem.bays.is_none() {
            // Where there are bays cars are placed whole.
            let mut mentions: Vec<(Minute, usize)> = Vec::new();
            for (at, &(start, panel)) in early.iter().enumerate() {
                let car = self.shop.tasks[panel].car;
                mentions.push((start, car));
                // The panels that come first are mentioned first.
                let nth = early[..at]
                    .iter()
                    .filter(|(_, other)| self.shop.tasks[*other].car == car);
                let nth = nth.count();
                let panels = &self.shop.cars[car].panels;
                let order = &mut sequence.panels[car];
                if let Some(place) = order.iter().position(|at| panels[*at] == panel) {
                    let at = order.remove(place);
                    order.insert(nth, at);
                }
            }
            let mut is_early = vec![false; self.shop.tasks.len()];
            for (_, panel) in &early {
                is_early[*panel] = true;
            }
            for car in order {
                let (tasks, (begin, end)) = (&self.shop.cars[car], spans[car]);
                mentions.extend(tasks.strip.map(|_| (begin - LEAD, car)));
                let panels = tasks.panels.iter().filter(|panel| !is_early[**panel]);
                mentions.extend(panels.map(|_| (begin, car)));
                let after = tasks.fit.iter().chain(&tasks.finish);
                mentions.extend(after.map(|_| (end, car)));
            }
            mentions.sort_by_key(|(time, _)| *time);
            sequence.cars = mentions.into_iter().map(|(_, car)| car).collect();
        }
        sequence
    }
}

/// Fine enough that two rates add up without a loss that a part of a minute shows.
const FINE: Minute = 1_000_000_000_000;

/// When the dents of each car could begin, if cars were stripped as they come.
fn ready(shop: &Shop<'_>) -> Vec<Minute> {
    let cars = &shop.problem.cars;
    let strip = |car: usize| shop.least(shop.cars[car].strip);
    let mut order: Vec<usize> = (0..cars.len()).collect();
    order.sort_by_key(|car| (cars[*car].arrives, strip(*car), *car));
    let able = shop.problem.workers.iter();
    let able = able.filter(|worker| worker.trades.meets(Trades::STRIP));
    let mut free = vec![0; able.count().max(1)];
    let mut ready = vec![0; cars.len()];
    for car in order {
        ready[car] = cars[car].arrives;
        if strip(car) > 0 {
            free.sort_unstable();
            free[0] = free[0].max(cars[car].arrives) + strip(car);
            ready[car] = free[0];
        }
    }
    ready
}

/// What each car of the lot takes people together, in parts of minutes.
fn shared(shop: &Shop<'_>, members: &[usize]) -> Vec<Minute> {
    let cars = shop.cars.iter();
    let together = cars.map(|car| {
        // 1 / (1/a + 1/b).
        let rates = members.iter().map(|member| {
            let panels = car.panels.iter();
            let takes: Minute = panels.map(|at| takes(shop, *at, *member)).sum();
            FINE / takes.max(1)
        });
        match car.panels.len() {
            0 => 0,
            _ => FINE * PARTS / rates.sum::<Minute>().max(1),
        }
    });
    together.collect()
}

fn takes(shop: &Shop<'_>, panel: usize, worker: usize) -> Minute {
    let mut able = shop.tasks[panel].able.iter();
    able.find(|able| able.worker == worker)
        .map_or(0, |able| able.takes)
}

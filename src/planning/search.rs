//! The search for a better plan: from several sound orders, by changes that
//! are kept when the plan is no worse than it was some changes ago.

use super::dispatch::PREFERENCES;
use super::problem::{PlanProblem, PlannedTask};
use super::schedule::{Board, Score, Sequence};
use super::shop::Shop;
use super::starts::starts;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;
use std::time::{Duration, Instant};

/// When a search ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopRule {
    /// After so many changes on every island: the same plan on any machine.
    Rounds(u64),
    /// After so much time.
    Time(Duration),
}

/// A plan.
#[derive(Debug, Clone)]
pub struct Plan {
    /// How good it is.
    pub score: Score,
    /// Its tasks, car by car.
    pub tasks: Vec<PlannedTask>,
    /// What it is made from.
    pub sequence: Sequence,
}

/// Searches that run side by side, each with its own start and seed; their
/// number is fixed, so that the plan does not depend on that of the cores.
const ISLANDS: u64 = 4;
/// How many changes ago a plan must be beaten (Burke and Bykov 2017, late
/// acceptance): no temperature, so no figure but whole ones decides.
const MEMORY: usize = 3_000;
/// Changes without a better plan after which another start is tried.
const PATIENCE: u64 = 40_000;

/// Plans a problem. Pure in problem, rule by rounds, and seed.
#[must_use]
pub fn plan(problem: &PlanProblem, stop: StopRule, seed: u64) -> Plan {
    let shop = Shop::of(problem);
    let mut board = Board::new(&shop);
    let mut begun: Vec<(Score, Sequence)> = starts(&shop)
        .into_iter()
        .map(|sequence| (board.schedule(&sequence), sequence))
        .collect();
    begun.sort_by_key(|(score, _)| *score);
    if problem.bays.is_none() {
        // A plan through time, taken task by task: there is more to change in it.
        for (score, sequence) in &mut begun {
            if sequence.through_time {
                board.schedule(sequence);
                *sequence = board.as_sequence(sequence);
                *score = board.schedule(sequence);
            }
        }
        begun.sort_by_key(|(score, _)| *score);
    }
    let deadline = match stop {
        StopRule::Time(time) => Some(Instant::now() + time),
        StopRule::Rounds(_) => None,
    };
    let rounds = match stop {
        StopRule::Rounds(rounds) => rounds,
        StopRule::Time(_) => u64::MAX,
    };
    let islands = match stop {
        StopRule::Rounds(_) => ISLANDS,
        StopRule::Time(_) => rayon::current_num_threads() as u64,
    };
    let found: Vec<(Score, Sequence)> = (0..islands)
        .into_par_iter()
        .map(|island| {
            let from = usize::try_from(island).unwrap_or(0);
            let mut rng = ChaCha8Rng::seed_from_u64(seed);
            rng.set_stream(island);
            Climber {
                shop: &shop,
                board: Board::new(&shop),
                rng,
                workers: vec![0; shop.tasks.len()],
            }
            .climb(&begun, from, rounds, deadline)
        })
        .collect();
    // Equal ones: the first island's, whichever was done first.
    let mut best = begun.swap_remove(0);
    for island in found {
        if island.0 < best.0 {
            best = island;
        }
    }
    let (_, sequence) = best;
    Plan {
        score: board.schedule(&sequence),
        tasks: board.tasks(),
        sequence,
    }
}

struct Climber<'s, 'a> {
    shop: &'s Shop<'a>,
    board: Board<'s, 'a>,
    rng: ChaCha8Rng,
    /// Who has each task in the plan that is climbed from.
    workers: Vec<usize>,
}

impl Climber<'_, '_> {
    fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(1);
        let roll = u64::from(self.rng.next_u32());
        usize::try_from((roll * end) >> 32).unwrap_or(0)
    }

    /// Climbs from one start after the other until the rule says stop; the best
    /// that was met.
    fn climb(
        mut self,
        starts: &[(Score, Sequence)],
        first: usize,
        rounds: u64,
        deadline: Option<Instant>,
    ) -> (Score, Sequence) {
        let mut best = starts[first % starts.len()].clone();
        let (mut round, mut run) = (0, first);
        let mut next = best.1.clone();
        while round < rounds && !best.1.cars.is_empty() {
            let (mut score, mut now) = starts[run % starts.len()].clone();
            run += 1;
            self.board.schedule(&now);
            self.board.workers_into(&mut self.workers);
            let mut memory = vec![score; MEMORY];
            let mut top = score;
            let mut since = 0;
            while round < rounds && since < PATIENCE {
                if round % 16 == 0 && deadline.is_some_and(|deadline| Instant::now() >= deadline) {
                    return best;
                }
                next.clone_from(&now);
                self.change(&mut next);
                while self.below(3) == 0 {
                    self.change(&mut next);
                }
                let found = self.board.schedule(&next);
                let at = usize::try_from(round % MEMORY as u64).unwrap_or(0);
                if found <= score || found <= memory[at] {
                    std::mem::swap(&mut now, &mut next);
                    score = found;
                    self.board.workers_into(&mut self.workers);
                }
                since += 1;
                if score < top {
                    top = score;
                    since = 0;
                    if score < best.0 {
                        best = (score, now.clone());
                    }
                }
                memory[at] = memory[at].min(score);
                round += 1;
            }
        }
        best
    }

    /// One change of a sequence.
    fn change(&mut self, sequence: &mut Sequence) {
        if sequence.through_time {
            return match self.below(10) {
                0..6 => self.move_car(sequence),
                6..9 => self.move_panel(sequence),
                _ => {
                    let worker = self.below(sequence.prefers.len());
                    sequence.prefers[worker] = self.below(PREFERENCES.len());
                }
            };
        }
        let whole_cars = self.shop.problem.bays.is_some();
        match self.below(12) {
            0..2 => self.move_car(sequence),
            2..4 if !whole_cars => self.move_mention(sequence),
            4..6 if !whole_cars => self.swap_mentions(sequence),
            2..8 => self.move_panel(sequence),
            8..10 => self.swap_workers(sequence),
            _ => self.choose_worker(sequence),
        }
    }

    /// A car with all its tasks to another place.
    fn move_car(&mut self, sequence: &mut Sequence) {
        let at = self.below(sequence.cars.len());
        let car = sequence.cars[at];
        let mentions = self.shop.cars[car].count();
        sequence.cars.retain(|other| *other != car);
        let mut to = self.below(sequence.cars.len() + 1);
        // Where cars stand whole, they stay so.
        if self.shop.problem.bays.is_some() {
            while to > 0 && to < sequence.cars.len() && sequence.cars[to - 1] == sequence.cars[to] {
                to -= 1;
            }
        }
        sequence
            .cars
            .splice(to..to, std::iter::repeat_n(car, mentions));
    }

    /// One mention, and so every later task of its car.
    fn move_mention(&mut self, sequence: &mut Sequence) {
        let from = self.below(sequence.cars.len());
        let to = self.below(sequence.cars.len());
        let car = sequence.cars.remove(from);
        sequence.cars.insert(to, car);
    }

    /// Two mentions change places.
    fn swap_mentions(&mut self, sequence: &mut Sequence) {
        let count = sequence.cars.len();
        let (one, other) = (self.below(count), self.below(count));
        sequence.cars.swap(one, other);
    }

    /// Two tasks of a stage change workers.
    fn swap_workers(&mut self, sequence: &mut Sequence) {
        let count = self.shop.tasks.len();
        let (one, other) = (self.below(count), self.below(count));
        let tasks = &self.shop.tasks;
        if tasks[one].stage.trade() != tasks[other].stage.trade() {
            return;
        }
        let place = |task: usize, worker: usize| {
            tasks[task]
                .able
                .iter()
                .position(|able| able.worker == worker)
        };
        let (first, second) = (self.workers[one], self.workers[other]);
        if let (Some(mine), Some(theirs)) = (place(one, second), place(other, first)) {
            sequence.who[one] = Some(mine);
            sequence.who[other] = Some(theirs);
        }
    }

    fn move_panel(&mut self, sequence: &mut Sequence) {
        let at = self.below(sequence.cars.len());
        let panels = &mut sequence.panels[sequence.cars[at]];
        if panels.len() < 2 {
            return;
        }
        let count = panels.len();
        let (from, to) = (self.below(count), self.below(count));
        let panels = &mut sequence.panels[sequence.cars[at]];
        let panel = panels.remove(from);
        panels.insert(to, panel);
    }

    fn choose_worker(&mut self, sequence: &mut Sequence) {
        let task = self.below(self.shop.tasks.len());
        let able = self.shop.tasks[task].able.len();
        if able < 2 {
            return;
        }
        // As often left to the earliest end as chosen.
        let chosen = self.below(2 * able);
        sequence.who[task] = (chosen < able).then_some(chosen);
    }
}

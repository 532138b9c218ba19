//! Climbing by changes that are kept when the plan is no worse than it was some
//! changes ago.

use super::changes::Changer;
use super::schedule::{Board, Score, Sequence, Tie};
use super::shop::Shop;
use super::teams::Teams;
use std::time::Instant;

/// How many changes ago a plan must be beaten (Burke and Bykov 2017, late
/// acceptance): no temperature, so no figure but whole ones decides. For every
/// task, and at most.
const MEMORY: usize = 3;
const MOST_MEMORY: usize = 3_000;
/// Changes without a better plan after which another start is tried, for every
/// task and at most.
const PATIENCE: u64 = 300;
const MOST_PATIENCE: u64 = 40_000;
/// Tasks that are placed while plans by teams are drawn for one run, and the
/// plans that are drawn at least.
const DRAWN_TASKS: u64 = 50_000;
const LEAST_DRAWN: u64 = 64;

/// One island of the search.
pub struct Climber<'s, 'a> {
    board: Board<'s, 'a>,
    changer: Changer<'s, 'a>,
    teams: Option<&'s Teams<'s, 'a>>,
    seed: u64,
    island: u64,
    limit: Limit,
    /// Rounds that are done.
    round: u64,
}

/// When a search is over.
#[derive(Clone, Copy)]
pub struct Limit {
    /// Plans that are made, on every island.
    pub rounds: u64,
    /// Or a moment.
    pub deadline: Option<Instant>,
}

impl Limit {
    /// Whether the moment has come.
    #[must_use]
    pub fn is_past(&self) -> bool {
        self.deadline
            .is_some_and(|deadline| Instant::now() >= deadline)
    }
}

impl<'s, 'a> Climber<'s, 'a> {
    /// An island with its own chance and its own first start.
    #[must_use]
    pub fn new(
        shop: &'s Shop<'a>,
        teams: Option<&'s Teams<'s, 'a>>,
        seed: u64,
        island: u64,
        limit: Limit,
    ) -> Climber<'s, 'a> {
        Climber {
            board: Board::new(shop),
            changer: Changer::new(shop, seed, island),
            teams,
            seed,
            island,
            limit,
            round: 0,
        }
    }

    /// What a run climbs from: the best of some plans by teams that are drawn,
    /// where it is better than the start; else the start, shaken where it was
    /// climbed from before.
    fn begin(&mut self, run: usize, starts: &[(Score, Sequence)]) -> (Score, Sequence) {
        let (mut score, mut now) = starts[run % starts.len()].clone();
        let mut is_drawn = false;
        if let Some(teams) = self.teams {
            let tasks = self.board.shop().tasks.len().max(1) as u64;
            let draws = (DRAWN_TASKS / tasks).max(LEAST_DRAWN);
            // Most of a short search is left to changes.
            for draw in 0..draws.min(self.limit.rounds / 8) {
                if self.limit.is_past() {
                    break;
                }
                let turn = [self.seed, self.island, run as u64, draw];
                let plan = teams.draw(Some(turn));
                let found = self.board.schedule(&plan);
                self.round += 1;
                if found < score {
                    (score, now, is_drawn) = (found, plan, true);
                }
            }
        }
        if run >= starts.len() && !is_drawn {
            self.board.schedule(&now);
            for _ in 0..now.cars.len() {
                self.changer.change(&mut now, &self.board);
            }
            self.changer.forget();
            score = self.board.schedule(&now);
        }
        (score, now)
    }

    /// Climbs from one start after the other until the limit; the best that was
    /// met.
    #[must_use]
    pub fn climb(mut self, starts: &[(Score, Sequence)]) -> (Score, Sequence) {
        let mut best = starts[0].clone();
        let tasks = self.board.shop().tasks.len();
        let (most, patience) = (
            (MEMORY * tasks).clamp(64, MOST_MEMORY),
            (PATIENCE * tasks as u64).min(MOST_PATIENCE),
        );
        // The clock is looked at seldom where a change takes microseconds.
        let stride = if best.1.cars.len() > 1_000 { 1 } else { 16 };
        let first = usize::try_from(self.island).unwrap_or(0);
        for run in first.. {
            if self.round >= self.limit.rounds || tasks == 0 {
                break;
            }
            self.board.break_ties_by(Tie::Cars);
            let (found, mut now) = self.begin(run, starts);
            if found < best.0 {
                best = (found, now.clone());
            }
            let tie = [Tie::Cars, Tie::Workers][run % 2];
            self.board.break_ties_by(tie);
            let mut score = self.board.schedule(&now);
            let mut next = now.clone();
            let mut memory = vec![score; most];
            let mut top = score;
            let mut since = 0;
            while self.round < self.limit.rounds && since < patience {
                if self.round.is_multiple_of(stride) && self.limit.is_past() {
                    return best;
                }
                self.changer.change(&mut next, &self.board);
                let at = usize::try_from(self.round % most as u64).unwrap_or(0);
                let found = self.board.reschedule(&next, &score.max(memory[at]));
                match found {
                    Some(found) => {
                        self.board.keep();
                        self.changer.settle(&next, &mut now);
                        score = found;
                    }
                    None => self.changer.settle(&now, &mut next),
                }
                since += 1;
                if score < top {
                    top = score;
                    since = 0;
                    // The sum of the workers' ends is not that of the cars.
                    let sum = if tie == Tie::Cars {
                        score.ends
                    } else {
                        i64::MAX
                    };
                    let reported = Score { ends: sum, ..score };
                    if reported < best.0 {
                        best = (reported, now.clone());
                    }
                }
                memory[at] = memory[at].min(score);
                self.round += 1;
            }
        }
        best
    }
}

//! Climbing by changes that are kept when the plan is no worse than it was some
//! changes ago.

use super::changes::Changer;
use super::schedule::{Board, Score, Sequence, Tie};
use super::shop::Shop;
use std::time::Instant;

/// How many changes ago a plan must be beaten (Burke and Bykov 2017, late
/// acceptance): no temperature, so no figure but whole ones decides.
const MEMORY: usize = 3_000;
/// Changes without a better plan after which another start is tried.
const PATIENCE: u64 = 40_000;

/// One island of the search.
pub struct Climber<'s, 'a> {
    board: Board<'s, 'a>,
    changer: Changer<'s, 'a>,
    first: usize,
}

impl<'s, 'a> Climber<'s, 'a> {
    /// An island with its own chance and its own first start.
    #[must_use]
    pub fn new(shop: &'s Shop<'a>, seed: u64, island: u64) -> Climber<'s, 'a> {
        Climber {
            board: Board::new(shop),
            changer: Changer::new(shop, seed, island),
            first: usize::try_from(island).unwrap_or(0),
        }
    }

    /// Climbs from one start after the other until the rule says stop; the best
    /// that was met.
    #[must_use]
    pub fn climb(
        mut self,
        starts: &[(Score, Sequence)],
        rounds: u64,
        deadline: Option<Instant>,
    ) -> (Score, Sequence) {
        let mut best = starts[self.first % starts.len()].clone();
        let (mut round, mut run) = (0, self.first);
        // The clock is looked at seldom where a change takes microseconds.
        let stride = if best.1.cars.len() > 1_000 { 1 } else { 16 };
        while round < rounds && !best.1.cars.is_empty() {
            let (_, mut now) = starts[run % starts.len()].clone();
            let tie = [Tie::Cars, Tie::Workers][run % 2];
            self.board.break_ties_by(tie);
            let mut score = self.board.schedule(&now);
            // A start that was climbed from before is shaken first.
            if run >= self.first + starts.len() {
                for _ in 0..now.cars.len() {
                    self.changer.change(&mut now, &self.board);
                }
                self.changer.forget();
                score = self.board.schedule(&now);
            }
            run += 1;
            let mut next = now.clone();
            let mut memory = vec![score; MEMORY];
            let mut top = score;
            let mut since = 0;
            while round < rounds && since < PATIENCE {
                if round % stride == 0
                    && deadline.is_some_and(|deadline| Instant::now() >= deadline)
                {
                    return best;
                }
                self.changer.change(&mut next, &self.board);
                let at = usize::try_from(round % MEMORY as u64).unwrap_or(0);
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
                round += 1;
            }
        }
        best
    }
}

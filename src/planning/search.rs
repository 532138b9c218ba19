//! The search for a better plan: several islands climb from several sound
//! starts until a rule says stop.

use super::climb::{Climber, Limit};
use super::problem::{PlanProblem, PlannedTask};
use super::schedule::{Board, Score, Sequence};
use super::shop::Shop;
use super::starts::{Start, starts};
use super::teams::Teams;
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
/// Tasks above which no start is scheduled car by car where there are bays:
/// every car looks for a bay among all that were held, so the time grows with
/// the square of their number.
const MOST_WITH_BAYS: usize = 8_000;

/// Plans a problem. Pure in problem, rule by rounds, and seed.
#[must_use]
pub fn plan(problem: &PlanProblem, stop: StopRule, seed: u64) -> Plan {
    let limit = match stop {
        StopRule::Rounds(rounds) => Limit {
            rounds,
            deadline: None,
        },
        StopRule::Time(time) => Limit {
            rounds: u64::MAX,
            deadline: Some(Instant::now() + time),
        },
    };
    let islands = match stop {
        StopRule::Rounds(_) => ISLANDS,
        StopRule::Time(_) => rayon::current_num_threads() as u64,
    };
    let is_over = || limit.rounds == 0 || limit.is_past();
    let shop = Shop::of(problem);
    let too_long = problem.bays.is_some() && shop.tasks.len() > MOST_WITH_BAYS;
    let mut board = Board::new(&shop);
    let mut begun: Vec<(Score, Sequence)> = Vec::new();
    for start in starts(&shop) {
        // One plan there is in any case.
        if !begun.is_empty() && is_over() {
            break;
        }
        if !start.through_time && too_long {
            continue;
        }
        begun.push(schedule_start(&mut board, &start));
    }
    let teams = Teams::of(&shop).filter(|_| !too_long);
    if let Some(teams) = &teams
        && !is_over()
    {
        let sequence = teams.draw(None);
        begun.push((board.schedule(&sequence), sequence));
    }
    begun.sort_by_key(|(score, _)| *score);
    let found: Vec<(Score, Sequence)> = if is_over() {
        Vec::new()
    } else {
        (0..islands)
            .into_par_iter()
            .map(|island| Climber::new(&shop, teams.as_ref(), seed, island, limit).climb(&begun))
            .collect()
    };
    // Equal ones: the first island's, whichever was done first.
    let (mut best, mut sequence) = begun.swap_remove(0);
    for (climbed, found) in found {
        let score = board.schedule(&found);
        debug_assert!(
            score.end == climbed.end && score <= climbed,
            "scheduled from a mark as from the beginning"
        );
        if score < best {
            (best, sequence) = (score, found);
        }
    }
    let score = board.schedule(&sequence);
    Plan {
        score,
        tasks: board.tasks(),
        sequence,
    }
}

/// A start as it is climbed from. A plan through time is taken task by task
/// where there are no bays: there is more to change in it.
fn schedule_start(board: &mut Board<'_, '_>, start: &Start) -> (Score, Sequence) {
    let shop = board.shop();
    let mut sequence = Sequence::of_cars(shop, &start.order);
    sequence.through_time = start.through_time;
    let mut score = board.schedule(&sequence);
    if start.through_time && shop.problem.bays.is_none() {
        sequence = board.as_sequence(&sequence);
        score = board.schedule(&sequence);
    }
    (score, sequence)
}

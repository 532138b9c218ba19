//! How good a schedule is.

use super::super::calendar::NEVER;
use super::super::outcome::days;
use super::super::problem::Minute;
use super::Board;

/// Days in which idle ones are counted; a plan that takes longer is none.
const MOST_DAYS: i64 = 100_000;

/// How good a plan is; smaller is better, the first figure first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Score {
    /// Tasks that could not be placed at all.
    pub unplaced: i64,
    /// Whole working days until the last car is finished.
    pub days: i64,
    /// Whole days late, weighted.
    pub late: i64,
    /// Days on which somebody is here and has nothing to do.
    pub idle: i64,
    /// The last minute.
    pub end: Minute,
    /// The sum of the cars' last minutes.
    pub ends: i64,
}

/// What tells plans apart that end at the same minute, while the search climbs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tie {
    /// The sum of the cars' ends, which is what is reported.
    Cars,
    /// The sum of the workers' ends. It falls with every minute that is waited,
    /// or lost to rounding, before a worker's last task, and so leads to plans
    /// that can be levelled where the first sum has settled.
    Workers,
}

impl Score {
    /// Worse than that of any plan.
    pub const WORST: Score = Score {
        unplaced: i64::MAX,
        days: i64::MAX,
        late: i64::MAX,
        idle: i64::MAX,
        end: Minute::MAX,
        ends: i64::MAX,
    };
}

impl Board<'_, '_> {
    /// The last minute with which a plan can be as good as the limit, whatever
    /// its other figures are.
    pub(super) fn latest_end(&self, limit: &Score) -> Minute {
        if limit.unplaced > 0 {
            return Minute::MAX;
        }
        match self.shop.problem.day {
            Some(day) => limit.days.saturating_mul(day),
            None => limit.end,
        }
    }

    /// The score, where it is no worse than the limit.
    pub(super) fn score(&mut self, limit: &Score) -> Option<Score> {
        let problem = self.shop.problem;
        let mut score = Score {
            unplaced: 0,
            days: 0,
            late: 0,
            idle: 0,
            end: 0,
            ends: 0,
        };
        // A promise may lie before the first day.
        let day_of = |end: Minute| problem.day.map_or(0, |day| days(end, day));
        for (car, tasks) in problem.cars.iter().zip(&self.shop.cars) {
            // Whose last task is placed is placed whole.
            let mut end = tasks.finish.map_or(NEVER, |last| self.placed[last].end);
            if end >= NEVER {
                end = 0;
                for task in tasks.all() {
                    let placed = self.placed[task];
                    if placed.worker == usize::MAX {
                        score.unplaced += 1;
                    } else {
                        end = end.max(placed.end);
                    }
                }
            }
            score.end = score.end.max(end);
            score.ends += end;
            if let Some(due) = car.due {
                score.late += car.weight * (day_of(end) - day_of(due)).max(0);
            }
        }
        score.days = day_of(score.end);
        // Idle days take longest to count.
        let known = |score: &Score| (score.unplaced, score.days, score.late);
        if known(&score) > known(limit) {
            return None;
        }
        score.idle = self.idle_days(score.days);
        if self.tie == Tie::Workers {
            score.ends = self.worker_ends();
        }
        (score <= *limit).then_some(score)
    }

    fn worker_ends(&mut self) -> Minute {
        self.last.clear();
        self.last.resize(self.shop.problem.workers.len(), 0);
        for placed in &self.placed {
            if let Some(last) = self.last.get_mut(placed.worker) {
                *last = placed.end.max(*last);
            }
        }
        self.last.iter().sum()
    }

    /// Days before the last finish on which a worker is here without a task.
    fn idle_days(&mut self, days: i64) -> i64 {
        let Some(day) = self.shop.problem.day else {
            return 0;
        };
        if days > MOST_DAYS {
            return 0;
        }
        let (workers, width) = (
            &self.shop.problem.workers,
            usize::try_from(days).unwrap_or(0),
        );
        self.busy.clear();
        self.busy.resize(workers.len() * width, false);
        for placed in &self.placed {
            let Some(own) = self.shop.calendars.get(placed.worker) else {
                continue;
            };
            let (first, last) = (own.own(placed.start), own.own(placed.end - 1));
            for at in first / day..=last / day {
                let of_site = own.site(at * day) / day;
                if let Ok(at) = usize::try_from(of_site) {
                    self.busy[placed.worker * width + at] = true;
                }
            }
        }
        let here: i64 = workers
            .iter()
            .map(|worker| {
                worker.days.as_ref().map_or(days, |all| {
                    all.partition_point(|known| *known < days) as i64
                })
            })
            .sum();
        here - self.busy.iter().filter(|is| **is).count() as i64
    }
}

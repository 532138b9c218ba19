//! How good a schedule is.

use super::super::problem::Minute;
use super::Board;

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

impl Board<'_, '_> {
    pub(super) fn score(&self) -> Score {
        let problem = self.shop.problem;
        let mut score = Score {
            unplaced: 0,
            days: 0,
            late: 0,
            idle: 0,
            end: 0,
            ends: 0,
        };
        let day_of = |end: Minute| problem.day.map_or(0, |day| (end + day - 1) / day);
        for (car, tasks) in problem.cars.iter().zip(&self.shop.cars) {
            let all = [tasks.strip, tasks.fit, tasks.finish];
            let mut end = 0;
            for task in all
                .into_iter()
                .flatten()
                .chain(tasks.panels.iter().copied())
            {
                let placed = self.placed[task];
                if placed.worker == usize::MAX {
                    score.unplaced += 1;
                } else {
                    end = end.max(placed.end);
                }
            }
            score.end = score.end.max(end);
            score.ends += end;
            if let Some(due) = car.due {
                score.late += car.weight * (day_of(end) - day_of(due)).max(0);
            }
        }
        score.days = day_of(score.end);
        score.idle = self.idle_days(score.days);
        score
    }

    /// Days before the last finish on which a worker is here without a task.
    fn idle_days(&self, days: i64) -> i64 {
        let Some(day) = self.shop.problem.day else {
            return 0;
        };
        let mut busy: Vec<Vec<bool>> =
            vec![vec![false; usize::try_from(days).unwrap_or(0)]; self.gaps.len()];
        for placed in self
            .placed
            .iter()
            .filter(|placed| placed.worker != usize::MAX)
        {
            let own = &self.shop.calendars[placed.worker];
            let (first, last) = (own.own(placed.start), own.own(placed.end - 1));
            for at in first / day..=last / day {
                let of_site = own.site(at * day) / day;
                if let Some(is) = usize::try_from(of_site)
                    .ok()
                    .and_then(|at| busy[placed.worker].get_mut(at))
                {
                    *is = true;
                }
            }
        }
        let workers = self.shop.problem.workers.iter();
        workers
            .zip(busy)
            .map(|(worker, busy)| {
                let here = worker.days.as_ref().map_or(days, |all| {
                    all.partition_point(|known| *known < days) as i64
                });
                here - busy.into_iter().filter(|is| *is).count() as i64
            })
            .sum()
    }
}

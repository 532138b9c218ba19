//! A worker's own time: the site's working minutes without the days on which
//! the worker is away. A task is one stretch of it, whatever lies between.

use super::problem::{Day, Minute, Worker};

/// More than any plan takes, with room to add to.
pub const NEVER: Minute = Minute::MAX / 8;

/// The days of one worker.
#[derive(Debug, Clone)]
pub struct Calendar {
    day: Minute,
    /// The worker's days, in order; empty: all of them.
    days: Vec<Day>,
    /// Whether the worker is here on every day.
    always: bool,
}

impl Calendar {
    /// The calendar of a worker on a site with days of so many minutes.
    #[must_use]
    pub fn of(worker: &Worker, day: Option<Minute>) -> Calendar {
        match (&worker.days, day) {
            (Some(days), Some(day)) => Calendar {
                day,
                days: days.clone(),
                always: false,
            },
            _ => Calendar {
                day: day.unwrap_or(NEVER),
                days: Vec::new(),
                always: true,
            },
        }
    }

    /// How many own minutes there are in all.
    #[must_use]
    pub fn capacity(&self) -> Minute {
        if self.always {
            NEVER
        } else {
            self.day * self.days.len() as Minute
        }
    }

    /// Own minutes that lie before a minute of the site: the first own minute
    /// that is not earlier.
    #[must_use]
    pub fn own(&self, site: Minute) -> Minute {
        if self.always {
            return site;
        }
        let (day, minute) = (site / self.day, site % self.day);
        let before = self.days.partition_point(|known| *known < day);
        let here = self.days.get(before) == Some(&day);
        self.day * before as Minute + if here { minute } else { 0 }
    }

    /// The site's minute in which an own minute lies.
    #[must_use]
    pub fn site(&self, own: Minute) -> Minute {
        if self.always {
            return own;
        }
        let at = usize::try_from(own / self.day).unwrap_or(usize::MAX);
        match self.days.get(at) {
            Some(day) => day * self.day + own % self.day,
            None => NEVER,
        }
    }

    /// The site's minute at which a stretch of own minutes is over.
    #[must_use]
    pub fn site_end(&self, own_end: Minute) -> Minute {
        self.site(own_end - 1) + 1
    }
}

//! A day, or a time of it.

use jiff::civil::{Date, Time};
use std::fmt;

/// A day on which something is due, with a time where one was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment {
    /// The day.
    pub day: Date,
    /// The time; `None` is what the column says: opening or closing.
    pub time: Option<Time>,
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.day)?;
        match self.time {
            Some(time) => write!(f, " {:02}:{:02}", time.hour(), time.minute()),
            None => Ok(()),
        }
    }
}

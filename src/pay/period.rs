//! What a statement covers.

use super::terms::PayPeriod;
use jiff::ToSpan;
use jiff::civil::Date;
use std::fmt;

/// One period of pay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Period {
    /// Monday to Sunday, by its Monday.
    Week(Date),
    /// The whole storm.
    Storm,
}

impl Period {
    /// The period that a day is in.
    #[must_use]
    pub fn of(day: Date, by: PayPeriod) -> Period {
        match by {
            PayPeriod::Week => Period::Week(monday(day)),
            PayPeriod::Storm => Period::Storm,
        }
    }
}

impl fmt::Display for Period {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Period::Week(monday) => write!(f, "{monday}"),
            Period::Storm => write!(f, "storm"),
        }
    }
}

/// The Monday of a day's week.
#[must_use]
pub fn monday(day: Date) -> Date {
    let since = i64::from(day.weekday().to_monday_zero_offset());
    // The calendar begins on a Monday (ISO 8601), so this never passes its edge.
    day.checked_sub(since.days()).unwrap_or(day)
}

//! The people of a crew and what they are paid.

use crate::money::{Money, Percent};
use jiff::civil::Date;
use rust_decimal::Decimal;

/// A kind of work on a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Trade {
    /// Dents pushed out.
    Dents,
    /// Parts taken off for access.
    Strip,
    /// Parts put back.
    Fit,
    /// Wash, final check, photographs.
    Finish,
    /// Waiting, travel: time that belongs to no car's price.
    Other,
}

impl Trade {
    /// All trades in their order.
    pub const ALL: [Trade; 5] = [
        Trade::Dents,
        Trade::Strip,
        Trade::Fit,
        Trade::Finish,
        Trade::Other,
    ];

    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Trade::Dents => "dents",
            Trade::Strip => "strip",
            Trade::Fit => "fit",
            Trade::Finish => "finish",
            Trade::Other => "other",
        }
    }

    /// The trade of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Trade> {
        Trade::ALL.into_iter().find(|trade| trade.word() == word)
    }

    /// Whether its pay is a part of the car's removal.
    #[must_use]
    pub fn is_removal(self) -> bool {
        matches!(self, Trade::Strip | Trade::Fit)
    }
}

/// What a person is paid: a sum of up to four different terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pay {
    /// Of the person's part of every pool.
    pub percent: Option<Percent>,
    /// For every hour logged; may be finer than the currency.
    pub per_hour: Option<Decimal>,
    /// For every car worked on.
    pub per_car: Option<Money>,
    /// For every day worked.
    pub per_day: Option<Money>,
}

impl Pay {
    /// Whether nothing is agreed at all.
    #[must_use]
    pub fn is_none(&self) -> bool {
        *self == Pay::default()
    }

    /// Whether a percentage is all that is agreed.
    #[must_use]
    pub fn is_percent_only(&self) -> bool {
        let without = Pay {
            percent: None,
            ..*self
        };
        self.percent.is_some() && without.is_none()
    }
}

/// A person of the crew.
#[derive(Debug, Clone)]
pub struct Person {
    /// The name, as it is printed.
    pub name: String,
    /// What the person does; strip people also fit.
    pub trades: Vec<Trade>,
    /// Pace against the time standard; 1 is the standard's own.
    pub speed: Decimal,
    /// First day here; `None`: from the beginning.
    pub from: Option<Date>,
    /// Last day here.
    pub to: Option<Date>,
    /// Days away, first and last of each stretch.
    pub off: Vec<(Date, Date)>,
    /// What is paid.
    pub pay: Pay,
    /// The least per day worked.
    pub guarantee: Option<Money>,
    /// Whether the person is an employee; only overtime asks.
    pub employee: bool,
}

impl Person {
    /// Whether the person is here on a day.
    #[must_use]
    pub fn is_here(&self, day: Date) -> bool {
        self.from.is_none_or(|from| from <= day)
            && self.to.is_none_or(|to| day <= to)
            && !self
                .off
                .iter()
                .any(|(first, last)| *first <= day && day <= *last)
    }
}

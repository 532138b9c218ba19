//! One amount of one person: what for, of what, and how much.

use crate::money::{Currency, Money, Percent};
use crate::storm::{PaidKind, Panel, Trade};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::sync::Arc;

/// What an entry is for. The order is that of a statement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EntryKind {
    /// The person's percentage of a part of a pool.
    Work,
    /// Hours at a rate.
    Hours,
    /// A car worked on.
    Car,
    /// A day worked.
    Day,
    /// The person's percentage of work done again.
    Redo,
    /// What somebody else's redo takes off a percentage.
    RedoCharge,
    /// What came in later of a percentage, where pay goes by what came in.
    CameIn,
    /// What is lacking to the least of the days worked.
    Guarantee,
    /// The half-time premium.
    Overtime,
    /// A row of the ledger.
    Paid(PaidKind),
}

impl EntryKind {
    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            EntryKind::Work => "work",
            EntryKind::Hours => "hours",
            EntryKind::Car => "car",
            EntryKind::Day => "day",
            EntryKind::Redo => "redo",
            EntryKind::RedoCharge => "redo-charge",
            EntryKind::CameIn => "came-in",
            EntryKind::Guarantee => "guarantee",
            EntryKind::Overtime => "overtime",
            EntryKind::Paid(kind) => kind.word(),
        }
    }

    /// Its place in a statement: rows of the ledger stand in the ledger's own
    /// order, those that settle last.
    #[must_use]
    pub fn rank(self) -> u8 {
        match self {
            EntryKind::Work => 0,
            EntryKind::Hours => 1,
            EntryKind::Car => 2,
            EntryKind::Day => 3,
            EntryKind::Redo => 4,
            EntryKind::RedoCharge => 5,
            EntryKind::CameIn => 6,
            EntryKind::Guarantee => 7,
            EntryKind::Overtime => 8,
            EntryKind::Paid(kind) => 9 + u8::from(kind.settles()),
        }
    }

    /// Whether it is a percentage of a pool, or a change of one.
    #[must_use]
    pub fn is_of_pool(self) -> bool {
        matches!(
            self,
            EntryKind::Work | EntryKind::Redo | EntryKind::RedoCharge
        )
    }

    /// Whether a guarantee counts it as earned: charges never lower one.
    #[must_use]
    pub fn is_earned(self) -> bool {
        self.rank() <= EntryKind::Redo.rank()
    }

    /// Whether it is pay of the week for the half-time premium
    /// (29 CFR 778.111; of the ledger only a bonus).
    #[must_use]
    pub fn is_pay_of_week(self) -> bool {
        self.is_earned()
            || matches!(
                self,
                EntryKind::Guarantee | EntryKind::Paid(PaidKind::Bonus)
            )
    }

    /// Whether it only settles what is owed.
    #[must_use]
    pub fn settles(self) -> bool {
        matches!(self, EntryKind::Paid(kind) if kind.settles())
    }
}

/// What kind of work an entry is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryTrade {
    /// A panel's pool.
    Dents,
    /// A car's removal pool.
    Removal,
    /// A row of the log.
    Logged(Trade),
}

impl EntryTrade {
    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            EntryTrade::Dents => Trade::Dents.word(),
            EntryTrade::Removal => "removal",
            EntryTrade::Logged(trade) => trade.word(),
        }
    }
}

/// The rate that an amount comes of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rate {
    /// Of a part of a pool.
    Percent(Percent),
    /// For an hour.
    Hour(Decimal),
    /// For a car.
    Car(Money),
    /// For a day.
    Day(Money),
}

impl Rate {
    /// As a crew list writes it.
    #[must_use]
    pub fn text(self, currency: Currency) -> String {
        match self {
            Rate::Percent(percent) => format!("{}%", percent.0.normalize()),
            Rate::Hour(rate) => format!("{rate}/h"),
            Rate::Car(amount) => format!("{}/car", currency.text(amount)),
            Rate::Day(amount) => format!("{}/day", currency.text(amount)),
        }
    }
}

/// What else is to be said of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Remark {
    /// Nothing.
    #[default]
    None,
    /// Some line of the pool has no amount yet.
    WaitsForQuote,
    /// Who did it again.
    DoneAgainBy(usize),
    /// A redo that the house pays.
    OutOfHouse,
    /// The car was left out, so only its time is paid.
    LeftOut,
    /// Days worked, the least of a day, what was earned in the period.
    Guarantee {
        /// Days with a row.
        days: u32,
        /// The least of each.
        least: Money,
        /// Earned in the period, charges aside.
        earned: Money,
    },
    /// What was earned in all, and what had come in of the car's price.
    OfReceived {
        /// Earned of the pool so far.
        earned: Money,
        /// What had come in.
        came_in: Money,
        /// The car's price.
        price: Money,
    },
    /// Pay of the week and its hours.
    Overtime {
        /// Pay of the week.
        pay: Money,
        /// Hours logged.
        hours: Decimal,
    },
    /// As the ledger has it.
    Text(Arc<str>),
}

/// One amount of one person.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Index into the crew list.
    pub person: usize,
    /// The day that decides its period.
    pub date: Date,
    /// What for.
    pub kind: EntryKind,
    /// The car, by its place in the storm.
    pub car: Option<usize>,
    /// Its stock; also of a car that was left out.
    pub stock: Option<Arc<str>>,
    /// The panel.
    pub panel: Option<Panel>,
    /// What kind of work.
    pub trade: Option<EntryTrade>,
    /// Hours.
    pub hours: Option<Decimal>,
    /// The whole pool.
    pub pool: Option<Money>,
    /// The part of it, or how much the part changed.
    pub part: Option<Money>,
    /// The rate.
    pub rate: Option<Rate>,
    /// How much, signed as it changes the balance.
    pub amount: Money,
    /// What else is to be said.
    pub remark: Remark,
}

impl Entry {
    /// An amount of a person and a day, of which nothing else is known.
    #[must_use]
    pub fn new(person: usize, date: Date, kind: EntryKind, amount: Money) -> Entry {
        Entry {
            person,
            date,
            kind,
            car: None,
            stock: None,
            panel: None,
            trade: None,
            hours: None,
            pool: None,
            part: None,
            rate: None,
            amount,
            remark: Remark::None,
        }
    }
}

//! Who did what and when, and what was handed over: the crew's own books.

use super::{Panel, Person, Provenance, Trade};
use crate::money::Money;
use jiff::civil::Date;
use num_rational::BigRational;
use rust_decimal::Decimal;
use std::sync::Arc;

/// One row of the work log.
#[derive(Debug, Clone)]
pub struct WorkRow {
    /// The day.
    pub date: Date,
    /// The car's stock as the lot has it; none for waiting and travel.
    pub stock: Option<Arc<str>>,
    /// The panel; `None` is the whole car. Only dents have one.
    pub panel: Option<Panel>,
    /// Index into [`CrewLog::people`].
    pub person: usize,
    /// What was done.
    pub trade: Trade,
    /// Hours, where they were written.
    pub hours: Option<Decimal>,
    /// The person's part of the work, 0 to 1, where one was agreed.
    pub part: Option<BigRational>,
    /// Done again.
    pub redo: bool,
    /// Finished; else only begun.
    pub done: bool,
    /// Where the row stands.
    pub source: Provenance,
}

/// What a row of the ledger is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PaidKind {
    /// Daily allowance, on top.
    PerDiem,
    /// Lodging that the person paid, on top.
    Lodging,
    /// On top.
    Bonus,
    /// Kept from the person: damage, lodging paid for him.
    ChargeBack,
    /// Money handed over before it was earned.
    Advance,
    /// Money handed over.
    Payment,
    /// Money that the person gave back.
    Refund,
}

impl PaidKind {
    /// All kinds in their order.
    pub const ALL: [PaidKind; 7] = [
        PaidKind::PerDiem,
        PaidKind::Lodging,
        PaidKind::Bonus,
        PaidKind::ChargeBack,
        PaidKind::Advance,
        PaidKind::Payment,
        PaidKind::Refund,
    ];

    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            PaidKind::PerDiem => "per-diem",
            PaidKind::Lodging => "lodging",
            PaidKind::Bonus => "bonus",
            PaidKind::ChargeBack => "charge-back",
            PaidKind::Advance => "advance",
            PaidKind::Payment => "payment",
            PaidKind::Refund => "refund",
        }
    }

    /// Whether it only settles what is owed, and changes nobody's income.
    #[must_use]
    pub fn settles(self) -> bool {
        matches!(
            self,
            PaidKind::Advance | PaidKind::Payment | PaidKind::Refund
        )
    }

    /// Whether it adds to what the person has to get.
    #[must_use]
    pub fn adds(self) -> bool {
        !matches!(
            self,
            PaidKind::ChargeBack | PaidKind::Advance | PaidKind::Payment
        )
    }
}

/// One row of the ledger.
#[derive(Debug, Clone)]
pub struct PaidRow {
    /// The day.
    pub date: Date,
    /// Index into [`CrewLog::people`].
    pub person: usize,
    /// What for.
    pub kind: PaidKind,
    /// How much, never below zero.
    pub amount: Money,
    /// A remark.
    pub note: String,
    /// Where the row stands.
    pub source: Provenance,
}

/// The crew, its work log and its ledger, in file order.
#[derive(Debug, Clone, Default)]
pub struct CrewLog {
    /// The people.
    pub people: Vec<Person>,
    /// The work.
    pub work: Vec<WorkRow>,
    /// The ledger.
    pub paid: Vec<PaidRow>,
    /// Whether there is a crew list at all.
    pub has_people: bool,
    /// Whether there is a work log, and every row of it could be read: only
    /// then does a missing row say that nobody did it.
    pub is_whole: bool,
}

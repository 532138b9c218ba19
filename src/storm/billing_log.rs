//! What payers decided, what was billed and what came in: the books of the money
//! from outside.

use super::{Group, Panel, Provenance};
use crate::money::{Money, Percent};
use jiff::civil::Date;
use std::sync::Arc;

/// Who owes a part of a car's price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Debtor {
    /// The car's payer.
    Payer,
    /// The car's owner, who bears the deductible.
    Owner,
}

impl Debtor {
    /// Both, in the order of every table.
    pub const ALL: [Debtor; 2] = [Debtor::Payer, Debtor::Owner];

    /// The word for the owner in files; a payer stands there by name.
    pub const OWNER: &'static str = "owner";

    /// Its place in [`Debtor::ALL`].
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }
}

/// What a payer decided on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The car's total.
    Car,
    /// More than was decided before, by its name.
    Supplement(String),
    /// Some lines of the car: of a panel, of a group, of an item, or where these meet.
    Part {
        /// The panel.
        panel: Option<Panel>,
        /// The group.
        group: Option<Group>,
        /// The item as a car's sheet names it; may be empty.
        item: String,
    },
}

/// One row of `agreed.*` with a payer's yes or no.
#[derive(Debug, Clone)]
pub struct Decision {
    /// The car's stock.
    pub stock: Arc<str>,
    /// What it is about.
    pub subject: Subject,
    /// The amount that was approved; none where the payer refused.
    pub approved: Option<Money>,
    /// Who decided.
    pub by: String,
    /// When.
    pub date: Date,
    /// A remark.
    pub note: String,
    /// Where the row stands.
    pub source: Provenance,
}

/// What a receipt is for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum ReceiptFor {
    /// A car, by its stock.
    Car(Arc<str>),
    /// A bill and all of its cars, by its number.
    Bill(String),
}

/// One row of `received.*`: money that came in, below zero where it went back.
#[derive(Debug, Clone)]
pub struct Receipt {
    /// The day.
    pub date: Date,
    /// What for.
    pub of: ReceiptFor,
    /// From whom.
    pub from: Debtor,
    /// How much.
    pub amount: Money,
    /// A remark.
    pub note: String,
    /// Where the row stands.
    pub source: Provenance,
}

/// What a numbered bill is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BillKind {
    /// The first of its cars.
    Bill,
    /// What came to a car after its first.
    Supplement,
    /// What is taken off a car that was billed higher.
    Correction,
    /// That more came in than was billed: it changes nothing of what was billed.
    Credit,
}

impl BillKind {
    /// All kinds.
    pub const ALL: [BillKind; 4] = [
        BillKind::Bill,
        BillKind::Supplement,
        BillKind::Correction,
        BillKind::Credit,
    ];

    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            BillKind::Bill => "bill",
            BillKind::Supplement => "supplement",
            BillKind::Correction => "correction",
            BillKind::Credit => "credit",
        }
    }

    /// Whether it changes what was billed.
    #[must_use]
    pub fn bills(self) -> bool {
        self != BillKind::Credit
    }
}

/// What a row of the bill ledger is made of: its parts sum to its amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BillParts {
    /// By group, in [`Group::ALL`] order.
    pub groups: [Money; 6],
    /// What the payer did not approve, at most zero on a first bill.
    pub not_approved: Money,
    /// What the other debtor pays of these parts, so that it is not billed here.
    pub other_part: Money,
    /// At most zero: in a credit, alone there, what is granted; in a bill what of
    /// an earlier credit is set off, so that it needs no paying.
    pub credit: Money,
}

impl BillParts {
    /// What is to be paid: the sum of all.
    #[must_use]
    pub fn amount(&self) -> Money {
        self.billed() + self.credit
    }

    /// What is billed, however it is paid.
    #[must_use]
    pub fn billed(&self) -> Money {
        let groups: Money = self.groups.into_iter().sum();
        groups + self.not_approved + self.other_part
    }

    /// Adds other parts.
    pub fn join(&mut self, other: &BillParts) {
        for (sum, more) in self.groups.iter_mut().zip(other.groups) {
            *sum += more;
        }
        self.not_approved += other.not_approved;
        self.other_part += other.other_part;
        self.credit += other.credit;
    }

    /// What these have more than others.
    #[must_use]
    pub fn less(&self, other: &BillParts) -> BillParts {
        let mut left = *self;
        for (sum, less) in left.groups.iter_mut().zip(other.groups) {
            *sum = *sum - less;
        }
        left.not_approved = left.not_approved - other.not_approved;
        left.other_part = left.other_part - other.other_part;
        left.credit = left.credit - other.credit;
        left
    }
}

/// A bill's number: letters in front, and figures that go up by one.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct BillNumber {
    /// As it is printed.
    pub text: String,
    /// Its figures.
    pub serial: u64,
}

/// One row of the bill ledger: one car on one numbered bill.
#[derive(Debug, Clone)]
pub struct BillRow {
    /// The bill's number.
    pub number: BillNumber,
    /// The bill's day.
    pub date: Date,
    /// By when it is to be paid.
    pub due: Date,
    /// What it is.
    pub kind: BillKind,
    /// Who is billed: a payer's name, or the owner's word.
    pub to: String,
    /// The car's stock.
    pub stock: Arc<str>,
    /// What it is for, where it has a name: a supplement's.
    pub of: String,
    /// What the amount is made of.
    pub parts: BillParts,
    /// The tax on each group, all taxes together, in [`Group::ALL`] order.
    pub tax_rates: [Percent; 6],
    /// Where the row stands; none where it was only just made.
    pub source: Option<Provenance>,
}

impl BillRow {
    /// Who of a car's debtors is billed.
    #[must_use]
    pub fn debtor(&self) -> Debtor {
        if self.to == Debtor::OWNER {
            Debtor::Owner
        } else {
            Debtor::Payer
        }
    }
}

/// The three books together, each in its own order.
#[derive(Debug, Clone, Default)]
pub struct BillingLog {
    /// Decisions, in file order.
    pub decisions: Vec<Decision>,
    /// Receipts, in file order.
    pub receipts: Vec<Receipt>,
    /// The bill ledger, in its order.
    pub bills: Vec<BillRow>,
    /// Whether there is anything to tell of: a decision, a receipt or a bill.
    pub is_kept: bool,
}

//! What one person is told: period by period, with what is carried over.

use super::entry::Entry;
use super::period::Period;
use super::terms::PayPeriod;
use crate::money::Money;

/// One period of a statement.
#[derive(Debug, Clone)]
pub struct StatementPeriod {
    /// Which.
    pub period: Period,
    /// The balance from before.
    pub carried: Money,
    /// Its entries, by kind, then date, then lot and panel order.
    pub entries: Vec<Entry>,
    /// The balance after it. Below zero it is carried, never claimed.
    pub balance: Money,
}

/// Everything of one person.
#[derive(Debug, Clone)]
pub struct Statement {
    /// Index into the crew list.
    pub person: usize,
    /// The periods that have an entry, in order.
    pub periods: Vec<StatementPeriod>,
}

impl Statement {
    /// The statement of a person's entries, which come in the order of the log
    /// and the ledger.
    #[must_use]
    pub fn of(person: usize, mut entries: Vec<Entry>, by: PayPeriod) -> Statement {
        entries.sort_by_key(|entry| {
            let place = match entry.kind.rank() {
                // Hours in the order of the log, the ledger in its own.
                1 => (Some(entry.date), None, None),
                9.. => (None, None, None),
                _ => (
                    Some(entry.date),
                    entry.car,
                    entry.panel.map(|panel| panel.index()),
                ),
            };
            // Removal stands behind a car's panels.
            let panel = place.2.unwrap_or(usize::MAX);
            (
                Period::of(entry.date, by),
                entry.kind.rank(),
                place.0,
                place.1,
                panel,
            )
        });
        let mut periods: Vec<StatementPeriod> = Vec::new();
        let mut balance = Money::ZERO;
        for entry in entries {
            let period = Period::of(entry.date, by);
            if periods.last().is_none_or(|last| last.period != period) {
                periods.push(StatementPeriod {
                    period,
                    carried: balance,
                    entries: Vec::new(),
                    balance,
                });
            }
            balance += entry.amount;
            if let Some(last) = periods.last_mut() {
                last.balance = balance;
                last.entries.push(entry);
            }
        }
        Statement { person, periods }
    }

    /// One period of it: what was carried into it, what came, what is left.
    /// Where nothing came, the balance is what was carried.
    #[must_use]
    pub fn of_period(&self, period: Period) -> Statement {
        let own = self.periods.iter().find(|known| known.period == period);
        let carried = self
            .periods
            .iter()
            .rev()
            .find(|known| known.period < period)
            .map_or(Money::ZERO, |before| before.balance);
        let quiet = || StatementPeriod {
            period,
            carried,
            entries: Vec::new(),
            balance: carried,
        };
        Statement {
            person: self.person,
            periods: vec![own.cloned().unwrap_or_else(quiet)],
        }
    }

    /// What is owed to the person after all periods; below zero what is carried.
    #[must_use]
    pub fn balance(&self) -> Money {
        self.periods.last().map_or(Money::ZERO, |last| last.balance)
    }

    /// All entries.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.periods.iter().flat_map(|period| &period.entries)
    }

    /// What the person has to get beside what settles it.
    #[must_use]
    pub fn income(&self) -> Money {
        self.entries()
            .filter(|entry| !entry.kind.settles())
            .map(|entry| entry.amount)
            .sum()
    }
}

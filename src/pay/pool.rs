//! One pool among the people: parts, percentages, and what is done again.

use super::apportion::apportion;
use super::claims::{Claim, ClaimFault, claims};
use super::entry::{Entry, EntryKind, EntryTrade, Rate, Remark};
use super::terms::RedoFrom;
use crate::intake::Finding;
use crate::intake::Severity;
use crate::money::{Currency, Money, Percent, Rounding, RoundingRule};
use crate::storm::{CrewLog, Panel, WorkRow};
use jiff::civil::Date;
use num_bigint::{BigInt, BigUint};
use num_integer::Integer;
use num_rational::BigRational;
use num_traits::{One, Signed, Zero};
use std::sync::Arc;

/// What a pool is split by.
#[derive(Clone, Copy)]
pub struct PoolRules<'a> {
    /// The people and what they did.
    pub log: &'a CrewLog,
    /// Who bears a redo.
    pub redo: RedoFrom,
    /// The currency.
    pub currency: Currency,
}

/// One pool and the rows that speak of it, as indices into the work log.
pub struct Pool<'a> {
    /// The car.
    pub car: usize,
    /// Its stock.
    pub stock: &'a Arc<str>,
    /// The panel; `None` is the car's removal.
    pub panel: Option<Panel>,
    /// How much there is.
    pub amount: Money,
    /// Some line of it waits for a quote.
    pub waits: bool,
    /// Rows that name it, redo rows aside, in log order.
    pub named: Vec<usize>,
    /// Rows of the whole car that stand behind them.
    pub behind: Vec<usize>,
}

/// A pool after its people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PoolSplit {
    /// The panel; `None` is the car's removal.
    pub panel: Option<Panel>,
    /// How much there was.
    pub amount: Money,
    /// What no finished work stands against.
    pub unearned: Money,
    /// When the rest was earned.
    pub earned: Option<Date>,
    /// Whether any row of the log is about it.
    pub logged: bool,
}

/// A pool whose people are known, before anything is done again.
pub struct OpenPool<'a> {
    rules: PoolRules<'a>,
    pool: Pool<'a>,
    holders: Vec<Holder>,
    open: BigRational,
    /// Who has a part of it, earned or not.
    claimed_by: Vec<usize>,
    /// Whether its rows contradict each other: then nothing can be said of it.
    pub faulty: bool,
    /// When it was earned; `None` when it is not.
    pub earned: Option<Date>,
}

/// What a person holds of a pool.
struct Holder {
    person: usize,
    fraction: BigRational,
    part: Money,
    amount: Money,
}

impl<'a> OpenPool<'a> {
    /// Shares a pool among those who worked on it.
    pub fn share(
        rules: PoolRules<'a>,
        pool: Pool<'a>,
        entries: &mut Vec<Entry>,
        findings: &mut Vec<Finding>,
    ) -> OpenPool<'a> {
        let mut open = OpenPool {
            rules,
            pool,
            holders: Vec::new(),
            open: BigRational::one(),
            claimed_by: Vec::new(),
            faulty: false,
            earned: None,
        };
        let log = &rules.log.work;
        let claims = match claims(log, &open.pool.named, &open.pool.behind) {
            Ok((claims, came)) => {
                // Rows that get nothing of a pool decide nothing of it either.
                if !came {
                    open.pool.behind.clear();
                }
                claims
            }
            Err(fault) => {
                findings.push(open.fault(fault));
                open.faulty = true;
                return open;
            }
        };
        let last = open
            .pool
            .named
            .iter()
            .chain(&open.pool.behind)
            .max_by_key(|at| (log[**at].date, **at));
        open.earned = last.filter(|at| log[**at].done).map(|at| log[*at].date);
        for claim in &claims {
            open.open -= &claim.fraction;
        }
        open.claimed_by = claims
            .iter()
            .filter(|claim| !claim.fraction.is_zero())
            .map(|claim| claim.person)
            .collect();
        open.nearly_whole(last.copied(), findings);
        open.nothing_left(&claims, findings);
        if let Some(day) = open.earned {
            open.holders = claims
                .into_iter()
                .map(|claim| Holder {
                    person: claim.person,
                    fraction: claim.fraction,
                    part: Money::ZERO,
                    amount: Money::ZERO,
                })
                .collect();
            open.reckon_parts();
            for holder in &open.holders {
                let mut entry = open.entry(holder.person, day, EntryKind::Work, holder.amount);
                entry.part = Some(holder.part);
                entries.push(entry);
            }
        }
        open
    }

    /// Work done again, row by row in order of date and log.
    pub fn redo(&mut self, row: &WorkRow, entries: &mut Vec<Entry>) {
        let part = row.part.clone().unwrap_or_else(BigRational::one);
        match self.rules.redo {
            RedoFrom::Charge => self.charge(row, &part, entries),
            RedoFrom::House => self.paid_by_house(row, &part, entries),
        }
    }

    /// Every holder's fraction shrinks, the redoer's grows by the sum; the
    /// differences are dated on the redo.
    fn charge(&mut self, row: &WorkRow, part: &BigRational, entries: &mut Vec<Entry>) {
        let held: BigRational = self.holders.iter().map(|holder| &holder.fraction).sum();
        for holder in &mut self.holders {
            holder.fraction *= BigRational::one() - part;
        }
        let again = held * part;
        let at = self
            .holders
            .partition_point(|holder| holder.person < row.person);
        match self.holders.get_mut(at) {
            Some(holder) if holder.person == row.person => holder.fraction += again,
            _ => self.holders.insert(
                at,
                Holder {
                    person: row.person,
                    fraction: again,
                    part: Money::ZERO,
                    amount: Money::ZERO,
                },
            ),
        }
        let before: Vec<(Money, Money)> = self
            .holders
            .iter()
            .map(|holder| (holder.part, holder.amount))
            .collect();
        self.reckon_parts();
        for (holder, (part, amount)) in self.holders.iter().zip(before) {
            // Who is paid by time holds parts too, and nothing changes for him.
            if holder.amount == amount {
                continue;
            }
            let redoer = holder.person == row.person;
            let kind = if redoer {
                EntryKind::Redo
            } else {
                EntryKind::RedoCharge
            };
            let mut entry = self.entry(holder.person, row.date, kind, holder.amount - amount);
            entry.part = Some(holder.part - part);
            if !redoer {
                entry.remark = Remark::DoneAgainBy(row.person);
            }
            entries.push(entry);
        }
    }

    /// The first people keep all; the house pays who did it again, unless it
    /// was one of them: nobody gains by his own work.
    fn paid_by_house(&self, row: &WorkRow, part: &BigRational, entries: &mut Vec<Entry>) {
        if self
            .holders
            .iter()
            .any(|holder| holder.person == row.person && !holder.fraction.is_zero())
        {
            return;
        }
        let theirs: Money = self.holders.iter().map(|holder| holder.part).sum();
        let rounding = self.rounding();
        let again = rounding.part_of(theirs, part);
        if again.is_zero() {
            return;
        }
        let percent = self.percent(row.person);
        let amount = rounding.money(again.exact().percent(percent));
        let mut entry = self.entry(row.person, row.date, EntryKind::Redo, amount);
        entry.part = Some(again);
        entry.remark = Remark::OutOfHouse;
        entries.push(entry);
    }

    /// The pool after its people.
    #[must_use]
    pub fn close(self) -> PoolSplit {
        let held: Money = self.holders.iter().map(|holder| holder.part).sum();
        PoolSplit {
            panel: self.pool.panel,
            amount: self.pool.amount,
            unearned: self.pool.amount - held,
            earned: self.earned,
            logged: !(self.pool.named.is_empty() && self.pool.behind.is_empty()),
        }
    }

    /// The panel; `None` is the car's removal.
    #[must_use]
    pub fn panel(&self) -> Option<Panel> {
        self.pool.panel
    }

    /// Whether a person has a part of it, earned or not.
    #[must_use]
    pub fn is_claimed_by(&self, person: usize) -> bool {
        self.claimed_by.contains(&person)
    }

    /// The pool over the people in crew order, the open part last.
    fn reckon_parts(&mut self) {
        let fractions: Vec<&BigRational> = self
            .holders
            .iter()
            .map(|holder| &holder.fraction)
            .chain(std::iter::once(&self.open))
            .collect();
        let currency = self.rules.currency;
        let parts =
            apportion(self.pool.amount, &whole_weights(&fractions), currency).unwrap_or_default();
        let rounding = self.rounding();
        for at in 0..self.holders.len() {
            let part = parts.get(at).copied().unwrap_or(Money::ZERO);
            let percent = self.percent(self.holders[at].person);
            self.holders[at].part = part;
            self.holders[at].amount = rounding.money(part.exact().percent(percent));
        }
    }

    fn rounding(&self) -> Rounding {
        Rounding {
            rule: RoundingRule::HalfUp,
            currency: self.rules.currency,
        }
    }

    fn percent(&self, person: usize) -> Percent {
        self.rules.log.people[person]
            .pay
            .percent
            .unwrap_or_default()
    }

    fn entry(&self, person: usize, date: Date, kind: EntryKind, amount: Money) -> Entry {
        Entry {
            car: Some(self.pool.car),
            stock: Some(Arc::clone(self.pool.stock)),
            panel: self.pool.panel,
            trade: Some(match self.pool.panel {
                Some(_) => EntryTrade::Dents,
                None => EntryTrade::Removal,
            }),
            pool: Some(self.pool.amount),
            rate: Some(Rate::Percent(self.percent(person))),
            remark: if self.pool.waits {
                Remark::WaitsForQuote
            } else {
                Remark::None
            },
            ..Entry::new(person, date, kind, amount)
        }
    }

    fn finding(&self, severity: Severity, at: usize, column: &'static str) -> Finding {
        let row = &self.rules.log.work[at];
        Finding {
            severity,
            source: row.source,
            column,
            found: row.part.as_ref().map_or(String::new(), part_text),
            expected: String::new(),
            meant: None,
            stock: Some(self.pool.stock.to_string()),
        }
    }

    fn what(&self) -> &'static str {
        self.pool.panel.map_or("removal", Panel::word)
    }

    fn fault(&self, fault: ClaimFault) -> Finding {
        match fault {
            ClaimFault::HoursMissing(at) => Finding {
                found: String::new(),
                expected: format!(
                    "hours on every row of the {} that has no part, or on none",
                    self.what()
                ),
                ..self.finding(Severity::Error, at, "hours")
            },
            ClaimFault::PartsOverWhole(at) => Finding {
                expected: format!(
                    "parts of the {} that are at most 100 % together",
                    self.what()
                ),
                ..self.finding(Severity::Error, at, "part")
            },
        }
    }

    /// Three times 33.3 % was meant to be the whole.
    fn nearly_whole(&self, last: Option<usize>, findings: &mut Vec<Finding>) {
        let hundredth = BigRational::new(BigInt::one(), BigInt::from(100));
        if let Some(at) = last
            && self.open.is_positive()
            && self.open < hundredth
        {
            findings.push(Finding {
                expected: format!(
                    "parts of the {} that are the whole: a little of it stays not yet earned",
                    self.what()
                ),
                meant: Some("a fraction such as 1/3".to_owned()),
                ..self.finding(Severity::Caution, at, "part")
            });
        }
    }

    /// Who works for a percentage of nothing.
    fn nothing_left(&self, claims: &[Claim], findings: &mut Vec<Finding>) {
        for claim in claims {
            let for_nothing = claim.named && claim.fraction.is_zero();
            if !for_nothing || self.percent(claim.person).is_zero() {
                continue;
            }
            let log = &self.rules.log.work;
            // Who wrote 0 % himself meant it.
            let mut rows = self.pool.named.iter();
            let own = rows.find(|at| log[**at].person == claim.person && log[**at].part.is_none());
            if let Some(&at) = own {
                findings.push(Finding {
                    found: self.rules.log.people[claim.person].name.clone(),
                    expected: format!(
                        "something left of the {}: others have all of it",
                        self.what()
                    ),
                    ..self.finding(Severity::Caution, at, "person")
                });
            }
        }
    }
}

/// A part as people write it: a percentage where it is one, else a fraction.
fn part_text(part: &BigRational) -> String {
    let percent = part * BigRational::from(BigInt::from(100));
    if percent.is_integer() {
        return format!("{percent}%");
    }
    let tenths = &percent * BigRational::from(BigInt::from(10));
    if tenths.is_integer() {
        let (whole, tenth) = tenths.to_integer().div_rem(&BigInt::from(10));
        return format!("{whole}.{tenth}%");
    }
    part.to_string()
}

/// Fractions as whole numbers in the same proportion.
fn whole_weights(fractions: &[&BigRational]) -> Vec<BigUint> {
    let common = fractions.iter().fold(BigInt::one(), |common, fraction| {
        common.lcm(fraction.denom())
    });
    fractions
        .iter()
        .map(|fraction| {
            let weight = fraction.numer() * (&common / fraction.denom());
            weight.to_biguint().unwrap_or_default()
        })
        .collect()
}

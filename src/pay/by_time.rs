//! Pay by the hour, the car and the day; what a guarantee adds; the ledger;
//! the half-time premium. All of it the house pays.

use super::entry::{Entry, EntryKind, EntryTrade, Rate, Remark};
use super::period::{Period, monday};
use super::terms::PayTerms;
use crate::intake::Finding;
use crate::intake::Severity;
use crate::money::{Currency, Exact, Money, Rounding, RoundingRule};
use crate::storm::{CrewLog, PaidRow, Trade, WorkRow};
use jiff::civil::Date;
use num_bigint::BigInt;
use num_rational::BigRational;
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

/// Hours of a week from which the premium runs (29 USC 207(a), 29 CFR 778.111).
pub const WEEK_HOURS: i64 = 40;

/// Makes the entries that the log and the ledger give by themselves.
pub struct ByTime<'a> {
    /// The people, the log and the ledger.
    pub log: &'a CrewLog,
    /// The terms.
    pub terms: &'a PayTerms,
    /// The currency.
    pub currency: Currency,
    /// The place of every priced car, by stock.
    pub cars: &'a HashMap<&'a str, usize>,
}

impl ByTime<'_> {
    fn rounding(&self) -> Rounding {
        Rounding {
            rule: RoundingRule::HalfUp,
            currency: self.currency,
        }
    }

    /// The car and stock of a row; a car that was left out has no place.
    fn of_car(&self, row: &WorkRow, mut entry: Entry) -> Entry {
        if let Some(stock) = row.stock.as_ref().filter(|_| row.trade != Trade::Other) {
            entry.car = self.cars.get(stock.as_ref()).copied();
            entry.stock = Some(Arc::clone(stock));
            if entry.car.is_none() {
                entry.remark = Remark::LeftOut;
            }
        }
        entry
    }

    /// Hours at a rate, row by row in order of date and log.
    pub fn hours(&self, findings: &mut Vec<Finding>) -> Vec<Entry> {
        let mut entries = Vec::new();
        for row in &self.log.work {
            let person = &self.log.people[row.person];
            let Some(rate) = person.pay.per_hour else {
                continue;
            };
            let Some(hours) = row.hours else {
                let expected = format!(
                    "hours: {} is paid {}",
                    person.name,
                    Rate::Hour(rate).text(self.currency)
                );
                findings.push(missing_hours(row, expected));
                continue;
            };
            let amount = self.rounding().money(Exact::from(hours).times(rate));
            let mut entry = Entry::new(row.person, row.date, EntryKind::Hours, amount);
            entry.panel = row.panel;
            entry.trade = Some(EntryTrade::Logged(row.trade));
            entry.hours = Some(hours);
            entry.rate = Some(Rate::Hour(rate));
            entries.push(self.of_car(row, entry));
        }
        entries
    }

    /// Once for every car that a person worked on, on the first day there.
    pub fn cars(&self) -> Vec<Entry> {
        let mut first: HashMap<(usize, &str), &WorkRow> = HashMap::new();
        let mut order: Vec<(usize, &str)> = Vec::new();
        for row in &self.log.work {
            let paid = self.log.people[row.person].pay.per_car.is_some();
            let Some(stock) = row.stock.as_deref() else {
                continue;
            };
            if !paid || row.trade == Trade::Other {
                continue;
            }
            let known = first.entry((row.person, stock)).or_insert_with(|| {
                order.push((row.person, stock));
                row
            });
            if row.date < known.date {
                *known = row;
            }
        }
        let entry = |key: (usize, &str)| {
            let row = first[&key];
            let rate = self.log.people[row.person].pay.per_car.unwrap_or_default();
            let mut entry = Entry::new(row.person, row.date, EntryKind::Car, rate);
            entry.rate = Some(Rate::Car(rate));
            self.of_car(row, entry)
        };
        order.into_iter().map(entry).collect()
    }

    /// Once for every day on which a person has a row.
    pub fn days(&self) -> Vec<Entry> {
        let mut seen: HashSet<(usize, Date)> = HashSet::new();
        let mut entries = Vec::new();
        for row in &self.log.work {
            if let Some(rate) = self.log.people[row.person].pay.per_day
                && seen.insert((row.person, row.date))
            {
                let mut entry = Entry::new(row.person, row.date, EntryKind::Day, rate);
                entry.rate = Some(Rate::Day(rate));
                entries.push(entry);
            }
        }
        entries
    }

    /// What is lacking to the least of the days worked, period by period.
    pub fn guarantees(&self, earned: &[Entry]) -> Vec<Entry> {
        let mut days: BTreeMap<(usize, Period), BTreeSet<Date>> = BTreeMap::new();
        for row in &self.log.work {
            if self.log.people[row.person].guarantee.is_some() {
                let period = Period::of(row.date, self.terms.period);
                days.entry((row.person, period))
                    .or_default()
                    .insert(row.date);
            }
        }
        let mut sums: HashMap<(usize, Period), Money> = HashMap::new();
        for entry in earned.iter().filter(|entry| entry.kind.is_earned()) {
            let period = Period::of(entry.date, self.terms.period);
            *sums.entry((entry.person, period)).or_default() += entry.amount;
        }
        let mut entries = Vec::new();
        for ((person, period), days) in days {
            let (Some(least), Some(last)) = (self.log.people[person].guarantee, days.last()) else {
                continue;
            };
            let earned = sums.get(&(person, period)).copied().unwrap_or_default();
            let worked = Decimal::from(days.len());
            let all = self.rounding().money(least.exact().times(worked));
            let lacking = all - earned;
            if lacking > Money::ZERO {
                let mut entry = Entry::new(person, *last, EntryKind::Guarantee, lacking);
                entry.remark = Remark::Guarantee {
                    days: u32::try_from(days.len()).unwrap_or(u32::MAX),
                    least,
                    earned,
                };
                entries.push(entry);
            }
        }
        entries
    }

    /// The rows of the ledger, signed as they change the balance.
    pub fn ledger(&self) -> Vec<Entry> {
        let entry = |row: &PaidRow| {
            let amount = if row.kind.adds() {
                row.amount
            } else {
                -row.amount
            };
            let mut entry = Entry::new(row.person, row.date, EntryKind::Paid(row.kind), amount);
            if !row.note.is_empty() {
                entry.remark = Remark::Text(Arc::from(row.note.as_str()));
            }
            entry
        };
        self.log.paid.iter().map(entry).collect()
    }

    /// The half-time premium on piece rates, for employees, by the week.
    ///
    /// With H hours logged in a week, H > 40, and P pay of that week: the
    /// regular rate is P / H, and each hour above 40 earns half of it more,
    /// P × (H − 40) / (2 H), rounded once (29 CFR 778.111(a)).
    pub fn overtime(&self, pay: &[Entry], findings: &mut Vec<Finding>) -> Vec<Entry> {
        if !self.terms.overtime {
            return Vec::new();
        }
        let mut weeks: BTreeMap<(usize, Date), (Decimal, Date)> = BTreeMap::new();
        for row in &self.log.work {
            let person = &self.log.people[row.person];
            if !person.employee {
                continue;
            }
            let Some(hours) = row.hours else {
                // Who is paid by the hour has heard of it.
                if person.pay.per_hour.is_none() {
                    let expected = format!(
                        "hours: {} is an employee, and overtime goes by hours",
                        person.name
                    );
                    findings.push(missing_hours(row, expected));
                }
                continue;
            };
            let week = weeks
                .entry((row.person, monday(row.date)))
                .or_insert((Decimal::ZERO, row.date));
            week.0 += hours;
            week.1 = week.1.max(row.date);
        }
        let mut sums: HashMap<(usize, Date), Money> = HashMap::new();
        for entry in pay.iter().filter(|entry| entry.kind.is_pay_of_week()) {
            *sums.entry((entry.person, monday(entry.date))).or_default() += entry.amount;
        }
        let full = Decimal::from(WEEK_HOURS);
        let mut entries = Vec::new();
        for ((person, week), (hours, last)) in weeks {
            let pay = sums.get(&(person, week)).copied().unwrap_or_default();
            if hours <= full || pay.is_zero() {
                continue;
            }
            let whole = |hours: Decimal| {
                BigInt::from(hours.mantissa()) * BigInt::from(10).pow(28 - hours.scale())
            };
            let half_time = BigRational::new(whole(hours - full), whole(hours) * 2);
            let amount = self.rounding().part_of(pay, &half_time);
            let mut entry = Entry::new(person, last, EntryKind::Overtime, amount);
            entry.hours = Some(hours - full);
            entry.remark = Remark::Overtime { pay, hours };
            entries.push(entry);
        }
        entries
    }
}

fn missing_hours(row: &WorkRow, expected: String) -> Finding {
    Finding {
        severity: Severity::Error,
        source: row.source,
        column: "hours",
        found: String::new(),
        expected,
        meant: None,
        stock: row.stock.as_ref().map(ToString::to_string),
    }
}

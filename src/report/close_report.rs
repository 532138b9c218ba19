//! The storm's close: what it earned, what it costs, what stays; and the hours it
//! took beside those that were estimated.

use super::bills_report::BillsReport;
use super::grid::{Grid, Kind, Value, columns};
use super::json::grid_to_json;
use super::pay_tables::HOUSE;
use crate::billing::Standing;
use crate::crew::{HoursBook, HoursSum};
use crate::money::Money;
use crate::pay::{EntryKind, PayKind, Split, SplitInput, Statement};
use crate::storm::PaidKind;
use rust_decimal::Decimal;
use serde_json::{Value as Json, json};

/// A storm's close.
#[derive(Clone, Copy)]
pub struct CloseReport<'a> {
    /// What was decided, billed and received.
    pub bills: &'a BillsReport<'a>,
    /// What the split was made of.
    pub input: SplitInput<'a>,
    /// Who gets what.
    pub split: &'a Split,
    /// Hours, where there is a time standard for all that was counted.
    pub hours: Option<&'a HoursBook>,
}

/// One amount with its name.
pub type Named = (&'static str, Money);

/// What came of the prices, step by step: each step is what is left of the one
/// above after the amounts between.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earned {
    /// What all cars were priced at, as far as it is known.
    pub priced: Money,
    /// What of it can't be billed yet, or not at all; nothing left out.
    pub not_billable: Vec<Named>,
    /// What can be billed by the payers' word.
    pub billable: Money,
    /// What was billed.
    pub billed: Money,
    /// What came in.
    pub received: Money,
}

impl Earned {
    /// What is open of bills, over-payments set off against it.
    #[must_use]
    pub fn open(&self) -> Money {
        self.billed - self.received
    }
}

impl CloseReport<'_> {
    /// From the price to what came in.
    #[must_use]
    pub fn earned(&self) -> Earned {
        let cars = &self.bills.accounts.cars;
        let of = |standing: Standing| -> Money {
            let cars = cars.iter().filter(|account| account.standing == standing);
            cars.map(|account| account.priced).sum()
        };
        let priced = cars.iter().map(|account| account.priced).sum();
        let billable = cars.iter().map(|account| account.billable).sum();
        Earned {
            priced,
            not_billable: vec![
                ("waits for the payer's word", of(Standing::Waiting)),
                ("waits for a quote", of(Standing::Quote)),
                ("refused", of(Standing::Refused)),
                (
                    "not approved on approved cars",
                    of(Standing::Approved) - billable,
                ),
            ],
            billable,
            billed: cars.iter().map(|account| account.billed()).sum(),
            received: cars.iter().map(|account| account.received()).sum(),
        }
    }

    /// What the storm costs the house, whoever of the payers pays when.
    #[must_use]
    pub fn costs(&self) -> Vec<Named> {
        let rows = &self.split.rows;
        let whole = |is_meant: fn(PayKind) -> bool| -> Money {
            let rows = rows.iter().filter(|row| is_meant(row.kind));
            rows.map(|row| row.amount).sum()
        };
        let entries = || self.split.statements.iter().flat_map(Statement::entries);
        let people = |is_meant: fn(EntryKind) -> bool| -> Money {
            let entries = entries().filter(|entry| is_meant(entry.kind));
            entries.map(|entry| entry.amount).sum()
        };
        let awaited: Money = rows
            .iter()
            .filter(|row| row.awaits && matches!(row.kind, PayKind::Person(_)))
            .map(|row| row.amount)
            .sum();
        vec![
            (
                "shares off the top",
                whole(|kind| matches!(kind, PayKind::Share(_))),
            ),
            (
                "people: percentages",
                people(|kind| kind.is_of_pool() || kind == EntryKind::CameIn) + awaited,
            ),
            (
                "people: hours, cars, days",
                people(|kind| matches!(kind, EntryKind::Hours | EntryKind::Car | EntryKind::Day)),
            ),
            (
                "people: guarantees, overtime",
                people(|kind| matches!(kind, EntryKind::Guarantee | EntryKind::Overtime)),
            ),
            (
                "bonuses",
                people(|kind| kind == EntryKind::Paid(PaidKind::Bonus)),
            ),
            (
                "lodging",
                people(|kind| kind == EntryKind::Paid(PaidKind::Lodging)),
            ),
            (
                "per diem",
                people(|kind| kind == EntryKind::Paid(PaidKind::PerDiem)),
            ),
            (
                "charge-backs, to the house",
                people(|kind| kind == EntryKind::Paid(PaidKind::ChargeBack)),
            ),
            (
                "referred panels, passed through",
                whole(|kind| kind == PayKind::Conventional),
            ),
            (
                "taxes, passed through",
                whole(|kind| matches!(kind, PayKind::Tax(_))),
            ),
            (
                "not yet earned by anyone",
                whole(|kind| kind == PayKind::Unearned),
            ),
        ]
    }

    /// What stays with the house: if all that was priced comes in, if all that can
    /// be billed does, and of what has come in. The last two leave out what nobody
    /// has earned yet: it is owed to nobody.
    #[must_use]
    pub fn stays(&self) -> [Named; 3] {
        let earned = self.earned();
        let costs: Money = self.costs().into_iter().map(|(_, amount)| amount).sum();
        let rows = self.split.rows.iter();
        let unearned: Money = rows
            .filter(|row| row.kind == PayKind::Unearned)
            .map(|row| row.amount)
            .sum();
        let due = costs - unearned;
        [
            ("of all that was priced", earned.priced - costs),
            (
                "of what can be billed, for work done",
                earned.billable - due,
            ),
            ("of what came in, for work done", earned.received - due),
        ]
    }
}

/// Hours to two places.
#[must_use]
pub fn hours_shown(hours: Decimal) -> String {
    format!("{:.2}", hours.round_dp(2))
}

/// `close.csv`: every figure of the page by its part.
#[must_use]
pub fn close_grid<'a>(report: &CloseReport<'a>) -> Grid<'a> {
    let mut rows = Vec::new();
    let mut money = |part: &'static str, key: &'static str, amount: Money| {
        let mut row = vec![Value::text(part), Value::text(key), Value::Money(amount)];
        row.resize(7, Value::Empty);
        rows.push(row);
    };
    let earned = report.earned();
    money("earned", "priced", earned.priced);
    for (what, amount) in &earned.not_billable {
        money("earned", what, -*amount);
    }
    money("earned", "can be billed", earned.billable);
    money("earned", "billed", earned.billed);
    money("earned", "received", earned.received);
    money("earned", "open", earned.open());
    for (what, amount) in report.costs() {
        money("cost", what, amount);
    }
    for (what, amount) in report.stays() {
        money(HOUSE, what, amount);
    }
    let people: &'a [crate::storm::Person] = &report.input.log.people;
    if let Some(hours) = report.hours {
        let mut sum = |part: &'static str, key: &'a str, of: &HoursSum| {
            rows.push(vec![
                Value::text(part),
                Value::text(key),
                Value::Empty,
                Value::Count(u64::from(of.tasks)),
                Value::text(hours_shown(of.estimated)),
                Value::text(hours_shown(of.logged)),
                Value::text(hours_shown(of.beside)),
            ]);
        };
        for (person, of) in people.iter().zip(&hours.people) {
            sum("person", &person.name, of);
        }
        for (kind, of) in &hours.kinds {
            sum("work", kind.word(), of);
        }
    }
    Grid {
        columns: columns(&[
            ("part", Kind::Text),
            ("key", Kind::Text),
            ("amount", Kind::Money),
            ("tasks", Kind::Count),
            ("estimated_hours", Kind::Text),
            ("logged_hours", Kind::Text),
            ("other_hours", Kind::Text),
        ]),
        rows,
    }
}

/// All of it as JSON.
#[must_use]
pub fn close_json(report: &CloseReport<'_>) -> Json {
    let storm = report.input.storm;
    json!({
        "format": 1,
        "storm": storm.name,
        "currency": storm.currency.code(),
        "on": report.bills.on.to_string(),
        "left_out": report.bills.left_out,
        "rows": grid_to_json(&close_grid(report), storm.currency),
    })
}

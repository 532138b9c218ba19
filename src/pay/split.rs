//! The storm's money among all who get of it, closed to the minor unit.

use super::by_time::ByTime;
use super::car_split::{CarInput, CarResult, CarSplit, split_car};
use super::entry::Entry;
use super::finding::Finding;
use super::pool::PoolRules;
use super::share::Share;
use super::statement::Statement;
use super::terms::PayTerms;
use crate::intake::Severity;
use crate::money::{Currency, Money};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{CrewLog, Panel, Storm, Trade};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

/// What a split is made of.
#[derive(Clone, Copy)]
pub struct SplitInput<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its rates, for the names of taxes.
    pub rates: &'a Rates,
    /// Its prices.
    pub priced: &'a PricedStorm,
    /// The terms of pay.
    pub terms: &'a PayTerms,
    /// The crew, its log and its ledger.
    pub log: &'a CrewLog,
}

/// What a row of `pay.csv` is. The order is that within a part of a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PayKind {
    /// Off the top; the index of the receiver's first share.
    Share(usize),
    /// To a person; the index in the crew list.
    Person(usize),
    /// To the house.
    House,
    /// To nobody yet.
    Unearned,
    /// To whoever does the referred panels.
    Conventional,
    /// To the tax office; the index of the tax in the payer's terms.
    Tax(usize),
}

impl PayKind {
    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            PayKind::Share(_) => "share",
            PayKind::Person(_) => "person",
            PayKind::House => "house",
            PayKind::Unearned => "unearned",
            PayKind::Conventional => "conventional",
            PayKind::Tax(_) => "tax",
        }
    }
}

/// One row of `pay.csv`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PayRow {
    /// The car; `None` is what belongs to no car.
    pub car: Option<usize>,
    /// The panel.
    pub panel: Option<Panel>,
    /// To whom.
    pub kind: PayKind,
    /// How much, never nothing.
    pub amount: Money,
}

/// Sums of a split.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SplitTotals {
    /// All that was priced.
    pub priced: Money,
    /// Off the top.
    pub shares: Money,
    /// To the people.
    pub people: Money,
    /// To the house; may be below zero.
    pub house: Money,
    /// To nobody yet.
    pub unearned: Money,
    /// Passed through for referred panels.
    pub conventional: Money,
    /// Passed through to the tax office.
    pub taxes: Money,
}

/// One share's sums.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ShareSum {
    /// What it got.
    pub amount: Money,
    /// How much of that stands on cars with something not yet earned.
    pub on_unearned: Money,
    /// Cars on which more than one minor unit was lacking, and what.
    pub short: Option<(usize, Money)>,
}

/// A storm's money among all who get of it.
#[derive(Debug, Clone)]
pub struct Split {
    /// Per car of the storm.
    pub cars: Vec<CarSplit>,
    /// Per share of the terms.
    pub shares: Vec<ShareSum>,
    /// Per person of the crew list.
    pub statements: Vec<Statement>,
    /// The rows of `pay.csv`.
    pub rows: Vec<PayRow>,
    /// The sums.
    pub totals: SplitTotals,
}

/// A split that does not close: a bug, said as one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotClosed {
    /// What is not equal.
    pub what: String,
}

/// Splits a priced storm. The findings hold errors where the log contradicts
/// itself; then the split is not to be used.
///
/// Cars are independent, so they use all cores; time and memory grow with the
/// priced panels and the rows of the log.
///
/// # Errors
/// When the parts are not the whole, which would be a bug.
pub fn split_storm(input: SplitInput<'_>) -> Result<(Split, Vec<Finding>), NotClosed> {
    let SplitInput { storm, log, .. } = input;
    let places: HashMap<&str, usize> = storm
        .cars
        .iter()
        .enumerate()
        .map(|(index, car)| (car.vehicle.stock.as_str(), index))
        .collect();
    let results = split_cars(input, &places);
    let mut findings = Vec::new();
    let (mut cars, mut entries) = (Vec::with_capacity(results.len()), Vec::new());
    for result in results {
        cars.push(result.split);
        entries.extend(result.entries);
        findings.extend(result.findings);
    }
    let by_time = ByTime {
        log,
        terms: input.terms,
        currency: storm.currency,
        cars: &places,
    };
    entries.extend(by_time.hours(&mut findings));
    entries.extend(by_time.cars());
    entries.extend(by_time.days());
    entries.extend(by_time.guarantees(&entries));
    entries.extend(by_time.ledger());
    entries.extend(by_time.overtime(&entries, &mut findings));
    findings.extend(not_begun(input, &cars));
    findings.extend(left_out(log, &places));
    findings.extend(finish_for_nothing(log));
    let split = Split::closed(input, cars, entries)?;
    Ok((split, findings))
}

fn split_cars(input: SplitInput<'_>, places: &HashMap<&str, usize>) -> Vec<CarResult> {
    let SplitInput { storm, log, .. } = input;
    let mut rows: Vec<Vec<usize>> = vec![Vec::new(); storm.cars.len()];
    for (at, row) in log.work.iter().enumerate() {
        let place = row.stock.as_deref().and_then(|stock| places.get(stock));
        if let (Some(&car), true) = (place, row.trade != Trade::Other) {
            rows[car].push(at);
        }
    }
    let rules = PoolRules {
        log,
        redo: input.terms.redo,
        currency: storm.currency,
    };
    storm
        .cars
        .par_iter()
        .zip(&input.priced.cars)
        .zip(rows)
        .enumerate()
        .map(|(index, ((car, priced), rows))| {
            let input_car = CarInput {
                index,
                car,
                priced,
                stock: Arc::from(car.vehicle.stock.as_str()),
                rows: &rows,
            };
            split_car(rules, &input.terms.shares, &input_car)
        })
        .collect()
}

/// Cars of whose work nothing is logged: most of them are still to be done, so
/// they are named together. Early in a storm that is all of them but a few.
fn not_begun(input: SplitInput<'_>, cars: &[CarSplit]) -> Option<Finding> {
    const NAMED: usize = 12;
    if !input.log.is_whole {
        return None;
    }
    let waiting: Vec<usize> = (0..cars.len())
        .filter(|car| {
            let pools = &cars[*car].pools;
            !pools.is_empty() && pools.iter().all(|pool| !pool.logged)
        })
        .collect();
    let first = &input.storm.cars[*waiting.first()?];
    let stocks: Vec<&str> = waiting
        .iter()
        .take(NAMED)
        .map(|car| input.storm.cars[*car].vehicle.stock.as_str())
        .collect();
    let more = match waiting.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(Finding {
        severity: Severity::Caution,
        source: first.panels.first()?.source,
        column: "stock",
        found: stocks.join(", ") + &more,
        expected: match waiting.len() {
            1 => "work logged on this car: nothing of it is earned yet".to_owned(),
            cars => format!("work logged on these {cars} cars: nothing of them is earned yet"),
        },
        meant: None,
        stock: None,
    })
}

/// Work on cars that were left out: listed, once a car.
fn left_out(log: &CrewLog, places: &HashMap<&str, usize>) -> Vec<Finding> {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut findings = Vec::new();
    for row in &log.work {
        let Some(stock) = row.stock.as_deref() else {
            continue;
        };
        if places.contains_key(stock) || !seen.insert(stock) {
            continue;
        }
        findings.push(Finding {
            severity: Severity::Caution,
            source: row.source,
            column: "stock",
            found: stock.to_owned(),
            expected:
                "a car that is priced: this one is left out, so work on it earns no percentage yet"
                    .to_owned(),
            meant: None,
            stock: Some(stock.to_owned()),
        });
    }
    findings
}

/// Finish earns no percentage; once a person.
fn finish_for_nothing(log: &CrewLog) -> Vec<Finding> {
    let mut seen = BTreeSet::new();
    let rows = log.work.iter().filter(|row| row.trade == Trade::Finish);
    rows.filter(|row| log.people[row.person].pay.is_percent_only() && seen.insert(row.person))
        .map(|row| Finding {
            severity: Severity::Caution,
            source: row.source,
            column: "trade",
            found: row.trade.word().to_owned(),
            expected: format!(
                "pay by hour, car or day for finish: {} is paid a percentage only, and no pool pays it",
                log.people[row.person].name
            ),
            meant: None,
            stock: row.stock.as_ref().map(ToString::to_string),
        })
        .collect()
}

impl Split {
    /// Puts the parts together; the house gets what is left of every pool, and
    /// the whole must be what was priced.
    fn closed(
        input: SplitInput<'_>,
        cars: Vec<CarSplit>,
        entries: Vec<Entry>,
    ) -> Result<Split, NotClosed> {
        let rows = pay_rows(&receivers(&input.terms.shares), &cars, &entries);
        let mut totals = SplitTotals {
            priced: input.priced.cars.iter().map(|car| car.total().known).sum(),
            ..SplitTotals::default()
        };
        for row in &rows {
            let sum = match row.kind {
                PayKind::Share(_) => &mut totals.shares,
                PayKind::Person(_) => &mut totals.people,
                PayKind::House => &mut totals.house,
                PayKind::Unearned => &mut totals.unearned,
                PayKind::Conventional => &mut totals.conventional,
                PayKind::Tax(_) => &mut totals.taxes,
            };
            *sum += row.amount;
        }
        let shares = share_sums(input.terms.shares.len(), &cars, input.storm.currency);
        let mut by_person: Vec<Vec<Entry>> = vec![Vec::new(); input.log.people.len()];
        for entry in entries {
            by_person[entry.person].push(entry);
        }
        let statements: Vec<Statement> = by_person
            .into_par_iter()
            .enumerate()
            .map(|(person, entries)| Statement::of(person, entries, input.terms.period))
            .collect();
        let split = Split {
            cars,
            shares,
            statements,
            rows,
            totals,
        };
        split.check(input)?;
        Ok(split)
    }

    /// Every car's parts are its priced total, and so are the storm's; what the
    /// statements say is what the rows say.
    fn check(&self, input: SplitInput<'_>) -> Result<(), NotClosed> {
        let mut of_car = vec![Money::ZERO; self.cars.len()];
        let mut of_none = Money::ZERO;
        for row in &self.rows {
            match row.car {
                Some(car) => of_car[car] += row.amount,
                None => of_none += row.amount,
            }
        }
        let not_closed = |what: String| Err(NotClosed { what });
        for (car, (sum, priced)) in of_car.iter().zip(&input.priced.cars).enumerate() {
            if *sum != priced.total().known {
                let stock = &input.storm.cars[car].vehicle.stock;
                return not_closed(format!("the parts of car {stock} are not its total"));
            }
        }
        if of_none != Money::ZERO {
            return not_closed("what belongs to no car is not nothing in all".to_owned());
        }
        let income: Money = self.statements.iter().map(Statement::income).sum();
        if income != self.totals.people {
            return not_closed("the statements are not the people's rows".to_owned());
        }
        Ok(())
    }
}

fn share_sums(shares: usize, cars: &[CarSplit], currency: Currency) -> Vec<ShareSum> {
    let mut sums = vec![ShareSum::default(); shares];
    let one = Money::from_minor_units(1, currency);
    for car in cars {
        let waits = car.unearned() != Money::ZERO;
        for (sum, taken) in sums.iter_mut().zip(&car.top.shares) {
            sum.amount += taken.amount;
            if waits {
                sum.on_unearned += taken.amount;
            }
            if taken.short > one {
                let (cars, short) = sum.short.unwrap_or_default();
                sum.short = Some((cars + 1, short + taken.short));
            }
        }
    }
    sums
}

/// For every share the first one of the same receiver: a receiver has one row a car.
fn receivers(shares: &[Share]) -> Vec<usize> {
    let first = |share: &Share| shares.iter().position(|other| other.to == share.to);
    shares
        .iter()
        .map(|share| first(share).unwrap_or(0))
        .collect()
}

/// The rows of `pay.csv` in its order, none of them nothing.
fn pay_rows(receivers: &[usize], cars: &[CarSplit], entries: &[Entry]) -> Vec<PayRow> {
    // The people's sums by car, then panel (removal and the car as such last), then person.
    let mut people: BTreeMap<(usize, Option<Panel>, usize), Money> = BTreeMap::new();
    let mut of_none: BTreeMap<usize, Money> = BTreeMap::new();
    for entry in entries.iter().filter(|entry| !entry.kind.settles()) {
        match entry.car {
            Some(car) => {
                *people.entry((car, entry.panel, entry.person)).or_default() += entry.amount;
            }
            None => *of_none.entry(entry.person).or_default() += entry.amount,
        }
    }
    let mut rows = Vec::new();
    for (index, car) in cars.iter().enumerate() {
        let of_car = |panel: Option<Panel>| {
            people
                .range((index, panel, 0)..=(index, panel, usize::MAX))
                .map(|((_, _, person), amount)| (*person, *amount))
        };
        let mut push = |panel, kind, amount: Money| {
            if !amount.is_zero() {
                rows.push(PayRow {
                    car: Some(index),
                    panel,
                    kind,
                    amount,
                });
            }
        };
        for (share, _) in receivers.iter().enumerate().filter(|(at, to)| at == *to) {
            let taken = receivers.iter().zip(&car.top.shares);
            let amount = taken
                .filter(|(to, _)| **to == share)
                .map(|(_, taken)| taken.amount);
            push(None, PayKind::Share(share), amount.sum());
        }
        let panels: BTreeSet<Panel> = people
            .range((index, None, 0)..(index + 1, None, 0))
            .filter_map(|((_, panel, _), _)| *panel)
            .chain(car.pools.iter().filter_map(|pool| pool.panel))
            .collect();
        // The panels in their order, then what belongs to none of them.
        for panel in panels.into_iter().map(Some).chain([None]) {
            let pool = car.pool(panel);
            let mut left = match (pool, panel) {
                (Some(pool), Some(_)) => pool.amount,
                (None, Some(_)) => Money::ZERO,
                (_, None) => car.top.removal + car.top.house,
            };
            for (person, amount) in of_car(panel) {
                push(panel, PayKind::Person(person), amount);
                left = left - amount;
            }
            let unearned = pool.map_or(Money::ZERO, |pool| pool.unearned);
            push(panel, PayKind::House, left - unearned);
            push(panel, PayKind::Unearned, unearned);
        }
        push(None, PayKind::Conventional, car.top.conventional);
        for (tax, amount) in &car.top.taxes {
            push(None, PayKind::Tax(*tax), *amount);
        }
    }
    let mut house = Money::ZERO;
    for (person, amount) in of_none {
        house = house - amount;
        if !amount.is_zero() {
            rows.push(PayRow {
                car: None,
                panel: None,
                kind: PayKind::Person(person),
                amount,
            });
        }
    }
    if !house.is_zero() {
        rows.push(PayRow {
            car: None,
            panel: None,
            kind: PayKind::House,
            amount: house,
        });
    }
    rows
}

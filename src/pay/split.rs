//! The storm's money among all who get of it, closed to the minor unit.

use super::by_time::ByTime;
use super::car_split::{CarInput, CarResult, CarSplit, split_car};
use super::entry::Entry;
use super::omissions::{finish_for_nothing, left_out, not_begun};
use super::payable::{Awaiting, CameIn};
use super::pool::PoolRules;
use super::rows::{PayKind, PayRow, pay_rows, receivers};
use super::statement::Statement;
use super::terms::{PayTerms, PayableOn};
use crate::intake::Finding;
use crate::intake::Severity;
use crate::money::{Currency, Money};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{CrewLog, Storm, Trade};
use rayon::prelude::*;
use std::collections::{HashMap, HashSet};
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
    /// What came in for the cars; only looked at where pay goes by it.
    pub came_in: &'a [CameIn],
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
    /// Not come in yet, where pay goes by what came in.
    pub awaiting: Money,
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
    /// What came in and what is awaited, where pay goes by it.
    pub awaiting: Option<Awaiting>,
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
    let mut of_cars = Vec::new();
    let (mut cars, mut entries) = (Vec::with_capacity(results.len()), Vec::new());
    for result in results {
        cars.push(result.split);
        entries.extend(result.entries);
        of_cars.extend(result.findings);
    }
    let by_time = ByTime {
        log,
        terms: input.terms,
        currency: storm.currency,
        cars: &places,
    };
    let mut findings = Vec::new();
    entries.extend(by_time.hours(&mut findings));
    entries.extend(by_time.cars());
    entries.extend(by_time.days());
    entries.extend(by_time.guarantees(&entries));
    entries.extend(by_time.ledger());
    entries.extend(by_time.overtime(&entries, &mut findings));
    findings.extend(of_cars);
    findings.extend(not_begun(input, &cars));
    findings.extend(left_out(log, &places));
    findings.extend(finish_for_nothing(log));
    once(&mut findings);
    let split = Split::closed(input, cars, entries)?;
    Ok((split, findings))
}

/// A cell has one error, though a whole car's row may come to many pools.
fn once(findings: &mut Vec<Finding>) {
    let mut seen = HashSet::new();
    findings.retain(|finding| {
        finding.severity != Severity::Error || seen.insert((finding.source, finding.column))
    });
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

impl Split {
    /// Puts the parts together; the house gets what is left of every pool, and
    /// the whole must be what was priced.
    fn closed(
        input: SplitInput<'_>,
        cars: Vec<CarSplit>,
        entries: Vec<Entry>,
    ) -> Result<Split, NotClosed> {
        let mut awaiting = (input.terms.on == PayableOn::Received)
            .then(|| Awaiting::new(input.priced, input.came_in, input.storm.currency));
        let payable = match &mut awaiting {
            Some(awaiting) => awaiting.entries(&entries),
            None => entries.clone(),
        };
        let receivers = receivers(&input.terms.shares);
        let rows = pay_rows(&receivers, &cars, &entries, awaiting.as_ref());
        let mut totals = SplitTotals {
            priced: input.priced.cars.iter().map(|car| car.total().known).sum(),
            ..SplitTotals::default()
        };
        for row in &rows {
            let sum = match row.kind {
                _ if row.awaits => &mut totals.awaiting,
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
        for entry in payable {
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
            awaiting,
        };
        split.check(input)?;
        Ok(split)
    }

    /// Every car's parts are its priced total, and so are the storm's; what the
    /// statements say is what the rows say.
    fn check(&self, input: SplitInput<'_>) -> Result<(), NotClosed> {
        let mut of_car = vec![Money::ZERO; self.cars.len()];
        let mut awaited = vec![Money::ZERO; self.cars.len()];
        let mut of_none = Money::ZERO;
        for row in &self.rows {
            match row.car {
                Some(car) => {
                    of_car[car] += row.amount;
                    if row.awaits {
                        awaited[car] += row.amount;
                    }
                }
                None => of_none += row.amount,
            }
        }
        let not_closed = |what: String| Err(NotClosed { what });
        for (car, (sum, priced)) in of_car.iter().zip(&input.priced.cars).enumerate() {
            if *sum != priced.total().known {
                let stock = &input.storm.cars[car].vehicle.stock;
                return not_closed(format!("the parts of car {stock} are not its total"));
            }
            if let Some(awaiting) = &self.awaiting
                && awaited[car] != *sum - awaiting.came_in(car).min(*sum)
            {
                let stock = &input.storm.cars[car].vehicle.stock;
                return not_closed(format!("what car {stock} awaits is not what it lacks"));
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

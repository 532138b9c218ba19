//! What is to be billed, as rows of the ledger; and bills of such rows.

use super::account::{Accounts, AccountsInput, DebtorAccount, Standing};
use super::terms::BilledTogether;
use crate::money::{Money, Percent};
use crate::rates::Terms;
use crate::storm::{
    BillKind, BillNumber, BillParts, BillRow, BillingLog, Debtor, Group, Subject, words,
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::sync::Arc;

/// What is asked to be billed.
pub struct IssueRequest<'a> {
    /// The day of the bills.
    pub date: Date,
    /// What stands together on one.
    pub per: BilledTogether,
    /// Only these cars, by their place in the storm.
    pub only: Option<&'a BTreeSet<usize>>,
}

/// One numbered bill.
#[derive(Debug, Clone)]
pub struct Bill<'a> {
    /// Its rows, one a car.
    pub rows: Vec<&'a BillRow>,
}

impl<'a> Bill<'a> {
    /// The first row: what all rows of a bill share stands there too.
    #[must_use]
    pub fn head(&self) -> &'a BillRow {
        self.rows[0]
    }

    /// All parts together.
    #[must_use]
    pub fn parts(&self) -> BillParts {
        let mut sum = BillParts::default();
        for row in &self.rows {
            sum.join(&row.parts);
        }
        sum
    }

    /// What is to be paid; below zero what is taken off or owed back.
    #[must_use]
    pub fn amount(&self) -> Money {
        self.parts().amount()
    }
}

/// The bills of a ledger, in its order.
#[must_use]
pub fn bills_of(rows: &[BillRow]) -> Vec<Bill<'_>> {
    rows.chunk_by(|above, row| above.number == row.number)
        .map(|rows| Bill {
            rows: rows.iter().collect(),
        })
        .collect()
}

/// What stands on one bill: who is billed, what kind, and by the car which.
type Together = (usize, BillKind, Option<usize>);

/// The rows that bill what is not billed yet, behind those of the ledger. Numbers
/// go on from its last.
#[must_use]
pub fn to_issue(
    input: AccountsInput<'_>,
    accounts: &Accounts<'_>,
    request: &IssueRequest<'_>,
) -> Vec<BillRow> {
    let payers = input.storm.payers.len();
    let moved = moved(input);
    let mut together: BTreeMap<(Option<usize>, Together), Vec<BillRow>> = BTreeMap::new();
    for (car, account) in accounts.cars.iter().enumerate() {
        let vehicle = &input.storm.cars[car].vehicle;
        let is_meant = request.only.is_none_or(|only| only.contains(&car));
        if !is_meant || moved.contains(vehicle.stock.as_str()) {
            continue;
        }
        for (debtor, of) in Debtor::ALL.into_iter().zip(&account.debtors) {
            let (to, place) = match debtor {
                Debtor::Payer => (&*input.storm.payers[vehicle.payer].name, vehicle.payer),
                Debtor::Owner => (Debtor::OWNER, payers),
            };
            let is_billed = matches!(account.standing, Standing::Approved | Standing::Refused);
            let billed_parts = of.target.less(&of.billed);
            let first = of.billed == BillParts::default();
            let mut rows: Vec<(BillKind, BillParts)> = Vec::new();
            match billed_parts.billed() {
                amount if !is_billed || amount.is_zero() => {}
                amount if amount < Money::ZERO => rows.push((BillKind::Correction, billed_parts)),
                _ if first => rows.push((BillKind::Bill, billed_parts)),
                amount => {
                    // A credit that stands is set off: so much needs no paying.
                    let credit = -of.credited.min(amount);
                    let parts = BillParts {
                        credit,
                        ..billed_parts
                    };
                    rows.push((BillKind::Supplement, parts));
                }
            }
            // A bill that is written now takes an over-payment up, and so will the
            // first one what came before it.
            if rows.is_empty() && !first {
                rows.extend(credit(of));
            }
            for (kind, parts) in rows {
                let alone =
                    (debtor == Debtor::Owner || request.per == BilledTogether::Car).then_some(car);
                let of = match kind {
                    BillKind::Supplement if debtor == Debtor::Payer => {
                        supplements(input.log, account, &vehicle.stock)
                    }
                    _ => String::new(),
                };
                let rows = together.entry((alone, (place, kind, alone))).or_default();
                rows.push(BillRow {
                    number: BillNumber {
                        text: String::new(),
                        serial: 0,
                    },
                    date: request.date,
                    due: due(request.date, input.terms.due_days),
                    kind,
                    to: to.to_owned(),
                    stock: Arc::from(vehicle.stock.as_str()),
                    of,
                    parts,
                    tax_rates: match debtor {
                        Debtor::Payer if kind.bills() => {
                            tax_rates(&input.rates.terms[vehicle.payer])
                        }
                        _ => [Percent::ZERO; 6],
                    },
                    source: None,
                });
            }
        }
    }
    let first = match input.log.bills.last() {
        Some(last) => last.number.serial.saturating_add(1),
        None => input.terms.first,
    };
    let mut issued = Vec::new();
    for (serial, rows) in (first..).zip(together.into_values()) {
        let number = BillNumber {
            text: format!("{}{serial}", input.terms.prefix),
            serial,
        };
        issued.extend(rows.into_iter().map(|row| BillRow {
            number: number.clone(),
            ..row
        }));
    }
    issued
}

/// Stocks of cars that were billed to another payer than pays them now, who still
/// is one of the storm's: what is owed by whom is for people to say first.
fn moved(input: AccountsInput<'_>) -> HashSet<&str> {
    let storm = input.storm;
    let payer_of: HashMap<&str, usize> = storm
        .cars
        .iter()
        .map(|car| (car.vehicle.stock.as_str(), car.vehicle.payer))
        .collect();
    let rows = input.log.bills.iter();
    rows.filter(|row| {
        let to = storm.payers.iter().position(|payer| payer.name == row.to);
        let now = payer_of.get(&*row.stock);
        matches!((to, now), (Some(to), Some(now)) if to != *now)
    })
    .map(|row| &*row.stock)
    .collect()
}

fn credit(of: &DebtorAccount) -> Option<(BillKind, BillParts)> {
    let over = of.to_credit();
    (!over.is_zero()).then(|| {
        let parts = BillParts {
            credit: -over,
            ..BillParts::default()
        };
        (BillKind::Credit, parts)
    })
}

/// The names of the approved supplements that no earlier bill of the car names, or
/// that were decided on since.
fn supplements(log: &BillingLog, account: &super::account::CarAccount<'_>, stock: &str) -> String {
    let of_car = log.bills.iter().filter(|row| *row.stock == *stock);
    let of_car: Vec<&BillRow> = of_car.filter(|row| row.kind.bills()).collect();
    let billed: Vec<String> = of_car
        .iter()
        .flat_map(|row| row.of.split("; ").map(words::fold))
        .collect();
    let last = of_car.last().map(|row| row.date);
    let names = account
        .decided
        .supplements
        .iter()
        .filter(|decision| decision.approved.is_some())
        .filter_map(|decision| match &decision.subject {
            Subject::Supplement(name) => Some((name.replace(';', ","), decision.date)),
            _ => None,
        })
        // One that was billed stands again where it was raised since.
        .filter(|(name, date)| !billed.contains(&words::fold(name)) || last < Some(*date))
        .map(|(name, _)| name);
    names.collect::<Vec<_>>().join("; ")
}

/// All taxes on each group together.
fn tax_rates(terms: &Terms) -> [Percent; 6] {
    Group::ALL.map(|group| {
        let on = terms.taxes.iter().filter(|tax| tax.on[group.index()]);
        on.fold(Percent::ZERO, |sum, tax| sum + tax.percent)
    })
}

fn due(date: Date, days: u32) -> Date {
    let days = jiff::Span::new().days(i64::from(days));
    date.checked_add(days).unwrap_or(date)
}

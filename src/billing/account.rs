//! Every car from its price to what is still open.

use super::credit::{Event, What, standing_credit};
use super::decided::Decided;
use super::incoming::{self, CarReceipt};
use super::terms::BillTerms;
use crate::intake::{Finding, Severity};
use crate::money::Money;
use crate::pricing::{PricedStorm, Status};
use crate::rates::Rates;
use crate::storm::{BillParts, BillingLog, Debtor, Decision, Group, Provenance, Storm, Subject};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// What accounts are made of.
#[derive(Clone, Copy)]
pub struct AccountsInput<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its rates.
    pub rates: &'a Rates,
    /// Its prices.
    pub priced: &'a PricedStorm,
    /// How cars are billed.
    pub terms: &'a BillTerms,
    /// Decisions, receipts and the bill ledger.
    pub log: &'a BillingLog,
}

/// How far a car is with its payer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Some line has no amount yet.
    Quote,
    /// Priced, and the payer has not decided.
    Waiting,
    /// The payer said no.
    Refused,
    /// The payer said yes.
    Approved,
    /// Nothing to bill: no dents, or not counted.
    Nothing,
}

impl Standing {
    /// The word for it in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Standing::Quote => "quote",
            Standing::Waiting => "waiting",
            Standing::Refused => "refused",
            Standing::Approved => "approved",
            Standing::Nothing => "nothing",
        }
    }
}

/// What one debtor has to do with a car.
#[derive(Debug, Clone, Copy, Default)]
pub struct DebtorAccount {
    /// What this debtor's bills of the car are to come to, by today's decisions.
    pub target: BillParts,
    /// What they do come to, however it is paid.
    pub billed: BillParts,
    /// What came in.
    pub received: Money,
    /// What of credits for over-payments still stands.
    pub credited: Money,
}

impl DebtorAccount {
    /// Billed and not received; below zero where more came in than was billed.
    #[must_use]
    pub fn open(&self) -> Money {
        self.billed.billed() - self.received
    }

    /// What is to be billed yet; below zero where too much was.
    #[must_use]
    pub fn unbilled(&self) -> Money {
        self.target.billed() - self.billed.billed()
    }

    /// An over-payment that no credit was written for yet.
    #[must_use]
    pub fn to_credit(&self) -> Money {
        (-self.open() - self.credited).max(Money::ZERO)
    }
}

/// One car.
#[derive(Debug, Clone)]
pub struct CarAccount<'a> {
    /// How far it is.
    pub standing: Standing,
    /// What it comes to, as far as it is known.
    pub priced: Money,
    /// What the payer decided.
    pub decided: Decided<'a>,
    /// What of it is to be billed to either debtor together.
    pub billable: Money,
    /// By [`Debtor::ALL`].
    pub debtors: [DebtorAccount; 2],
}

impl CarAccount<'_> {
    /// What the payer approved; nothing where it has not.
    #[must_use]
    pub fn approved(&self) -> Money {
        self.decided.approved().unwrap_or(Money::ZERO)
    }

    /// What both debtors were billed.
    #[must_use]
    pub fn billed(&self) -> Money {
        self.debtors.iter().map(|of| of.billed.billed()).sum()
    }

    /// What came in from both.
    #[must_use]
    pub fn received(&self) -> Money {
        self.debtors.iter().map(|of| of.received).sum()
    }
}

/// Every car of a storm, and what was found on the way.
pub struct Accounts<'a> {
    /// Per car of the storm.
    pub cars: Vec<CarAccount<'a>>,
    /// Receipts by car, in order of date, then file.
    pub receipts: Vec<CarReceipt>,
    /// Bills and receipts of cars that were left out of the prices.
    pub left_out: DebtorAccount,
    /// What is worth a look.
    pub findings: Vec<Finding>,
}

/// Takes the books of a priced storm together. Time and memory grow with the cars
/// and the rows of the books.
#[must_use]
pub fn accounts<'a>(input: AccountsInput<'a>) -> Accounts<'a> {
    let AccountsInput { storm, log, .. } = input;
    let places: HashMap<&str, usize> = storm
        .cars
        .iter()
        .enumerate()
        .map(|(index, car)| (car.vehicle.stock.as_str(), index))
        .collect();
    let mut decisions: Vec<Vec<&Decision>> = vec![Vec::new(); storm.cars.len()];
    for decision in &log.decisions {
        if let Some(&car) = places.get(&*decision.stock) {
            decisions[car].push(decision);
        }
    }
    let mut made = Maker {
        input,
        findings: Vec::new(),
    };
    let mut cars: Vec<CarAccount<'a>> = decisions
        .iter()
        .enumerate()
        .map(|(car, decisions)| made.car(car, decisions))
        .collect();
    let mut left_out = DebtorAccount::default();
    let mut events: HashMap<(usize, Debtor), Vec<Event>> = HashMap::new();
    for row in &log.bills {
        let billed = BillParts {
            credit: Money::ZERO,
            ..row.parts
        };
        let Some(&car) = places.get(&*row.stock) else {
            left_out.billed.join(&billed);
            continue;
        };
        let debtor = row.debtor();
        let of = events.entry((car, debtor)).or_default();
        if row.kind.bills() {
            cars[car].debtors[debtor.index()].billed.join(&billed);
            of.push((row.date, What::Billed, billed.billed()));
        } else {
            of.push((row.date, What::Credited, -row.parts.credit));
        }
    }
    let receipts = incoming::by_car(log);
    for receipt in &receipts {
        let Some(&car) = places.get(&*receipt.stock) else {
            left_out.received += receipt.amount;
            continue;
        };
        made.receive(car, &mut cars[car], receipt);
        let of = events.entry((car, receipt.from)).or_default();
        of.push((receipt.date, What::Received, receipt.amount));
    }
    for ((car, debtor), of) in events {
        cars[car].debtors[debtor.index()].credited = standing_credit(of);
    }
    made.check_bills(&places, &cars);
    Accounts {
        cars,
        receipts,
        left_out,
        findings: made.findings,
    }
}

struct Maker<'a> {
    input: AccountsInput<'a>,
    findings: Vec<Finding>,
}

impl<'a> Maker<'a> {
    fn find(
        &mut self,
        severity: Severity,
        (source, column): (Provenance, &'static str),
        stock: &str,
        found: String,
        expected: String,
    ) {
        self.findings.push(Finding {
            severity,
            source,
            column,
            found,
            expected,
            meant: None,
            stock: Some(stock.to_owned()),
        });
    }

    fn car(&mut self, car: usize, decisions: &[&'a Decision]) -> CarAccount<'a> {
        let priced = &self.input.priced.cars[car];
        let decided = Decided::of(decisions);
        let total = priced.total().known;
        let standing = match priced.status {
            Status::Uncounted | Status::Nothing => Standing::Nothing,
            Status::Quote => Standing::Quote,
            Status::Priced if decided.is_refused() => Standing::Refused,
            Status::Priced if decided.approved().is_some() => Standing::Approved,
            Status::Priced => Standing::Waiting,
        };
        let billable = match (standing, decided.approved()) {
            (Standing::Approved, Some(approved)) => approved.min(total),
            _ => Money::ZERO,
        };
        self.check_decisions(car, &decided, standing, total);
        // Only of what is billed does the owner bear a part.
        let owner = priced.owner_pays.unwrap_or(Money::ZERO).min(billable);
        let mut debtors = [DebtorAccount::default(); 2];
        if standing == Standing::Approved {
            debtors[Debtor::Payer.index()].target = BillParts {
                groups: Group::ALL.map(|group| priced.ledger.sum(group).known),
                not_approved: billable - total,
                other_part: -owner,
                credit: Money::ZERO,
            };
            debtors[Debtor::Owner.index()].target.other_part = owner;
        }
        CarAccount {
            standing,
            priced: total,
            decided,
            billable,
            debtors,
        }
    }

    fn check_decisions(
        &mut self,
        car: usize,
        decided: &Decided<'a>,
        standing: Standing,
        total: Money,
    ) {
        let storm = self.input.storm;
        let vehicle = &storm.cars[car].vehicle;
        let stock = vehicle.stock.as_str();
        let text = |amount: Money| storm.currency.text(amount);
        let has_most = self.input.rates.terms[vehicle.payer].deductible_event_max;
        let owner = self.input.priced.cars[car]
            .owner_pays
            .unwrap_or(Money::ZERO);
        if let (Standing::Refused, Some(_), Some(decision)) = (standing, has_most, decided.car)
            && !owner.is_zero()
        {
            let expected = format!(
                "a car whose owner bears nothing: in the price it still takes {} of the owners' event maximum, until its deductible in vehicles is 0",
                text(owner)
            );
            let place = (decision.source, "item");
            self.find(
                Severity::Caution,
                place,
                stock,
                "refused".to_owned(),
                expected,
            );
        }
        if let Some(decision) = decided.car.filter(|decision| decision.approved.is_some()) {
            let place = (decision.source, "amount");
            let approved = decided.approved().unwrap_or(Money::ZERO);
            match standing {
                Standing::Quote => self.find(
                    Severity::Caution,
                    (decision.source, "item"),
                    stock,
                    "approved".to_owned(),
                    "a price that is whole: this car waits for a quote, and is billed once that is agreed".to_owned(),
                ),
                Standing::Approved | Standing::Nothing if approved > total => self.find(
                    Severity::Caution,
                    place,
                    stock,
                    text(approved),
                    format!("at most the car's price, {}, which is billed; has the count changed?", text(total)),
                ),
                _ => {}
            }
        }
        if decided.approved().is_none() {
            for decision in decided.supplements.iter().chain(&decided.parts) {
                if decision.approved.is_none() {
                    continue;
                }
                let what = match decision.subject {
                    Subject::Supplement(_) => "a supplement",
                    _ => "some lines",
                };
                self.find(
                    Severity::Caution,
                    (decision.source, "item"),
                    stock,
                    what.to_owned(),
                    "a yes to the whole car as well: without it nothing is billed".to_owned(),
                );
            }
        }
    }

    /// Adds a receipt to its car's account.
    fn receive(&mut self, car: usize, account: &mut CarAccount<'_>, receipt: &CarReceipt) {
        let vehicle = &self.input.storm.cars[car].vehicle;
        let row = &self.input.log.receipts[receipt.receipt];
        let text = |amount: Money| self.input.storm.currency.text(amount);
        let of = &mut account.debtors[receipt.from.index()];
        let before = of.received;
        of.received += receipt.amount;
        let billed = of.billed.billed();
        let place = (row.source, "amount");
        let found = text(row.amount);
        if of.received < Money::ZERO {
            let expected = format!(
                "no more than came in before, {}: more can't go back",
                text(before)
            );
            self.find(Severity::Error, place, &vehicle.stock, found, expected);
            return;
        }
        if receipt.amount < Money::ZERO {
            return;
        }
        let since = account.decided.since();
        if receipt.from == Debtor::Payer && since.is_none_or(|since| receipt.date < since) {
            let expected = match since {
                Some(since) => format!("money after the payer's yes, which is of {since}"),
                None => "money for a car that its payer approved: there is no yes to it".to_owned(),
            };
            let place = (row.source, "date");
            let found = receipt.date.to_string();
            self.find(Severity::Caution, place, &vehicle.stock, found, expected);
        }
        if of.received > billed {
            let over = (of.received - billed).min(receipt.amount);
            let left = (billed - before).max(Money::ZERO);
            let expected = format!(
                "at most what is open of its bills, {}: {} too much",
                text(left),
                text(over)
            );
            self.find(Severity::Caution, place, &vehicle.stock, found, expected);
        }
    }

    /// Bills that stand against what the car's price says now.
    fn check_bills(&mut self, places: &HashMap<&str, usize>, cars: &[CarAccount<'_>]) {
        let mut said: HashSet<Arc<str>> = HashSet::new();
        let mut moved: HashSet<Arc<str>> = HashSet::new();
        for row in &self.input.log.bills {
            let (Some(&car), Some(source)) = (places.get(&*row.stock), row.source) else {
                continue;
            };
            let payer = self.input.storm.cars[car].vehicle.payer;
            let payer = &self.input.storm.payers[payer].name;
            if row.debtor() == Debtor::Payer && row.to != *payer && moved.insert(row.stock.clone())
            {
                let is_payer = self.input.storm.payers.iter().any(|of| of.name == row.to);
                let then = if is_payer {
                    ", and nothing more is billed on it"
                } else {
                    ""
                };
                let expected = format!(
                    "{payer}, who pays this car now; what was billed and received stands in that name here{then}"
                );
                let place = (source, "to");
                self.find(
                    Severity::Caution,
                    place,
                    &row.stock,
                    row.to.clone(),
                    expected,
                );
            }
            let expected = match cars[car].standing {
                Standing::Quote => "no bill for a car with an open quote: its price is not whole",
                Standing::Waiting => {
                    "the payer's yes in agreed: this car was billed and nobody approved it"
                }
                Standing::Nothing => "a car with a price: there is nothing to bill on this one now",
                Standing::Refused | Standing::Approved => continue,
            };
            if said.insert(row.stock.clone()) {
                let found = row.number.text.clone();
                let place = (source, "stock");
                self.find(
                    Severity::Caution,
                    place,
                    &row.stock,
                    found,
                    expected.to_owned(),
                );
            }
        }
    }
}

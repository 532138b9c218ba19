//! The rows of `pay.csv`: who gets what of which panel, net.

use super::car_split::CarSplit;
use super::entry::Entry;
use super::payable::Awaiting;
use super::share::Share;
use crate::money::Money;
use crate::storm::Panel;
use std::collections::{BTreeMap, BTreeSet};

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

impl PayRow {
    /// What the row is, in files.
    #[must_use]
    pub fn word(&self) -> &'static str {
        if self.awaits {
            "awaiting"
        } else {
            self.kind.word()
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
    /// Whether it has not come in yet, where pay goes by what came in.
    pub awaits: bool,
    /// How much, never nothing.
    pub amount: Money,
}

/// For every share the first one of the same receiver: a receiver has one row a car.
pub fn receivers(shares: &[Share]) -> Vec<usize> {
    let first = |share: &Share| shares.iter().position(|other| other.to == share.to);
    shares
        .iter()
        .map(|share| first(share).unwrap_or(0))
        .collect()
}

/// The rows of `pay.csv` in its order, none of them nothing.
pub fn pay_rows(
    receivers: &[usize],
    cars: &[CarSplit],
    entries: &[Entry],
    awaiting: Option<&Awaiting>,
) -> Vec<PayRow> {
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
        let mut of_this = Vec::new();
        let mut push = |panel, kind, amount: Money| {
            if !amount.is_zero() {
                of_this.push(PayRow {
                    car: Some(index),
                    panel,
                    kind,
                    awaits: false,
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
        match awaiting {
            Some(awaiting) => rows.extend(awaiting.rows(index, of_this)),
            None => rows.append(&mut of_this),
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
                awaits: false,
                amount,
            });
        }
    }
    if !house.is_zero() {
        rows.push(PayRow {
            car: None,
            panel: None,
            kind: PayKind::House,
            awaits: false,
            amount: house,
        });
    }
    rows
}

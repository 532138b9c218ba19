//! Pay out of what came in: of every pool so much is payable as has come in of
//! the car's price, the rest is awaited.

use super::entry::{Entry, EntryKind, Remark};
use super::rows::{PayKind, PayRow};
use crate::money::{Currency, Money};
use crate::pricing::PricedStorm;
use crate::storm::Panel;
use jiff::civil::Date;
use num_bigint::BigInt;
use std::collections::BTreeMap;

/// Money that came in for a car, whoever it came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CameIn {
    /// The car, by its place in the storm.
    pub car: usize,
    /// The day.
    pub date: Date,
    /// How much; below zero where it went back.
    pub amount: Money,
}

/// A person's share of a car's pool.
type Held = (usize, Option<Panel>, usize);

/// What came in for each car, day by day, and what is still awaited.
#[derive(Debug, Clone)]
pub struct Awaiting {
    currency: Currency,
    /// Per car: its price.
    prices: Vec<Money>,
    /// Per car: the sum that had come in by the end of a day.
    came_in: Vec<BTreeMap<Date, Money>>,
    /// What each person has earned and not yet to get, by car and pool.
    people: BTreeMap<Held, Money>,
}

impl Awaiting {
    /// Of a storm's prices and of what came in, in any order.
    #[must_use]
    pub fn new(priced: &PricedStorm, came_in: &[CameIn], currency: Currency) -> Awaiting {
        let mut sums = vec![BTreeMap::new(); priced.cars.len()];
        for one in came_in {
            *sums[one.car].entry(one.date).or_insert(Money::ZERO) += one.amount;
        }
        for of_car in &mut sums {
            let mut sum = Money::ZERO;
            for amount in of_car.values_mut() {
                sum += *amount;
                *amount = sum;
            }
        }
        Awaiting {
            currency,
            prices: priced.cars.iter().map(|car| car.total().known).collect(),
            came_in: sums,
            people: BTreeMap::new(),
        }
    }

    /// What of an amount of a car is payable when so much had come in: the part
    /// in proportion, whole minor units of it. What is cut off is awaited until
    /// the car's price is in, so that nobody's part ever shrinks while money
    /// comes in.
    fn payable(&self, car: usize, amount: Money, came_in: Money) -> Money {
        let units = |money: Money| money.minor_units(self.currency);
        let price = units(self.prices[car]);
        let came_in = units(came_in).clamp(0, price.max(0));
        if came_in == price.max(0) {
            return amount;
        }
        // Truncation is towards zero: a charge is the mirror image of a part.
        let part = BigInt::from(units(amount)) * came_in / price;
        // No more than the amount, of which it is a part.
        let part = i128::try_from(part).unwrap_or(units(amount));
        Money::from_minor_units(part, self.currency)
    }

    fn by(&self, car: usize, day: Date) -> Money {
        let before = self.came_in[car].range(..=day).next_back();
        before.map_or(Money::ZERO, |(_, sum)| *sum)
    }

    /// All that has come in for a car.
    #[must_use]
    pub fn came_in(&self, car: usize) -> Money {
        let last = self.came_in[car].values().next_back();
        last.copied().unwrap_or(Money::ZERO)
    }

    /// What a person has earned of all pools and not yet to get.
    #[must_use]
    pub fn of_person(&self, person: usize) -> Money {
        let people = self.people.iter();
        people
            .filter(|((_, _, of), _)| *of == person)
            .map(|(_, amount)| *amount)
            .sum()
    }

    /// The entries as they are payable: each share of a pool in the steps in
    /// which money came in for it. All others stay as they are, for the house
    /// owes them whatever comes in.
    pub fn entries(&mut self, entries: &[Entry]) -> Vec<Entry> {
        let mut shares: BTreeMap<Held, Vec<&Entry>> = BTreeMap::new();
        let mut payable = Vec::with_capacity(entries.len());
        for entry in entries {
            match entry.car {
                Some(car) if entry.kind.is_of_pool() => {
                    let share = (car, entry.panel, entry.person);
                    shares.entry(share).or_default().push(entry);
                }
                _ => payable.push(entry.clone()),
            }
        }
        for (share, mut entries) in shares {
            entries.sort_by_key(|entry| entry.date);
            payable.extend(self.steps(share, &entries));
        }
        payable
    }

    /// One person's share of one pool, step by step.
    fn steps(&mut self, share: Held, entries: &[&Entry]) -> Vec<Entry> {
        let (car, ..) = share;
        let mut days: Vec<Date> = entries.iter().map(|entry| entry.date).collect();
        days.extend(self.came_in[car].keys());
        days.sort_unstable();
        days.dedup();
        let (mut earned, mut paid) = (Money::ZERO, Money::ZERO);
        let mut steps = Vec::new();
        let mut next = entries.iter().peekable();
        let mut last = entries[0];
        for day in days {
            let mut is_earned_today = false;
            while let Some(entry) = next.next_if(|entry| entry.date == day) {
                earned += entry.amount;
                (last, is_earned_today) = (entry, true);
            }
            let came_in = self.by(car, day);
            let payable = self.payable(car, earned, came_in);
            if payable != paid {
                steps.push(Entry {
                    date: day,
                    kind: if is_earned_today {
                        last.kind
                    } else {
                        EntryKind::CameIn
                    },
                    amount: payable - paid,
                    remark: Remark::OfReceived {
                        earned,
                        came_in: came_in.min(self.prices[car]),
                        price: self.prices[car],
                    },
                    ..last.clone()
                });
                paid = payable;
            }
        }
        if earned != paid {
            self.people.insert(share, earned - paid);
        }
        steps
    }

    /// A car's rows as they are payable, each with what is awaited of it behind.
    /// The house's awaited part is what is left of what the car still lacks.
    #[must_use]
    pub fn rows(&self, car: usize, rows: Vec<PayRow>) -> Vec<PayRow> {
        let came_in = self.came_in(car).min(self.prices[car]);
        let mut left = self.prices[car] - came_in;
        let mut split: Vec<(PayRow, Money)> = rows
            .into_iter()
            .map(|row| {
                let waits = match row.kind {
                    PayKind::House => Money::ZERO,
                    PayKind::Person(person) => {
                        let share = (car, row.panel, person);
                        self.people.get(&share).copied().unwrap_or(Money::ZERO)
                    }
                    _ => row.amount - self.payable(car, row.amount, came_in),
                };
                left = left - waits;
                (row, waits)
            })
            .collect();
        if !left.is_zero() {
            let is_house =
                |(row, _): &(PayRow, Money)| row.kind == PayKind::House && row.panel.is_none();
            match split.iter_mut().find(|row| is_house(row)) {
                Some((_, waits)) => *waits = left,
                None => {
                    let house = PayRow {
                        car: Some(car),
                        panel: None,
                        kind: PayKind::House,
                        awaits: false,
                        amount: Money::ZERO,
                    };
                    let is_after = |(row, _): &(PayRow, Money)| {
                        row.panel.is_none() && row.kind > PayKind::House
                    };
                    let at = split.iter().position(is_after).unwrap_or(split.len());
                    split.insert(at, (house, left));
                }
            }
        }
        let parts = split.into_iter().flat_map(|(row, waits)| {
            let payable = PayRow {
                amount: row.amount - waits,
                ..row
            };
            let waits = PayRow {
                amount: waits,
                awaits: true,
                ..row
            };
            [payable, waits]
        });
        parts.filter(|row| !row.amount.is_zero()).collect()
    }
}

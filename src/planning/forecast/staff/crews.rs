//! A crew of another size: who is in it, and what it costs.

use super::super::super::problem::{Day, Trades};
use super::super::flow::{Attendance, Flow, FlowPerson};
use super::super::replicate::{Replications, day_of};
use super::{CrewSize, Crews, PersonCost};
use std::cmp::{Ordering, Reverse};
use std::collections::BTreeMap;

impl Crews<'_> {
    /// What a crew costs in any case, on the mean: each person's stay from their
    /// first day to their last or to the end, and the more of what is
    /// guaranteed and what is agreed by day and hour.
    pub(super) fn cost(&self, flow: &Flow, came: &Replications) -> f64 {
        let count = came.count().max(1) as f64;
        let start = self.hours.start();
        let calendar = |day: Day| f64::from((self.hours.date(day) - start).get_days());
        // Ends by day, so that dates are looked up once for each.
        let mut ends: BTreeMap<Day, f64> = BTreeMap::new();
        for end in &came.until {
            *ends
                .entry(Day::from(day_of(*end, flow.day)) - 1)
                .or_default() += 1.0;
        }
        let people = flow.people.iter().zip(came.worked.iter().zip(&came.here));
        people
            .map(|(person, (worked, here))| {
                let cost = self.cost_of(person);
                // Sums are in millionths of a minute.
                let days = *here as f64 / 1e6 / flow.day / count;
                let hours = *worked as f64 / 1e6 / 60.0 / count;
                let paid = (cost.guarantee * days).max(cost.day * days + cost.hour * hours);
                let stay: f64 = ends
                    .iter()
                    .map(|(end, times)| times * stay(person.days.as_ref(), *end, &calendar))
                    .sum();
                paid + cost.stay * stay / count
            })
            .sum()
    }

    fn cost_of(&self, person: &FlowPerson) -> PersonCost {
        let added = || {
            let trade = Trades::ALL
                .iter()
                .position(|trade| person.trades.meets(*trade));
            trade.map(|trade| self.added[trade]).unwrap_or_default()
        };
        self.costs.get(person.worker).copied().unwrap_or_else(added)
    }

    /// The flow with another crew. Who is in excess of a trade and has no other
    /// is left out, from the end of the crew list; who has another no longer does
    /// this one. Who is lacking is added at the standard's pace.
    pub(super) fn flow_of(&self, size: CrewSize) -> Flow {
        let here = self.here();
        let base = &self.base.flow;
        let mut people: Vec<(Option<usize>, FlowPerson)> = base
            .people
            .iter()
            .enumerate()
            .map(|(at, person)| (Some(at), person.clone()))
            .collect();
        for trade in 0..3 {
            let mut of_trade: Vec<usize> = (0..people.len())
                .filter(|at| people[*at].1.looks_at.contains(&trade))
                .collect();
            of_trade.sort_by_key(|at| {
                let person = &people[*at].1;
                (person.looks_at.len(), Reverse(person.worker))
            });
            let excess = here[trade].saturating_sub(size[trade]);
            for at in of_trade.into_iter().take(excess) {
                let person = &mut people[at].1;
                person.looks_at.retain(|known| *known != trade);
                let left = person.looks_at.iter().map(|known| Trades::ALL[*known]);
                person.trades = left.fold(Trades::default(), Trades::and);
            }
        }
        people.retain(|(_, person)| !person.looks_at.is_empty());
        for trade in 0..3 {
            for number in here[trade]..size[trade] {
                people.push((None, self.one_more(trade, number)));
            }
        }
        people.sort_by(|(_, a), (_, b)| {
            let faster = b.speed.partial_cmp(&a.speed).unwrap_or(Ordering::Equal);
            let trades = a.trades.count().cmp(&b.trades.count());
            trades.then(faster).then(a.key.cmp(&b.key))
        });
        let place = |old: usize| people.iter().position(|(from, _)| *from == Some(old));
        let mut flow = Flow {
            people: Vec::new(),
            ..base.clone()
        };
        for pattern in &mut flow.patterns {
            for task in pattern.tasks_mut() {
                task.only = task.only.and_then(place);
            }
        }
        flow.people = people.into_iter().map(|(_, person)| person).collect();
        flow
    }

    fn one_more(&self, trade: usize, number: usize) -> FlowPerson {
        FlowPerson {
            worker: usize::MAX,
            key: ADDED | (trade as u64) << 16 | number as u64,
            trades: Trades::ALL[trade],
            looks_at: vec![trade],
            speed: self.pace,
            days: None,
        }
    }
}

/// Marks the keys of people who are not in the crew list. A key leaves room for
/// a day above it.
const ADDED: u64 = 1 << 24;

/// Days of a stay: from the first day here to the last one, or to the end.
fn stay(days: Option<&Attendance>, end: Day, calendar: &impl Fn(Day) -> f64) -> f64 {
    let (first, last) = match days {
        None => (Some(0), Some(end)),
        Some(days) => (days.from(0), days.last().map(|last| last.min(end))),
    };
    match (first, last) {
        (Some(first), Some(last)) if first <= last => calendar(last) - calendar(first) + 1.0,
        _ => 0.0,
    }
}

//! What a payer has decided on a car so far.

use crate::money::Money;
use crate::storm::{Decision, Subject, words};

/// The decisions on one car, taken together. A later one on the same thing takes
/// the place of an earlier one; one on the whole car that of all of earlier days.
#[derive(Debug, Clone, Default)]
pub struct Decided<'a> {
    /// The last decision on the whole car.
    pub car: Option<&'a Decision>,
    /// The last decision on each supplement since, in the order of their first.
    pub supplements: Vec<&'a Decision>,
    /// The last decision on each part of the car.
    pub parts: Vec<&'a Decision>,
}

impl<'a> Decided<'a> {
    /// Of a car's decisions in file order.
    #[must_use]
    pub fn of(decisions: &[&'a Decision]) -> Decided<'a> {
        let mut in_time = decisions.to_vec();
        // On one day the car comes first: what stands beside it goes beyond it.
        in_time.sort_by_key(|decision| (decision.date, decision.subject != Subject::Car));
        let mut decided = Decided::default();
        for decision in in_time {
            match &decision.subject {
                Subject::Car => {
                    decided.car = Some(decision);
                    decided.supplements.clear();
                    decided.parts.clear();
                }
                Subject::Supplement(_) => replace(&mut decided.supplements, decision),
                Subject::Part { .. } => replace(&mut decided.parts, decision),
            }
        }
        decided
    }

    /// Whether the payer's last word on the whole car is no.
    #[must_use]
    pub fn is_refused(&self) -> bool {
        self.car.is_some_and(|decision| decision.approved.is_none())
    }

    /// What was approved in all; none without a yes to the car.
    #[must_use]
    pub fn approved(&self) -> Option<Money> {
        let car = self.car?.approved?;
        let supplements = self.supplements.iter();
        Some(car + supplements.filter_map(|decision| decision.approved).sum())
    }

    /// The first day of the payer's yes to the car as it stands.
    #[must_use]
    pub fn since(&self) -> Option<jiff::civil::Date> {
        self.car
            .filter(|decision| decision.approved.is_some())
            .map(|decision| decision.date)
    }
}

fn replace<'a>(known: &mut Vec<&'a Decision>, decision: &'a Decision) {
    let is_same = |other: &&'a Decision| match (&other.subject, &decision.subject) {
        (Subject::Supplement(one), Subject::Supplement(other)) => {
            words::fold(one) == words::fold(other)
        }
        (one, other) => one == other,
    };
    match known.iter_mut().find(|other| is_same(other)) {
        Some(same) => *same = decision,
        None => known.push(decision),
    }
}

//! What the lot list says of a car, checked.

use super::super::cells::Refusal;
use super::super::day_cell;
use super::super::draft::CarDraft;
use super::super::header::{ListColumn, Role};
use super::super::problem::{Place, Problem, Severity};
use super::super::vin::{self, VinOddity};
use super::{Resolver, no_finer};
use crate::money::Money;
use crate::storm::words;
use crate::storm::{Body, Moment, Vehicle};

impl Resolver<'_> {
    pub(super) fn listed_place(&self, car: &CarDraft, column: ListColumn) -> Place {
        let source = car.listed.or(car.first_row).unwrap_or_default();
        let mut place = self.drafts.place(source, |role| role == Role::List(column));
        if place.column.is_none() {
            place.column = ListColumn::ALL
                .iter()
                .find(|(known, _)| *known == column)
                .map(|(_, word)| (*word).to_owned());
        }
        place
    }

    pub(super) fn fact(&self, index: usize, column: ListColumn) -> (String, Place) {
        let car = &self.drafts.cars[index];
        match car.fact(column) {
            Some(fact) => (
                fact.text.clone(),
                self.drafts
                    .place(fact.source, |role| role == Role::List(column)),
            ),
            None => (String::new(), self.listed_place(car, column)),
        }
    }

    pub(super) fn payer(&mut self, index: usize) -> Option<usize> {
        let payers = &self.settings.payers;
        if self.settings.any_payer {
            return Some(0);
        }
        if self.drafts.list_unreadable {
            return None;
        }
        let (text, place) = self.fact(index, ListColumn::Payer);
        if text.is_empty() {
            if payers.len() == 1 {
                return Some(0);
            }
            self.error(index, place, "", "a payer: storm.toml has several", None);
            return None;
        }
        let folded = words::fold(&text);
        let found = payers
            .iter()
            .position(|payer| words::fold(&payer.name) == folded);
        if found.is_none() {
            let known: Vec<String> = payers
                .iter()
                .map(|payer| words::fold(&payer.name))
                .collect();
            let near = words::nearest(&folded, known.iter().map(String::as_str));
            let meant = near.and_then(|near| {
                let at = known.iter().position(|name| name == near)?;
                Some(payers[at].name.clone())
            });
            self.error(index, place, text, "a payer of storm.toml", meant);
        }
        found
    }

    pub(super) fn vehicle(&mut self, index: usize, payer: usize) -> Vehicle {
        let (body_text, place) = self.fact(index, ListColumn::Body);
        let body = if body_text.is_empty() {
            Body::Other
        } else {
            let folded = words::fold(&body_text);
            Body::from_word(&folded).unwrap_or_else(|| {
                let all = Body::ALL.map(Body::word);
                let meant = words::nearest(&folded, all.into_iter()).map(str::to_owned);
                let expected = format!("one of {}", all.join(", "));
                self.error(index, place, body_text, expected, meant);
                Body::Other
            })
        };
        let value = self.amount(index, ListColumn::Value);
        let deductible = self.amount(index, ListColumn::Deductible);
        self.vin(index);
        let arrives = self.moment(index, ListColumn::Arrives);
        let due = self.moment(index, ListColumn::Due);
        let parts_due = self.moment(index, ListColumn::PartsDue);
        let priority = self.priority(index);
        let car = &self.drafts.cars[index];
        let text = |column| {
            car.fact(column)
                .map_or(String::new(), |fact| fact.text.clone())
        };
        Vehicle {
            stock: car.stock.clone(),
            vin: text(ListColumn::Vin),
            year: text(ListColumn::Year),
            make: text(ListColumn::Make),
            model: text(ListColumn::Model),
            body,
            payer,
            value,
            deductible,
            row: text(ListColumn::Row),
            arrives,
            due,
            parts_due,
            priority,
            claim: text(ListColumn::Claim),
            plate: text(ListColumn::Plate),
            colour: text(ListColumn::Colour),
            odometer: text(ListColumn::Odometer),
            owner: text(ListColumn::Owner),
        }
    }

    pub(super) fn amount(&mut self, index: usize, column: ListColumn) -> Option<Money> {
        let (text, place) = self.fact(index, column);
        let figure = text.parse().ok()?;
        let amount = self.settings.currency.amount(figure);
        if amount.is_none() {
            self.error(index, place, text, no_finer(self.settings.currency), None);
        }
        amount
    }

    /// A day of the plan. A price needs none, so what is wrong with it stands
    /// among the plan's problems and the car is priced all the same.
    fn moment(&mut self, index: usize, column: ListColumn) -> Option<Moment> {
        let (text, place) = self.fact(index, column);
        if text.is_empty() {
            return None;
        }
        match day_cell::moment(&text) {
            Ok(moment) => Some(moment),
            Err(refusal) => {
                self.plan_error(index, place, text, refusal);
                None
            }
        }
    }

    fn priority(&mut self, index: usize) -> Option<u8> {
        let (text, place) = self.fact(index, ListColumn::Priority);
        if text.is_empty() {
            return None;
        }
        let priority = text.trim().parse().ok().filter(|n| (1..=3).contains(n));
        if priority.is_none() {
            let refusal = Refusal::new("1, 2 or 3; 1 is the most urgent");
            self.plan_error(index, place, text, refusal);
        }
        priority
    }

    fn plan_error(&mut self, index: usize, place: Place, found: String, refusal: Refusal) {
        self.plan_problems.push(Problem {
            severity: Severity::Error,
            place,
            found,
            expected: refusal.expected,
            meant: refusal.meant,
            stock: Some(self.drafts.cars[index].stock.clone()),
        });
    }

    pub(super) fn vin(&mut self, index: usize) {
        let (text, place) = self.fact(index, ListColumn::Vin);
        if text.is_empty() {
            return;
        }
        let expected = match vin::check(&text) {
            Ok(()) => return,
            Err(VinOddity::Length(length)) => format!("17 characters; this has {length}"),
            Err(VinOddity::Sign(sign)) => {
                format!("digits and letters without I, O, Q; this has {sign}")
            }
            Err(VinOddity::CheckDigit(_)) => {
                "a VIN whose check digit (9th place) holds; only North American rules require one"
                    .to_owned()
            }
        };
        self.drafts
            .caution(index, place, text, expected, self.problems);
    }

    /// A car on the list that no count sheet speaks of.
    pub(super) fn uncounted(&mut self, index: usize) {
        let car = &self.drafts.cars[index];
        let Some(listed) = car.listed else { return };
        if car.spoken_of || self.drafts.partial {
            return;
        }
        let near = self.drafts.unknown_near(&car.stock);
        let mut expected = "counts for a car that is on the list".to_owned();
        if let Some((stock, file)) = near {
            expected.push_str(&format!("; {file} has {stock}"));
        }
        let place = self.drafts.place(listed, |role| role == Role::Stock);
        let stock = car.stock.clone();
        self.drafts
            .caution(index, place, stock, expected, self.problems);
    }
}

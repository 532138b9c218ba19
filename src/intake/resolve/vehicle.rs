//! What the lot list says of a car, checked.

use super::super::cells::Refusal;
use super::super::day_cell;
use super::super::header::{ListColumn, Role};
use super::super::problem::{Place, Problem, Severity};
use super::super::vin::{self, VinOddity};
use super::{Resolver, no_finer};
use crate::money::Money;
use crate::storm::words;
use crate::storm::{Body, Moment, Vehicle};

impl<'a> Resolver<'a> {
    /// What stands in a column of the lot list; empty where nothing does.
    fn fact(&self, index: usize, column: ListColumn) -> &'a str {
        let fact = self.drafts.cars[index].fact(column);
        fact.map_or("", |fact| fact.text.as_str())
    }

    /// Where that stands, or would stand.
    fn fact_place(&self, index: usize, column: ListColumn) -> Place {
        let car = &self.drafts.cars[index];
        let is_role = |role| role == Role::List(column);
        if let Some(fact) = car.fact(column) {
            return self.drafts.place(fact.source, is_role);
        }
        let source = car.listed.or(car.first_row).unwrap_or_default();
        let mut place = self.drafts.place(source, is_role);
        if place.column.is_none() {
            place.column = ListColumn::ALL
                .iter()
                .find(|(known, _)| *known == column)
                .map(|(_, word)| (*word).to_owned());
        }
        place
    }

    /// An error in a column of the lot list.
    fn fact_error(
        &mut self,
        index: usize,
        column: ListColumn,
        expected: impl Into<String>,
        meant: Option<String>,
    ) {
        let (place, found) = (self.fact_place(index, column), self.fact(index, column));
        self.error(index, place, found, expected, meant);
    }

    pub(super) fn payer(&mut self, index: usize) -> Option<usize> {
        let payers = &self.settings.payers;
        if self.settings.any_payer {
            return Some(0);
        }
        if self.drafts.list_unreadable {
            return None;
        }
        let text = self.fact(index, ListColumn::Payer);
        if text.is_empty() {
            if payers.len() == 1 {
                return Some(0);
            }
            let expected = "a payer: storm.toml has several";
            self.fact_error(index, ListColumn::Payer, expected, None);
            return None;
        }
        // Letter for letter is the usual case and needs no folding.
        if let Some(found) = payers.iter().position(|payer| payer.name == text) {
            return Some(found);
        }
        let folded = words::fold(text);
        let known: Vec<String> = payers
            .iter()
            .map(|payer| words::fold(&payer.name))
            .collect();
        let found = known.iter().position(|name| *name == folded);
        if found.is_none() {
            let near = words::nearest(&folded, known.iter().map(String::as_str));
            let meant = near.and_then(|near| {
                let at = known.iter().position(|name| name == near)?;
                Some(payers[at].name.clone())
            });
            self.fact_error(index, ListColumn::Payer, "a payer of storm.toml", meant);
        }
        found
    }

    /// Fills in what the lot list says.
    pub(super) fn vehicle(&mut self, index: usize, payer: usize, vehicle: &mut Vehicle) {
        let draft = &self.drafts.cars[index];
        if draft.facts.is_empty() {
            // Of most cars of a region nothing is said but their stock.
            if !std::mem::replace(&mut self.is_bare, true) {
                *vehicle = Vehicle::default();
            }
            vehicle.stock.clear();
            vehicle.stock.push_str(&draft.stock);
            vehicle.payer = payer;
            return;
        }
        self.is_bare = false;
        vehicle.body = self.body(index);
        vehicle.payer = payer;
        vehicle.value = self.amount(index, ListColumn::Value);
        vehicle.deductible = self.amount(index, ListColumn::Deductible);
        self.vin(index);
        vehicle.arrives = self.moment(index, ListColumn::Arrives);
        vehicle.due = self.moment(index, ListColumn::Due);
        vehicle.parts_due = self.moment(index, ListColumn::PartsDue);
        vehicle.priority = self.priority(index);
        vehicle.stock.clear();
        vehicle.stock.push_str(&self.drafts.cars[index].stock);
        for (text, column) in [
            (&mut vehicle.vin, ListColumn::Vin),
            (&mut vehicle.year, ListColumn::Year),
            (&mut vehicle.make, ListColumn::Make),
            (&mut vehicle.model, ListColumn::Model),
            (&mut vehicle.row, ListColumn::Row),
            (&mut vehicle.claim, ListColumn::Claim),
            (&mut vehicle.plate, ListColumn::Plate),
            (&mut vehicle.colour, ListColumn::Colour),
            (&mut vehicle.odometer, ListColumn::Odometer),
            (&mut vehicle.owner, ListColumn::Owner),
        ] {
            text.clear();
            text.push_str(self.fact(index, column));
        }
    }

    fn body(&mut self, index: usize) -> Body {
        let text = self.fact(index, ListColumn::Body);
        if text.is_empty() {
            return Body::Other;
        }
        if let Some(body) = Body::from_word(text) {
            return body;
        }
        let folded = words::fold(text);
        Body::from_word(&folded).unwrap_or_else(|| {
            let all = Body::ALL.map(Body::word);
            let meant = words::nearest(&folded, all.into_iter()).map(str::to_owned);
            let expected = format!("one of {}", all.join(", "));
            self.fact_error(index, ListColumn::Body, expected, meant);
            Body::Other
        })
    }

    pub(super) fn amount(&mut self, index: usize, column: ListColumn) -> Option<Money> {
        let figure = self.fact(index, column).parse().ok()?;
        let amount = self.settings.currency.amount(figure);
        if amount.is_none() {
            self.fact_error(index, column, no_finer(self.settings.currency), None);
        }
        amount
    }

    /// A day of the plan. A price needs none, so what is wrong with it stands
    /// among the plan's problems and the car is priced all the same.
    fn moment(&mut self, index: usize, column: ListColumn) -> Option<Moment> {
        let text = self.fact(index, column);
        if text.is_empty() {
            return None;
        }
        match day_cell::moment(text) {
            Ok(moment) => Some(moment),
            Err(refusal) => {
                self.plan_error(index, column, refusal);
                None
            }
        }
    }

    fn priority(&mut self, index: usize) -> Option<u8> {
        let text = self.fact(index, ListColumn::Priority);
        if text.is_empty() {
            return None;
        }
        let priority = text.trim().parse().ok().filter(|n| (1..=3).contains(n));
        if priority.is_none() {
            let refusal = Refusal::new("1, 2 or 3; 1 is the most urgent");
            self.plan_error(index, ListColumn::Priority, refusal);
        }
        priority
    }

    fn plan_error(&mut self, index: usize, column: ListColumn, refusal: Refusal) {
        let place = self.fact_place(index, column);
        self.found.plan_problems.push(Problem {
            severity: Severity::Error,
            place,
            found: self.fact(index, column).to_owned(),
            expected: refusal.expected,
            meant: refusal.meant,
            stock: Some(self.drafts.cars[index].stock.to_string()),
        });
    }

    pub(super) fn vin(&mut self, index: usize) {
        let text = self.fact(index, ListColumn::Vin);
        if text.is_empty() {
            return;
        }
        let expected = match vin::check(text) {
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
        let place = self.fact_place(index, ListColumn::Vin);
        self.caution(index, place, text, expected);
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
        let stock = car.stock.to_string();
        self.caution(index, place, stock, expected);
    }
}

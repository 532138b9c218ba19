//! Drafts → checked cars. What only the whole can tell is told here: a class
//! that the car's own card lacks, a car without counts, a panel too many.

mod panels;
mod vehicle;

use super::draft::Drafts;
use super::header::{ListColumn, Role};
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Settings;
use crate::money::Currency;
use crate::storm::words;
use crate::storm::{Car, PanelCount, Provenance};
use panels::count_of;
use std::collections::BTreeSet;

/// The most dents on a panel.
pub const MAX_DENTS: u32 = 9_999;

/// The checked cars, and which draft each came from.
pub struct Resolved {
    /// In lot order, without the bad ones.
    pub cars: Vec<Car>,
    /// Index into the drafts, per car.
    pub drafts: Vec<usize>,
}

/// Checks every draft. Bad cars are marked in the drafts.
///
/// What is wrong with the days of a car is no matter of its price, and goes
/// among the plan's problems.
pub fn resolve(
    drafts: &mut Drafts,
    settings: &Settings,
    problems: &mut Problems,
    plan_problems: &mut Problems,
) -> Resolved {
    let mut resolver = Resolver {
        settings,
        drafts,
        problems,
        plan_problems,
        one_size_sheets: BTreeSet::new(),
    };
    let mut cars = Vec::new();
    let mut kept = Vec::new();
    for index in 0..resolver.drafts.cars.len() {
        let car = resolver.car(index);
        if !resolver.drafts.cars[index].bad {
            cars.push(car);
            kept.push(index);
        }
    }
    resolver.event_maxima();
    resolver.one_size_cautions();
    Resolved { cars, drafts: kept }
}

/// That an amount is finer than the currency.
#[must_use]
pub fn no_finer(currency: Currency) -> String {
    match currency.places() {
        0 => "no finer than the currency, which has no decimals".to_owned(),
        places => format!("no finer than the currency's {places} places"),
    }
}

struct Resolver<'a> {
    settings: &'a Settings,
    drafts: &'a mut Drafts,
    problems: &'a mut Problems,
    plan_problems: &'a mut Problems,
    /// Sheets whose `dents, size` stand under a card that does not price by the predominant class.
    one_size_sheets: BTreeSet<u32>,
}

impl Resolver<'_> {
    fn error(
        &mut self,
        car: usize,
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        meant: Option<String>,
    ) {
        self.drafts
            .error(car, place, found, expected, meant, self.problems);
    }

    fn car(&mut self, index: usize) -> Car {
        let payer = self.payer(index);
        let vehicle = self.vehicle(index, payer.unwrap_or(0));
        self.uncounted(index);
        // Without a payer there is no card to check the count against.
        let Some(payer) = payer else {
            return Car {
                vehicle,
                panels: Vec::new(),
                removals: Vec::new(),
                counted: false,
                note: String::new(),
            };
        };
        let draft = std::mem::take(&mut self.drafts.cars[index].panels);
        let counted = !draft.is_empty() || !self.drafts.cars[index].removals.is_empty();
        let card = self.settings.rates.card_of(payer);
        for panel in &draft {
            self.panel(index, panel, card, vehicle.body);
        }
        let removals = self.car_removals(index, card);
        if counted {
            self.removal_without_panel(index, &draft);
        }
        let mut panels: Vec<PanelCount> = draft.into_iter().map(count_of).collect();
        panels.sort_by_key(|count| count.panel);
        Car {
            vehicle,
            panels,
            removals,
            counted,
            note: self.drafts.cars[index].note.clone(),
        }
    }

    /// An event maximum under which neither the payer nor a car has a deductible.
    fn event_maxima(&mut self) {
        for (payer, alone) in self.settings.event_max_alone.iter().enumerate() {
            let Some((place, found)) = alone else {
                continue;
            };
            let name = words::fold(&self.settings.payers[payer].name);
            let only = self.settings.payers.len() == 1;
            let has = self.drafts.cars.iter().any(|car| {
                car.fact(ListColumn::Deductible).is_some()
                    && car
                        .fact(ListColumn::Payer)
                        .map_or(only, |fact| words::fold(&fact.text) == name)
            });
            if !has {
                self.problems
                    .push_stopping(super::storm_file::event_max_problem(place, found));
            }
        }
    }

    fn one_size_cautions(&mut self) {
        for &sheet in &self.one_size_sheets {
            let source = Provenance { sheet, row: 0 };
            let mut place = self.drafts.place(source, |role| role == Role::Size);
            place.row = None;
            self.problems.push(Problem {
                severity: Severity::Caution,
                place,
                found: "dents, size".to_owned(),
                expected: "a column per class, where the card prices by the largest or by each class: all dents count as the size given".to_owned(),
                meant: None,
                stock: None,
            });
        }
    }
}

//! Drafts → checked cars. What only the whole can tell is told here: a class
//! that the car's own card lacks, a car without counts, a panel too many.

use super::draft::{CarDraft, Drafts, PanelDraft};
use super::header::{ListColumn, Role};
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Settings;
use super::vin::{self, VinOddity};
use crate::money::{Currency, Money};
use crate::rates::{MixedSizes, OncePer, RateCard};
use crate::storm::words;
use crate::storm::{Access, Body, Car, MeasuredDents, Paint, PanelCount, Provenance, Vehicle};
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
pub fn resolve(drafts: &mut Drafts, settings: &Settings, problems: &mut Problems) -> Resolved {
    let mut resolver = Resolver {
        settings,
        drafts,
        problems,
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

    fn listed_place(&self, car: &CarDraft, column: ListColumn) -> Place {
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

    fn fact(&self, index: usize, column: ListColumn) -> (String, Place) {
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

    fn payer(&mut self, index: usize) -> Option<usize> {
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

    fn vehicle(&mut self, index: usize, payer: usize) -> Vehicle {
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
            arrives: text(ListColumn::Arrives),
            due: text(ListColumn::Due),
            parts_due: text(ListColumn::PartsDue),
            priority: text(ListColumn::Priority),
            claim: text(ListColumn::Claim),
            plate: text(ListColumn::Plate),
            colour: text(ListColumn::Colour),
            odometer: text(ListColumn::Odometer),
            owner: text(ListColumn::Owner),
        }
    }

    fn amount(&mut self, index: usize, column: ListColumn) -> Option<Money> {
        let (text, place) = self.fact(index, column);
        let figure = text.parse().ok()?;
        let amount = self.settings.currency.amount(figure);
        if amount.is_none() {
            self.error(index, place, text, no_finer(self.settings.currency), None);
        }
        amount
    }

    fn vin(&mut self, index: usize) {
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
    fn uncounted(&mut self, index: usize) {
        let car = &self.drafts.cars[index];
        let Some(listed) = car.listed else { return };
        if car.spoken_of {
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

    fn panel(&mut self, index: usize, draft: &PanelDraft, card: &RateCard, body: Body) {
        let source = draft.source;
        let panel = draft.panel;
        let at = |role: Role| matches!(role, Role::PanelCell(cell) if cell == panel);
        for &(size, _) in &draft.sized {
            if card.class_of(size).is_some() {
                continue;
            }
            let place = self.drafts.place(source, |role| {
                role == Role::Class(size) || role == Role::Size || at(role)
            });
            let classes: Vec<&str> = card.sizes.iter().map(|class| class.name.as_str()).collect();
            let found = self.settings.names.sizes.written(size.0).to_owned();
            let expected = format!(
                "a size class of the car's card, {}: {}",
                card.name,
                super::toml_doc::one_of(&classes)
            );
            self.error(index, place, found, expected, None);
        }
        let mut outsize = false;
        for measured in &draft.measured {
            let class = card.class_for(measured.diameter);
            outsize |= class.is_none();
            if let (Some(class), true) = (class, measured.as_oversize) {
                let place = self.drafts.place(source, |role| role == Role::Oversize);
                let expected = format!(
                    "an oversize dent; {} fits the class {} and is counted there",
                    measured.diameter, card.sizes[class].name
                );
                let found = measured.diameter.0.normalize().to_string();
                self.drafts
                    .caution(index, place, found, expected, self.problems);
            }
        }
        let total = draft.total();
        if total > MAX_DENTS {
            let place = self.drafts.place(source, |_| false);
            self.error(
                index,
                place,
                total.to_string(),
                "at most 9,999 dents on a panel",
                None,
            );
        }
        for &code in &draft.removals {
            if card.removals.iter().any(|removal| removal.id == code) {
                continue;
            }
            let place = self
                .drafts
                .place(source, |role| role == Role::Remove || at(role));
            self.foreign_code(index, place, code, card);
        }
        let in_classes = draft.sized.iter().any(|(_, dents)| *dents > 0)
            || draft
                .measured
                .iter()
                .any(|measured| card.class_for(measured.diameter).is_some());
        if in_classes && !draft.conventional && card.grid_for(panel).is_none() {
            let place = self
                .drafts
                .place(source, |role| role == Role::Panel || at(role));
            let expected = format!(
                "a panel that a grid of the car's card, {}, serves",
                card.name
            );
            self.error(index, place, panel.word(), expected, None);
        }
        let sheet = &self.drafts.sheets[source.sheet as usize];
        let by_total = sheet
            .columns
            .iter()
            .any(|column| column.role == Role::Dents)
            && !sheet
                .columns
                .iter()
                .any(|column| matches!(column.role, Role::Class(_)));
        if by_total && !draft.sized.is_empty() && card.mixed_sizes != MixedSizes::Predominant {
            self.one_size_sheets.insert(source.sheet);
        }
        self.panel_cautions(index, draft, body, total > 0 || outsize);
    }

    fn panel_cautions(&mut self, index: usize, draft: &PanelDraft, body: Body, dented: bool) {
        let (source, panel) = (draft.source, draft.panel);
        let at = |role: Role| matches!(role, Role::PanelCell(cell) if cell == panel);
        if !body.can_have(panel) {
            let place = self
                .drafts
                .place(source, |role| role == Role::Panel || at(role));
            let expected = format!("a panel that a {} can have", body.word());
            self.drafts
                .caution(index, place, panel.word(), expected, self.problems);
        }
        let glued = draft
            .access
            .is_some_and(|(access, _)| access == Access::Glue);
        let expected = match draft.paint {
            Paint::Repainted if dented && glued => {
                "factory paint where glue pulls: repainted paint may lift"
            }
            Paint::Repainted if dented => "factory paint, or no glue pulling here",
            Paint::Broken if dented && !draft.conventional => {
                "sound paint on a panel that is priced; broken paint is for the counter to refer"
            }
            _ => return,
        };
        let place = self.drafts.place(source, |role| role == Role::Paint);
        self.drafts
            .caution(index, place, draft.paint.word(), expected, self.problems);
    }

    fn foreign_code(
        &mut self,
        index: usize,
        place: Place,
        code: crate::storm::CodeId,
        card: &RateCard,
    ) {
        let codes: Vec<&str> = card
            .removals
            .iter()
            .map(|removal| removal.code.as_str())
            .collect();
        let found = self.settings.names.codes.written(code.0).to_owned();
        let expected = if codes.is_empty() {
            format!(
                "a removal code of the car's card, {}: it has none",
                card.name
            )
        } else {
            format!(
                "a removal code of the car's card, {}: {}",
                card.name,
                super::toml_doc::one_of(&codes)
            )
        };
        self.error(index, place, found, expected, None);
    }

    fn car_removals(&mut self, index: usize, card: &RateCard) -> Vec<crate::storm::CodeId> {
        let wanted = self.drafts.cars[index].removals.clone();
        let mut codes = Vec::new();
        for removal in wanted {
            let place = self
                .drafts
                .place(removal.source, |role| role == Role::Remove);
            match card.removals.iter().find(|known| known.id == removal.code) {
                None => self.foreign_code(index, place, removal.code, card),
                Some(known) if known.once_per == OncePer::Panel => {
                    let expected = "a code that is once per vehicle; this one is once per panel and belongs in the panel's cell";
                    self.error(index, place, known.code.clone(), expected, None);
                }
                Some(_) if codes.contains(&removal.code) => {}
                Some(_) => codes.push(removal.code),
            }
        }
        codes
    }

    /// R&I on a car none of whose panels can be priced.
    fn removal_without_panel(&mut self, index: usize, panels: &[PanelDraft]) {
        if panels
            .iter()
            .any(|panel| panel.total() > 0 && !panel.conventional)
        {
            return;
        }
        let listed = panels
            .iter()
            .find_map(|panel| Some((panel.source, panel.panel, *panel.removals.first()?)));
        let by_car = self.drafts.cars[index].removals.first().copied();
        let (source, panel, code) = match (listed, by_car) {
            (Some((source, panel, code)), _) => (source, Some(panel), code),
            (None, Some(removal)) => (removal.source, None, removal.code),
            (None, None) => return,
        };
        let place = self.drafts.place(source, |role| {
            role == Role::Remove
                || matches!((role, panel), (Role::PanelCell(cell), Some(panel)) if cell == panel)
        });
        let found = self.settings.names.codes.written(code.0).to_owned();
        self.drafts.caution(
            index,
            place,
            found,
            "R&I on a car with a priced panel",
            self.problems,
        );
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

fn count_of(draft: PanelDraft) -> PanelCount {
    let mut measured: Vec<MeasuredDents> = Vec::new();
    for dents in &draft.measured {
        match measured
            .iter_mut()
            .find(|known| known.diameter == dents.diameter)
        {
            Some(known) => known.dents += dents.dents,
            None => measured.push(MeasuredDents {
                diameter: dents.diameter,
                dents: dents.dents,
            }),
        }
    }
    PanelCount {
        panel: draft.panel,
        sized: draft.sized,
        measured,
        metal: draft.metal.map(|(metal, _)| metal).unwrap_or_default(),
        access: draft.access.map(|(access, _)| access).unwrap_or_default(),
        removals: draft.removals,
        conventional: draft.conventional,
        prior: draft.prior,
        paint: draft.paint,
        note: draft.note,
        counted_by: draft.counted_by,
        counted_on: draft.counted_on,
        source: draft.source,
    }
}

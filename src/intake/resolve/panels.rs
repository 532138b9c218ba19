//! What was counted on a car, checked against its payer's card.

use super::super::header::Role;
use super::super::panel_draft::PanelDraft;
use super::super::problem::Place;
use super::super::toml_doc::one_of;
use super::{MAX_DENTS, Resolver};
use crate::rates::{MixedSizes, OncePer, RateCard};
use crate::storm::{Access, Body, MeasuredDents, Paint, Panel, PanelCount, Provenance};

impl Resolver<'_> {
    pub(super) fn panel(&mut self, index: usize, draft: &PanelDraft, card: &RateCard, body: Body) {
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
                one_of(&classes)
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
                self.caution(index, place, found, expected);
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
        if sheet.by_total && !draft.sized.is_empty() && card.mixed_sizes != MixedSizes::Predominant
        {
            self.found.one_size_sheets.insert(source.sheet);
        }
        self.panel_cautions(index, draft, body, total > 0 || outsize);
    }

    pub(super) fn panel_cautions(
        &mut self,
        index: usize,
        draft: &PanelDraft,
        body: Body,
        dented: bool,
    ) {
        let (source, panel) = (draft.source, draft.panel);
        let at = |role: Role| matches!(role, Role::PanelCell(cell) if cell == panel);
        if !body.can_have(panel) {
            let place = self
                .drafts
                .place(source, |role| role == Role::Panel || at(role));
            let expected = format!("a panel that a {} can have", body.word());
            self.caution(index, place, panel.word(), expected);
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
        self.caution(index, place, draft.paint.word(), expected);
    }

    pub(super) fn foreign_code(
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
                one_of(&codes)
            )
        };
        self.error(index, place, found, expected, None);
    }

    pub(super) fn car_removals(
        &mut self,
        index: usize,
        card: &RateCard,
        codes: &mut Vec<crate::storm::CodeId>,
    ) {
        let drafts = self.drafts;
        for removal in drafts.cars[index].removals() {
            let place = || drafts.place(removal.source, |role| role == Role::Remove);
            match card.removals.iter().find(|known| known.id == removal.code) {
                None => self.foreign_code(index, place(), removal.code, card),
                Some(known) if known.once_per == OncePer::Panel => {
                    let expected = "a code that is once per vehicle; this one is once per panel and belongs in the panel's cell";
                    self.error(index, place(), known.code.clone(), expected, None);
                }
                Some(_) if codes.contains(&removal.code) => {}
                Some(_) => codes.push(removal.code),
            }
        }
    }

    /// R&I on a car none of whose panels can be priced.
    /// `listed` is the first that a panel's row lists.
    pub(super) fn removal_without_panel(
        &mut self,
        index: usize,
        listed: Option<(Provenance, Panel, crate::storm::CodeId)>,
    ) {
        let by_car = self.drafts.cars[index].removals().first().copied();
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
        self.caution(index, place, found, "R&I on a car with a priced panel");
    }
}

pub(super) fn count_of(draft: PanelDraft) -> PanelCount {
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

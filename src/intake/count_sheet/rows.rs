//! One row in each of the three layouts.

use super::super::car_cell;
use super::super::cells::{self, Read, Refusal};
use super::super::draft::CarRemoval;
use super::super::header::Role;
use super::super::panel_cell;
use super::super::panel_draft::PanelDraft;
use super::super::table::{Cell, Row};
use super::SheetReader;
use crate::storm::words::PanelWord;
use crate::storm::{CodeId, Panel, Provenance, SizeId};

impl SheetReader<'_> {
    pub(super) fn panel_of(&mut self, row: Row<'_>, car: usize) -> Option<Panel> {
        let index = self.index_of(Role::Panel)?;
        let cell = row.cell(index);
        let vocabulary = &self.settings.vocabulary;
        let read = match (cell, vocabulary.panel(&cell.shown())) {
            (Cell::Blank, _) => Err(Refusal::new("a panel")),
            (Cell::NoValue(_), _) => Err(Refusal::new("a formula with a stored value")),
            (_, Some(PanelWord::One(panel))) => Ok(panel),
            (_, Some(PanelWord::NoSide(panels))) => Err(side_refusal(panels)),
            (cell, None) => Err(Refusal {
                expected: "a panel".to_owned(),
                // Comparing with every word is for messages that are kept.
                meant: (!self.problems.is_full())
                    .then(|| vocabulary.nearest_panel(&cell.shown()))
                    .flatten(),
            }),
        };
        match read {
            Ok(panel) => Some(panel),
            Err(refusal) => {
                self.refuse(row.number, index, car, &cell.shown(), refusal);
                None
            }
        }
    }

    pub(super) fn codes(&mut self, row: Row<'_>, car: usize) -> Vec<CodeId> {
        let list = self.get(row, Role::Remove, car, cells::word_list);
        let Some(index) = self.index_of(Role::Remove) else {
            return Vec::new();
        };
        let mut codes = Vec::new();
        for word in list {
            match self.code(&word) {
                Ok(code) => codes.push(code),
                Err(refusal) => self.refuse(row.number, index, car, &word, refusal),
            }
        }
        codes
    }

    pub(super) fn code(&self, word: &str) -> Read<CodeId> {
        self.settings.names.code(word)
    }

    /// Metal, access, conventional, prior, paint, note, removals: what panel
    /// rows and dent rows share.
    pub(super) fn common(&mut self, row: Row<'_>, car: usize, draft: &mut PanelDraft) {
        draft.metal = self
            .get(row, Role::Metal, car, panel_cell::metal)
            .map(|metal| (metal, row.number));
        draft.access = self
            .get(row, Role::Access, car, panel_cell::access)
            .map(|access| (access, row.number));
        draft.conventional = self.get(row, Role::Conventional, car, cells::yes_no);
        draft.prior = self.get(row, Role::Prior, car, panel_cell::prior);
        draft.paint = self.get(row, Role::Paint, car, panel_cell::paint);
        draft.note = self.get(row, Role::Note, car, cells::text);
        draft.counted_by = self.get(row, Role::CountedBy, car, cells::text);
        draft.counted_on = self.get(row, Role::CountedOn, car, cells::text);
        for code in self.codes(row, car) {
            draft.add_removal(code);
        }
    }

    pub(super) fn panel_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let Some(panel) = self.panel_of(row, car) else {
            return;
        };
        let mut draft = PanelDraft::new(panel, source);
        let classes: Vec<(usize, SizeId)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::Class(size) => Some((column.index, size)),
                _ => None,
            })
            .collect();
        let mut by_class = false;
        for (index, size) in classes {
            by_class |= !row.cell(index).is_blank();
            let dents = self.get_at(row, index, car, cells::dents);
            draft.add_sized(size, dents);
        }
        self.dents_and_size(row, car, &mut draft, by_class);
        let (unit, comma) = (self.settings.unit, self.table.decimal_comma());
        if let Some(index) = self.index_of(Role::Oversize) {
            for sized in self.get_many(row, index, car, |cell| cells::sizes(cell, unit, comma)) {
                draft.add_measured(sized.diameter, sized.dents, true);
            }
        }
        self.common(row, car, &mut draft);
        self.take(row, car, draft);
    }

    /// Takes in the panel of a row that names it in its panel column.
    pub(super) fn take(&mut self, row: Row<'_>, car: usize, draft: PanelDraft) {
        let written = self
            .index_of(Role::Panel)
            .map_or(Cell::Blank, |index| row.cell(index));
        self.drafts.take_panel(
            car,
            draft,
            &written.shown(),
            self.settings.intake.repeated,
            self.problems,
        );
    }

    /// The columns `dents` and `size`: a total and its predominant class.
    pub(super) fn dents_and_size(
        &mut self,
        row: Row<'_>,
        car: usize,
        draft: &mut PanelDraft,
        by_class: bool,
    ) {
        let Some(index) = self.index_of(Role::Dents) else {
            return;
        };
        let cell = row.cell(index);
        let total = self.get_at(row, index, car, cells::dents);
        if by_class {
            let sum: u32 = draft.sized.iter().map(|(_, dents)| *dents).sum();
            if !cell.is_blank() && total != sum {
                let refusal = Refusal::new(format!("blank, or the sum of the classes: {sum}"));
                self.refuse(row.number, index, car, &cell.shown(), refusal);
            }
            return;
        }
        let names = &self.settings.names;
        let size = self.get(row, Role::Size, car, |cell| match cell {
            Cell::Blank => Ok(None),
            cell => names.size(&cell.shown()).map(Some),
        });
        match size {
            Some(size) => draft.add_sized(size, total),
            None if total > 0 => {
                let at = self.index_of(Role::Size);
                let shown = at.map_or(Cell::Blank, |at| row.cell(at));
                // A size that is there but unknown was reported already.
                if shown.is_blank() {
                    let word = if total == 1 { "dent" } else { "dents" };
                    let refusal = Refusal::new(format!("a size class for {total} {word}"));
                    self.refuse(row.number, at.unwrap_or(index), car, "", refusal);
                }
            }
            None => {}
        }
    }

    pub(super) fn dent_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let Some(panel) = self.panel_of(row, car) else {
            return;
        };
        let mut draft = PanelDraft::new(panel, source);
        draft.adds_up = true;
        let column = self
            .meta()
            .columns
            .iter()
            .find_map(|column| match column.role {
                Role::Diameter(unit) => Some((column.index, unit)),
                _ => None,
            });
        let count_at = self.index_of(Role::Count);
        let count_cell = count_at.map_or(Cell::Blank, |at| row.cell(at));
        let bad_before = self.drafts.cars[car].bad;
        self.drafts.cars[car].bad = false;
        let count = if count_cell.is_blank() {
            1
        } else {
            self.get(row, Role::Count, car, cells::dents)
        };
        let count_refused = std::mem::replace(&mut self.drafts.cars[car].bad, bad_before);
        self.drafts.cars[car].bad |= count_refused;
        if let Some((index, unit)) = column {
            let (unit, comma) = (
                unit.unwrap_or(self.settings.unit),
                self.table.decimal_comma(),
            );
            let blank = row.cell(index).is_blank();
            let diameter = self.get_at(row, index, car, |cell| cells::diameter(cell, unit, comma));
            if blank && count > 0 && !count_refused {
                let refusal = Refusal::new("a diameter; only count 0 has none");
                self.refuse(row.number, index, car, "", refusal);
            }
            if let Some(diameter) = diameter {
                draft.add_measured(diameter, count, false);
            }
        }
        self.common(row, car, &mut draft);
        self.take(row, car, draft);
    }

    pub(super) fn car_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let panels: Vec<(usize, Panel)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::PanelCell(panel) => Some((column.index, panel)),
                _ => None,
            })
            .collect();
        let grammar = car_cell::Grammar {
            names: &self.settings.names,
            decimal_comma: self.table.decimal_comma(),
        };
        for (index, panel) in panels {
            if row.cell(index).is_blank() {
                continue;
            }
            self.drafts.cars[car].spoken_of = true;
            let mut draft = PanelDraft::new(panel, source);
            let terms = self.get_many(row, index, car, |cell| grammar.read(cell));
            car_cell::apply(&terms, &mut draft, row.number);
            self.drafts.take_panel(
                car,
                draft,
                panel.word(),
                self.settings.intake.repeated,
                self.problems,
            );
        }
        for code in self.codes(row, car) {
            self.drafts.cars[car].spoken_of = true;
            self.drafts.cars[car]
                .of_car_mut()
                .removals
                .push(CarRemoval { code, source });
        }
        let note = self.get(row, Role::Note, car, cells::text);
        if !note.is_empty() && self.drafts.cars[car].note().is_empty() {
            self.drafts.cars[car].of_car_mut().note = note;
        }
    }
}

/// The refusal of a panel word without its side.
pub(super) fn side_refusal(panels: &[Panel]) -> Refusal {
    let words: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
    Refusal::new(format!(
        "a side: {}",
        super::super::toml_doc::one_of(&words)
    ))
}

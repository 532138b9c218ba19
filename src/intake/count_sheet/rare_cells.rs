//! What few rows of a region say: oversize dents, what is removed, notes.

use super::super::cells;
use super::super::header::Role;
use super::super::panel_cell;
use super::super::panel_list::{PanelRef, PlainPanel, StoredPanel};
use super::super::storm_file::Settings;
use super::super::table::Cell;
use crate::storm::SizeId;
use std::ops::Range;

/// The cells of one row that are blank in most others.
pub struct RareCells {
    cells: Vec<(Role, Range<usize>)>,
    /// Whether a comma may stand in a figure.
    comma: bool,
}

impl RareCells {
    /// None yet, of a text with this delimiter.
    pub fn new(delimiter: u8) -> RareCells {
        RareCells {
            cells: Vec::new(),
            comma: delimiter == b';',
        }
    }

    /// Forgets those of the row before.
    pub fn clear(&mut self) {
        self.cells.clear();
    }

    /// Whether the row has none.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// Adds the cell of a role that stands at some bytes.
    pub fn push(&mut self, role: Role, at: Range<usize>) {
        self.cells.push((role, at));
    }

    /// The panel of which the row says this too, beside what is plain; none where the
    /// reader has something to say to it.
    pub fn rich(
        &self,
        bytes: &[u8],
        plain: PlainPanel,
        settings: &Settings,
        classes: &[SizeId],
    ) -> Option<StoredPanel> {
        let mut draft = PanelRef::Plain(plain).unpack(classes);
        for (role, at) in &self.cells {
            let cell = Cell::of_utf8(&bytes[at.clone()]);
            match role {
                Role::Oversize => {
                    let (sizes, refused) = cells::sizes(cell, settings.unit, self.comma);
                    if !refused.is_empty() {
                        return None;
                    }
                    for sized in sizes {
                        draft.add_measured(sized.diameter, sized.dents, true);
                    }
                }
                Role::Remove => {
                    for word in cells::word_list(cell).ok()? {
                        draft.add_removal(settings.names.code(&word).ok()?);
                    }
                }
                Role::Conventional => draft.conventional = cells::yes_no(cell).ok()?,
                Role::Prior => draft.prior = panel_cell::prior(cell).ok()?,
                Role::Paint => draft.paint = panel_cell::paint(cell).ok()?,
                Role::Note => draft.note = cells::text(cell).ok()?,
                Role::CountedBy => draft.counted_by = cells::text(cell).ok()?,
                Role::CountedOn => draft.counted_on = cells::text(cell).ok()?,
                _ => return None,
            }
        }
        Some(StoredPanel::pack(draft, classes))
    }
}

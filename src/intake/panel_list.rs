//! The panels of one car, packed: a region counts eleven million of them.

use super::panel_draft::PanelDraft;
use crate::storm::{Access, Metal, Paint, Panel, Provenance, SizeId, SizedDents};

/// How many size classes a packed panel can tell apart.
pub const MANY: usize = 8;
/// How many of them it can where one has more dents than a byte holds.
const FEW: usize = 4;

/// Dents by class: the classes are the sheet's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PackedDents {
    Few([u16; FEW]),
    Many([u8; MANY]),
}

impl PackedDents {
    fn of(sized: &[(SizeId, u32)], classes: &[SizeId]) -> Option<PackedDents> {
        let mut dents = [0_u32; MANY];
        let mut last = None;
        for (size, count) in sized {
            let at = classes.iter().position(|class| class == size)?;
            // What is unpacked stands in the order of the classes.
            if last.is_some_and(|last| last >= at) {
                return None;
            }
            last = Some(at);
            *dents.get_mut(at)? = *count;
        }
        PackedDents::of_classes(dents)
    }

    fn of_classes(dents: [u32; MANY]) -> Option<PackedDents> {
        if dents.iter().all(|count| *count <= u32::from(u8::MAX)) {
            return Some(PackedDents::Many(dents.map(|count| count as u8)));
        }
        let fits =
            |(at, count): (usize, &u32)| *count == 0 || at < FEW && u16::try_from(*count).is_ok();
        dents.iter().enumerate().all(fits).then(|| {
            let mut few = [0; FEW];
            for (packed, count) in few.iter_mut().zip(dents) {
                *packed = count as u16;
            }
            PackedDents::Few(few)
        })
    }

    fn total(self) -> u32 {
        match self {
            PackedDents::Few(dents) => dents.iter().map(|dents| u32::from(*dents)).sum(),
            PackedDents::Many(dents) => dents.iter().map(|dents| u32::from(*dents)).sum(),
        }
    }

    fn unpack(self, classes: &[SizeId]) -> SizedDents {
        let mut sized = SizedDents::new();
        let mut push = |at: usize, dents: u32| {
            if dents > 0 {
                sized.push((classes[at], dents));
            }
        };
        match self {
            PackedDents::Few(dents) => (0..FEW).for_each(|at| push(at, dents[at].into())),
            PackedDents::Many(dents) => (0..MANY).for_each(|at| push(at, dents[at].into())),
        }
        sized
    }
}

/// A panel of which no more was said than dents by class, a metal, an access.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlainPanel {
    /// The row.
    pub row: u32,
    dents: PackedDents,
    sheet: u16,
    /// Which panel.
    pub panel: Panel,
    metal: Option<Metal>,
    access: Option<Access>,
}

impl PlainPanel {
    /// A panel of a row: its dents by the classes of its sheet. None where they
    /// do not fit.
    #[must_use]
    pub fn new(
        source: Provenance,
        panel: Panel,
        dents: [u32; MANY],
        metal: Option<Metal>,
        access: Option<Access>,
    ) -> Option<PlainPanel> {
        Some(PlainPanel {
            row: source.row,
            dents: PackedDents::of_classes(dents)?,
            sheet: u16::try_from(source.sheet).ok()?,
            panel,
            metal,
            access,
        })
    }

    /// All its dents.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.dents.total()
    }
}

/// One panel in the list.
#[derive(Debug, Clone)]
pub enum StoredPanel {
    /// With room for what a row usually tells.
    Plain(PlainPanel),
    /// With all there is.
    Whole(Box<PanelDraft>),
}

impl StoredPanel {
    /// Stores a panel in as little room as it needs. `classes` are those of its sheet.
    #[must_use]
    pub fn pack(draft: PanelDraft, classes: &[SizeId]) -> StoredPanel {
        match plain(&draft, classes) {
            Some(plain) => StoredPanel::Plain(plain),
            None => StoredPanel::Whole(Box::new(draft)),
        }
    }

    /// Which panel.
    #[must_use]
    pub fn panel(&self) -> Panel {
        match self {
            StoredPanel::Plain(plain) => plain.panel,
            StoredPanel::Whole(draft) => draft.panel,
        }
    }

    /// Where it stands first.
    #[must_use]
    pub fn source(&self) -> Provenance {
        match self {
            StoredPanel::Plain(plain) => Provenance {
                sheet: plain.sheet.into(),
                row: plain.row,
            },
            StoredPanel::Whole(draft) => draft.source,
        }
    }

    /// Counts its rows from another one: `before` rows stand above those that
    /// it was read with.
    pub fn rows_below(&mut self, before: u32) {
        match self {
            StoredPanel::Plain(plain) => plain.row += before,
            StoredPanel::Whole(draft) => {
                draft.source.row += before;
                let metal = draft.metal.as_mut().map(|(_, row)| row);
                let access = draft.access.as_mut().map(|(_, row)| row);
                for row in metal.into_iter().chain(access) {
                    *row += before;
                }
            }
        }
    }

    /// All that was said of it.
    #[must_use]
    pub fn unpack(&self, classes: &[SizeId]) -> PanelDraft {
        match self {
            StoredPanel::Plain(plain) => {
                let mut draft = PanelDraft::new(plain.panel, self.source());
                draft.sized = plain.dents.unpack(classes);
                draft.metal = plain.metal.map(|metal| (metal, plain.row));
                draft.access = plain.access.map(|access| (access, plain.row));
                draft
            }
            StoredPanel::Whole(draft) => (**draft).clone(),
        }
    }
}

fn plain(draft: &PanelDraft, classes: &[SizeId]) -> Option<PlainPanel> {
    let PanelDraft {
        panel,
        sized,
        measured,
        metal,
        access,
        removals,
        conventional,
        prior,
        paint,
        note,
        counted_by,
        counted_on,
        source,
        adds_up,
    } = draft;
    let nothing_else = measured.is_empty()
        && removals.is_empty()
        && !conventional
        && *prior == 0
        && *paint == Paint::default()
        && note.is_empty()
        && counted_by.is_empty()
        && counted_on.is_empty()
        && !adds_up;
    let of_row = |row: Option<u32>| row.is_none_or(|row| row == source.row);
    let rows = of_row(metal.map(|(_, row)| row)) && of_row(access.map(|(_, row)| row));
    if !nothing_else || !rows {
        return None;
    }
    Some(PlainPanel {
        row: source.row,
        dents: PackedDents::of(sized, classes)?,
        sheet: u16::try_from(source.sheet).ok()?,
        panel: *panel,
        metal: metal.map(|(metal, _)| metal),
        access: access.map(|(access, _)| access),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The room that DEVELOPERS.md reckons with.
    #[test]
    fn a_stored_panel_takes_24_bytes() {
        assert_eq!(std::mem::size_of::<StoredPanel>(), 24);
    }
}

//! The panels of one car, packed: a region counts eleven million of them.

use super::eight_bytes::{everywhere, together, zeros};
use super::panel_draft::PanelDraft;
use crate::storm::{Access, ClassDents, Metal, Paint, Panel, PlainCount, Provenance, SizeId};

/// How many size classes a packed panel can tell apart.
pub const MANY: usize = PlainCount::CLASSES;

/// Packs dents by size; none where they do not fit.
fn packed(sized: &[(SizeId, u32)], classes: &[SizeId]) -> Option<ClassDents> {
    let mut dents = [0; MANY];
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
    ClassDents::new(dents)
}

/// The classes with dents, one bit each.
fn present(dents: ClassDents) -> u8 {
    match dents {
        ClassDents::Few(dents) => {
            let any = |at: usize| u8::from(dents >> (16 * at) & 0xffff > 0) << at;
            any(0) | any(1) | any(2) | any(3)
        }
        ClassDents::Many(dents) => together(everywhere(0x80) ^ zeros(dents)),
    }
}

/// A panel of which no more was said than dents by class, a metal, an access.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlainPanel {
    dents: [u8; 8],
    /// The row.
    pub row: u32,
    sheet: u16,
    /// Which panel.
    pub panel: Panel,
    surface: Surface,
}

/// A metal and an access, where they were said, and how dents are packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Surface(u8);

impl Surface {
    const MANY: u8 = 1 << 4;

    /// What was said.
    #[must_use]
    pub fn new(metal: Option<Metal>, access: Option<Access>) -> Surface {
        let metal = metal.map_or(0, |metal| metal as u8 + 1);
        let access = access.map_or(0, |access| access as u8 + 1);
        Surface(metal | access << 2)
    }

    /// What two places say of it, each another part.
    #[inline]
    #[must_use]
    pub fn and(self, other: Surface) -> Surface {
        Surface(self.0 | other.0)
    }

    /// The same beside dents that are packed in one of two ways.
    #[inline]
    #[must_use]
    pub fn with_packing(self, dents: ClassDents) -> Surface {
        match dents {
            ClassDents::Few(_) => Surface(self.0 & !Surface::MANY),
            ClassDents::Many(_) => Surface(self.0 | Surface::MANY),
        }
    }

    /// Whether they are packed as those of many classes.
    #[inline]
    #[must_use]
    pub fn is_many(self) -> bool {
        self.0 & Surface::MANY != 0
    }

    fn metal(self) -> Option<Metal> {
        const SAID: [Option<Metal>; 4] = {
            let [one, two, three] = Metal::ALL;
            [None, Some(one), Some(two), Some(three)]
        };
        SAID[usize::from(self.0 & 3)]
    }

    fn access(self) -> Option<Access> {
        const SAID: [Option<Access>; 4] = {
            let [one, two, three] = Access::ALL;
            [None, Some(one), Some(two), Some(three)]
        };
        SAID[usize::from(self.0 >> 2 & 3)]
    }
}

impl PlainPanel {
    /// A panel of a row: its dents by the classes of its sheet.
    #[inline]
    #[must_use]
    pub fn new(
        (sheet, row): (u16, u32),
        panel: Panel,
        dents: ClassDents,
        surface: Surface,
    ) -> PlainPanel {
        let (ClassDents::Few(packed) | ClassDents::Many(packed)) = dents;
        PlainPanel {
            dents: packed.to_le_bytes(),
            row,
            sheet,
            panel,
            surface: surface.with_packing(dents),
        }
    }

    fn dents(&self) -> ClassDents {
        let dents = u64::from_le_bytes(self.dents);
        match self.surface.is_many() {
            false => ClassDents::Few(dents),
            true => ClassDents::Many(dents),
        }
    }

    /// The metal, where one was said.
    #[must_use]
    pub fn metal(&self) -> Option<Metal> {
        self.surface.metal()
    }

    /// The access, where one was said.
    #[must_use]
    pub fn access(&self) -> Option<Access> {
        self.surface.access()
    }

    /// All its dents.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.dents().total()
    }

    /// The classes of its sheet in which it has dents, one bit each.
    #[must_use]
    pub fn classes_present(&self) -> u8 {
        present(self.dents())
    }

    /// What was counted.
    #[must_use]
    pub fn count(&self) -> PlainCount {
        PlainCount {
            panel: self.panel,
            metal: self.metal().unwrap_or_default(),
            access: self.access().unwrap_or_default(),
            dents: self.total(),
            by_class: self.dents(),
            source: self.source(),
        }
    }

    /// Index of its sheet.
    #[must_use]
    pub fn sheet(&self) -> usize {
        self.sheet.into()
    }

    /// Where it stands.
    #[must_use]
    pub fn source(&self) -> Provenance {
        Provenance {
            sheet: self.sheet.into(),
            row: self.row,
        }
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

    /// The panel, wherever it is kept.
    #[inline]
    #[must_use]
    pub fn as_ref(&self) -> PanelRef<'_> {
        match self {
            StoredPanel::Plain(plain) => PanelRef::Plain(*plain),
            StoredPanel::Whole(draft) => PanelRef::Whole(draft),
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
}

/// One panel of a car, wherever it is kept.
#[derive(Debug, Clone, Copy)]
pub enum PanelRef<'a> {
    /// Packed.
    Plain(PlainPanel),
    /// With all there is.
    Whole(&'a PanelDraft),
}

impl PanelRef<'_> {
    /// Which panel.
    #[inline]
    #[must_use]
    pub fn panel(&self) -> Panel {
        match self {
            PanelRef::Plain(plain) => plain.panel,
            PanelRef::Whole(draft) => draft.panel,
        }
    }

    /// Where it stands first.
    #[must_use]
    pub fn source(&self) -> Provenance {
        match self {
            PanelRef::Plain(plain) => plain.source(),
            PanelRef::Whole(draft) => draft.source,
        }
    }

    /// The same to be kept by itself.
    #[must_use]
    pub fn stored(&self) -> StoredPanel {
        match *self {
            PanelRef::Plain(plain) => StoredPanel::Plain(plain),
            PanelRef::Whole(draft) => StoredPanel::Whole(Box::new(draft.clone())),
        }
    }

    /// All that was said of it. `classes` are those of its sheet.
    #[must_use]
    pub fn unpack(&self, classes: &[SizeId]) -> PanelDraft {
        match self {
            PanelRef::Plain(plain) => {
                let mut draft = PanelDraft::new(plain.panel, plain.source());
                for (size, dents) in classes.iter().zip(plain.dents().by_class()) {
                    draft.add_sized(*size, dents.into());
                }
                draft.metal = plain.metal().map(|metal| (metal, plain.row));
                draft.access = plain.access().map(|access| (access, plain.row));
                draft
            }
            PanelRef::Whole(draft) => (*draft).clone(),
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
    Some(PlainPanel::new(
        (u16::try_from(source.sheet).ok()?, source.row),
        *panel,
        packed(sized, classes)?,
        Surface::new(
            metal.map(|(metal, _)| metal),
            access.map(|(access, _)| access),
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The room that DEVELOPERS.md reckons with.
    #[test]
    fn a_stored_panel_takes_16_bytes() {
        assert_eq!(std::mem::size_of::<StoredPanel>(), 16);
    }

    const CLASSES: [SizeId; MANY] = [
        SizeId(0),
        SizeId(1),
        SizeId(2),
        SizeId(3),
        SizeId(4),
        SizeId(5),
        SizeId(6),
        SizeId(7),
    ];

    /// What is packed comes out as it went in, or is kept whole.
    #[test]
    fn a_panel_comes_out_as_it_went_in() {
        let source = Provenance { sheet: 3, row: 7 };
        let counts = [0, 1, 9, 254, 255, 256, 9_999, 65_535, 65_536];
        for (turn, one) in (0..).zip(counts) {
            for other in counts {
                for classes in [1, 4, 5, 8] {
                    let mut draft = PanelDraft::new(Panel::RailL, source);
                    for (at, size) in CLASSES.iter().take(classes).enumerate() {
                        draft.add_sized(*size, if at % 2 == turn % 2 { one } else { other });
                    }
                    draft.metal = Some((Metal::Aluminium, 7));
                    let stored = StoredPanel::pack(draft.clone(), &CLASSES);
                    let found = stored.as_ref().unpack(&CLASSES);
                    assert_eq!(format!("{found:?}"), format!("{draft:?}"));
                    assert_eq!(stored.as_ref().panel(), Panel::RailL);
                    if let StoredPanel::Plain(plain) = &stored {
                        assert_eq!(plain.total(), draft.total());
                        let present = draft.sized.iter().map(|(size, _)| 1_u8 << size.0);
                        assert_eq!(plain.classes_present(), present.sum::<u8>());
                    }
                    assert_eq!(stored.as_ref().source(), source);
                    // A metal from another row takes room of its own.
                    draft.metal = Some((Metal::Aluminium, 6));
                    let stored = StoredPanel::pack(draft.clone(), &CLASSES);
                    assert!(matches!(stored, StoredPanel::Whole(_)));
                    let found = stored.as_ref().unpack(&CLASSES);
                    assert_eq!(format!("{found:?}"), format!("{draft:?}"));
                }
            }
        }
    }

    /// Every metal and every access comes out, and so does that none was said.
    #[test]
    fn surfaces_come_out_as_they_went_in() {
        let source = Provenance {
            sheet: 65_535,
            row: u32::MAX,
        };
        for metal in Metal::ALL.into_iter().map(Some).chain([None]) {
            for access in Access::ALL.into_iter().map(Some).chain([None]) {
                for dents in [3, 300] {
                    let mut row = [0; MANY];
                    row[2] = dents;
                    let dents_packed = ClassDents::new(row).expect("dents that fit");
                    let surface = Surface::new(metal, access);
                    let place = (65_535, u32::MAX);
                    let plain = PlainPanel::new(place, Panel::RockerR, dents_packed, surface);
                    assert_eq!((plain.metal(), plain.access()), (metal, access));
                    assert_eq!((plain.total(), plain.source()), (dents, source));
                    assert_eq!((plain.classes_present(), plain.panel), (4, Panel::RockerR));
                }
            }
        }
    }
}

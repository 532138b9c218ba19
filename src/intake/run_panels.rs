//! The panels that the rows of a block tell of, packed closer still: the rows of
//! most cars of a region stand together, so that one place tells those of all.

use super::panel_list::{PanelRef, PlainPanel, StoredPanel, Surface};
use crate::storm::{ClassDents, Panel};
use std::ops::Range;

/// What a plain row says of a panel, without its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PackedPanel {
    /// 8 bits a class, or 12 where one of the first four has more than they hold.
    dents: [u8; 6],
    panel: Panel,
    surface: Surface,
}

impl PackedPanel {
    /// The bits of a class of which there are few.
    const FEW_BITS: usize = 48 / ClassDents::FEW;

    /// None where the dents do not fit.
    #[inline]
    #[must_use]
    pub fn new(panel: Panel, dents: ClassDents, surface: Surface) -> Option<PackedPanel> {
        let packed = match dents {
            ClassDents::Many(dents) => dents,
            ClassDents::Few(dents) => close_up(dents)?,
        };
        let [dents_packed @ .., 0, 0] = packed.to_le_bytes() else {
            return None;
        };
        Some(PackedPanel {
            dents: dents_packed,
            panel,
            surface: surface.with_packing(dents),
        })
    }

    /// The panel at its place.
    #[inline]
    fn at(self, place: (u16, u32)) -> PlainPanel {
        let [a, b, c, d, e, f] = self.dents;
        let dents = u64::from_le_bytes([a, b, c, d, e, f, 0, 0]);
        let dents = match self.surface.is_many() {
            true => ClassDents::Many(dents),
            false => ClassDents::Few(open_up(dents)),
        };
        PlainPanel::new(place, self.panel, dents, self.surface)
    }
}

/// Few classes of 16 bits each, closed up; none where one has more dents than fit.
fn close_up(dents: u64) -> Option<u64> {
    let mut packed = 0;
    for class in 0..ClassDents::FEW {
        let of_class = dents >> (16 * class) & 0xffff;
        if of_class >> PackedPanel::FEW_BITS > 0 {
            return None;
        }
        packed |= of_class << (PackedPanel::FEW_BITS * class);
    }
    Some(packed)
}

fn open_up(packed: u64) -> u64 {
    let of_class = |class: usize| packed >> (PackedPanel::FEW_BITS * class) & 0xfff;
    (0..ClassDents::FEW).fold(0, |dents, class| dents | of_class(class) << (16 * class))
}

/// A panel of a block.
#[derive(Debug, Clone, Copy)]
enum Slot {
    /// With all that was said of it.
    Packed(PackedPanel),
    /// The place of another one, of which more was said.
    Other([u8; 4]),
}

/// The panels of the rows of a block.
#[derive(Debug, Default)]
pub struct RunPanels {
    /// Index of their sheet.
    pub sheet: u16,
    slots: Vec<Slot>,
    others: Vec<StoredPanel>,
}

impl RunPanels {
    /// Room for more.
    pub fn reserve(&mut self, more: usize) {
        self.slots.reserve(more);
    }

    /// Gives back what room is left.
    pub fn shrink_to_fit(&mut self) {
        self.slots.shrink_to_fit();
        self.others.shrink_to_fit();
    }

    /// Adds the panel of another row.
    #[inline(always)] // a region adds eleven million
    pub fn push(&mut self, panel: PackedPanel) {
        self.slots.push(Slot::Packed(panel));
    }

    /// The same of one that is not packed so closely, with its row.
    #[cold]
    pub fn push_other(&mut self, panel: StoredPanel) {
        let place = u32::try_from(self.others.len());
        // A block of more does not fit in memory.
        let place = place.expect("bug: a block of billions of panels");
        self.others.push(panel);
        self.slots.push(Slot::Other(place.to_le_bytes()));
    }

    /// Counts rows from another one, where they are kept: `before` rows stand above
    /// those that they were read with.
    pub fn rows_below(&mut self, before: u32) {
        for other in &mut self.others {
            other.rows_below(before);
        }
    }

    /// The panels of rows that follow each other, the first of which is `row`.
    #[inline]
    #[must_use]
    pub fn run(&self, run: Range<usize>, row: u32) -> Panels<'_> {
        Panels {
            own: &[],
            slots: &self.slots[run],
            others: &self.others,
            sheet: self.sheet,
            row,
        }
    }
}

/// The panels of a car, wherever they are kept.
#[derive(Debug, Clone, Copy)]
pub struct Panels<'a> {
    own: &'a [StoredPanel],
    /// Those of a block whose rows follow each other, where none is its own.
    slots: &'a [Slot],
    others: &'a [StoredPanel],
    sheet: u16,
    /// The row of the first.
    row: u32,
}

impl<'a> Panels<'a> {
    /// Panels that are kept by themselves.
    #[must_use]
    pub fn own(panels: &'a [StoredPanel]) -> Panels<'a> {
        Panels {
            own: panels,
            slots: &[],
            others: &[],
            sheet: 0,
            row: 0,
        }
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.own.is_empty() && self.slots.is_empty()
    }

    /// All of them, in order of appearance.
    #[inline]
    pub fn iter(self) -> PanelsIter<'a> {
        PanelsIter {
            own: self.own.iter(),
            slots: self.slots.iter(),
            others: self.others,
            place: (self.sheet, self.row),
        }
    }
}

/// Panels one after the other.
pub struct PanelsIter<'a> {
    own: std::slice::Iter<'a, StoredPanel>,
    slots: std::slice::Iter<'a, Slot>,
    others: &'a [StoredPanel],
    /// Where the next one of a block stands.
    place: (u16, u32),
}

impl<'a> Iterator for PanelsIter<'a> {
    type Item = PanelRef<'a>;

    #[inline]
    fn next(&mut self) -> Option<PanelRef<'a>> {
        let Some(slot) = self.slots.next() else {
            return self.own.next().map(StoredPanel::as_ref);
        };
        let place = self.place;
        self.place.1 += 1;
        Some(match slot {
            Slot::Packed(packed) => PanelRef::Plain(packed.at(place)),
            Slot::Other(other) => self.others[u32::from_le_bytes(*other) as usize].as_ref(),
        })
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = self.own.len() + self.slots.len();
        (left, Some(left))
    }
}

#[cfg(test)]
mod tests {
    use super::super::panel_draft::PanelDraft;
    use super::super::panel_list::MANY;
    use super::*;
    use crate::storm::{Access, Metal, Provenance};

    /// The room that DEVELOPERS.md reckons with.
    #[test]
    fn a_panel_of_a_block_takes_8_bytes() {
        assert_eq!(size_of::<Slot>(), 8);
    }

    /// What stands in rows below each other comes out as it went in and at its
    /// place, whatever fits in eight bytes and whatever does not.
    #[test]
    fn panels_come_out_as_they_went_in() {
        let counts = [0, 1, 255, 256, 4_095, 4_096, 65_535];
        let (mut panels, mut expected, mut other) = (RunPanels::default(), Vec::new(), 0);
        panels.sheet = 4_464;
        for (at, &one) in counts.iter().enumerate() {
            for &two in &counts {
                for class in 0..MANY {
                    let mut dents = [0; MANY];
                    dents[class] = one;
                    dents[(class + 1) % MANY] = two;
                    let Some(dents) = ClassDents::new(dents) else {
                        continue;
                    };
                    let metal = Metal::ALL.get(at).copied();
                    let access = Access::ALL.get(class).copied();
                    let panel = Panel::ALL[(at * 7 + class) % Panel::ALL.len()];
                    let surface = Surface::new(metal, access);
                    let row = 5 + expected.len() as u32;
                    let plain = |row| PlainPanel::new((panels.sheet, row), panel, dents, surface);
                    expected.push(plain(row));
                    // The row of one that is kept is the block's.
                    let above = StoredPanel::Plain(plain(row - 3));
                    match PackedPanel::new(panel, dents, surface) {
                        Some(packed) => panels.push(packed),
                        None => {
                            other += 1;
                            panels.push_other(above);
                        }
                    }
                }
            }
        }
        panels.rows_below(3);
        assert!(other > 20 && expected.len() - other > 100, "{other}");
        let all = panels.run(0..expected.len(), 5);
        for (expected, found) in expected.iter().zip(all.iter()) {
            match found {
                PanelRef::Plain(found) => assert_eq!(found, *expected),
                PanelRef::Whole(_) => panic!("a plain panel"),
            }
        }
        assert_eq!(
            all.iter().size_hint(),
            (expected.len(), Some(expected.len()))
        );
        assert_eq!(all.iter().count(), expected.len());
        let some = panels.run(10..20, 15);
        let found: Vec<u32> = some.iter().map(|panel| panel.source().row).collect();
        assert_eq!(found, (15..25).collect::<Vec<u32>>());
    }

    /// A panel of which more was said stands among the others, all its rows counted
    /// from the top of the sheet.
    #[test]
    fn a_whole_panel_stands_among_the_others() {
        let source = Provenance { sheet: 2, row: 8 };
        let mut draft = PanelDraft::new(Panel::Roof, source);
        draft.metal = Some((Metal::Aluminium, 8));
        draft.access = Some((Access::Glue, 8));
        draft.note = "a note".to_owned();
        let packed = |panel| {
            let dents = ClassDents::Many(3);
            PackedPanel::new(panel, dents, Surface::default()).expect("few dents")
        };
        let mut panels = RunPanels {
            sheet: 2,
            ..RunPanels::default()
        };
        panels.push(packed(Panel::Hood));
        panels.push_other(StoredPanel::pack(draft, &[]));
        panels.push(packed(Panel::Decklid));
        panels.shrink_to_fit();
        panels.rows_below(100);
        let mut run = panels.run(0..3, 107).iter();
        let sources = panels.run(0..3, 107).iter().map(|panel| panel.source().row);
        assert_eq!(sources.collect::<Vec<u32>>(), [107, 108, 109]);
        let Some(PanelRef::Whole(draft)) = run.nth(1) else {
            panic!("a whole panel");
        };
        assert_eq!(draft.note, "a note");
        assert_eq!(draft.metal, Some((Metal::Aluminium, 108)));
        assert_eq!(draft.access, Some((Access::Glue, 108)));
    }
}

//! What was counted on one panel: facts, before any card sorts or prices them.

use super::{Access, ClassDents, Metal, Paint, Panel};
use crate::units::Millimetres;
use smallvec::SmallVec;

/// A size class by name, across all cards of the storm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SizeId(pub u16);

/// A removal code by name, across all cards of the storm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CodeId(pub u16);

/// Where a value came from: a sheet of the intake and a row as a spreadsheet counts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Provenance {
    /// Index into the intake's sheets.
    pub sheet: u32,
    /// The row; a sheet's first row is 1.
    pub row: u32,
}

/// Some dents of one measured diameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MeasuredDents {
    /// The diameter.
    pub diameter: Millimetres,
    /// How many.
    pub dents: u32,
}

/// Dents by size class. Few cards have more than four classes, so most counts
/// need no memory of their own.
pub type SizedDents = SmallVec<[(SizeId, u32); 4]>;

/// The count of one panel of one car.
#[derive(Debug, Clone)]
pub struct PanelCount {
    /// Which panel.
    pub panel: Panel,
    /// Dents by size class, each class once, none of them 0.
    pub sized: SizedDents,
    /// Dents whose diameter was measured. A card sorts them into its classes
    /// or, where they are too big for all, prices them one by one.
    pub measured: Vec<MeasuredDents>,
    /// The metal.
    pub metal: Metal,
    /// The access.
    pub access: Access,
    /// Removals listed on this panel, each once.
    pub removals: Vec<CodeId>,
    /// The counter refers it to conventional repair.
    pub conventional: bool,
    /// Dents that are not of this storm: shown, never priced.
    pub prior: u32,
    /// The paint.
    pub paint: Paint,
    /// A remark of the counter.
    pub note: String,
    /// Who counted, where it is said.
    pub counted_by: String,
    /// When, as it was written.
    pub counted_on: String,
    /// Where the count stands.
    pub source: Provenance,
}

/// The count of a panel of which a row tells no more than dents by class, a
/// metal and an access: nearly all of a region's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlainCount {
    /// Which panel.
    pub panel: Panel,
    /// The metal.
    pub metal: Metal,
    /// The access.
    pub access: Access,
    /// All dents.
    pub dents: u32,
    /// The same by the classes of their sheet, in its order.
    pub by_class: ClassDents,
    /// Where the count stands.
    pub source: Provenance,
}

impl PlainCount {
    /// The most classes of a sheet that it tells apart.
    pub const CLASSES: usize = 8;

    /// The count as any other one. `classes` are those of its sheet.
    #[must_use]
    pub fn whole(&self, classes: &[SizeId]) -> PanelCount {
        let by_class = self.by_class.by_class().map(u32::from);
        let sized = classes.iter().copied().zip(by_class);
        PanelCount {
            panel: self.panel,
            sized: sized.filter(|(_, dents)| *dents > 0).collect(),
            measured: Vec::new(),
            metal: self.metal,
            access: self.access,
            removals: Vec::new(),
            conventional: false,
            prior: 0,
            paint: Paint::default(),
            note: String::new(),
            counted_by: String::new(),
            counted_on: String::new(),
            source: self.source,
        }
    }
}

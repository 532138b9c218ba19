//! The dents of one row.

use super::super::panel_list::MANY;
use super::cuts::RowCells;
use super::plain_columns::Layout;
use super::whole_numbers::whole_number;
use crate::storm::ClassDents;

/// The dents of a row, a byte a class: nearly all rows have no more.
#[derive(Clone, Copy, Default)]
pub struct FewDents {
    /// All counts, one over the other.
    all: u32,
    packed: u64,
}

impl FewDents {
    /// The dents of a class that had none so far.
    #[inline]
    pub fn set(&mut self, class: usize, dents: u32) {
        self.all |= dents;
        self.packed |= u64::from(dents) << (8 * class);
    }

    /// The dents of a class and of the next one, which had none so far.
    #[inline]
    pub fn set_two(&mut self, class: usize, [one, other]: [u32; 2]) {
        self.all |= one | other;
        self.packed |= (u64::from(one) | u64::from(other) << 8) << (8 * class);
    }

    /// None where a byte does not hold them.
    #[inline]
    pub fn packed(self) -> Option<ClassDents> {
        (self.all <= u32::from(u8::MAX)).then_some(ClassDents::Many(self.packed))
    }
}

/// The dents of a row of which a class has many, read once more; `size` is the class
/// of its total.
#[cold]
pub fn many_dents(layout: &Layout, cells: RowCells<'_>, size: Option<usize>) -> Option<ClassDents> {
    let mut dents = [0; MANY];
    let twos = layout
        .twos
        .iter()
        .flat_map(|&(cell, class)| [(cell, class), (cell + 1, class + 1)]);
    let total = layout.dents.zip(size);
    for (cell, class) in twos.chain(layout.classes.iter().copied()).chain(total) {
        dents[class] = whole_number(cells.text, cells.cell(cell))?;
    }
    ClassDents::new(dents)
}

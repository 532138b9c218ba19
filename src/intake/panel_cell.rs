//! What a cell says of a panel beside its dents.

use super::cells::{self, Read};
use super::table::Cell;
use crate::storm::words;
use crate::storm::{Access, Metal, Paint};

/// A metal; a blank says none.
pub fn metal(cell: Cell<'_>) -> Read<Option<Metal>> {
    let known = Metal::ALL.map(|metal| (metal.word(), metal));
    cells::word(cell, &known, words::metal)
}

/// An access; a blank says none.
pub fn access(cell: Cell<'_>) -> Read<Option<Access>> {
    let known = Access::ALL.map(|access| (access.word(), access));
    cells::word(cell, &known, words::access)
}

/// A paint; a blank is the factory's.
pub fn paint(cell: Cell<'_>) -> Read<Paint> {
    let known = Paint::ALL.map(|paint| (paint.word(), paint));
    let find = |word: &str| {
        let folded = words::fold(word);
        Paint::ALL.into_iter().find(|paint| paint.word() == folded)
    };
    cells::word(cell, &known, find).map(Option::unwrap_or_default)
}

/// Dents that are not of this storm.
pub fn prior(cell: Cell<'_>) -> Read<u32> {
    cells::whole(cell, "a whole number of dents")
}

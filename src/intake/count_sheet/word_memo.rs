//! Words that were read before: a sheet repeats a handful of them a million times.

use super::super::table::Cell;

/// What the first words of a column were read as.
pub struct WordMemo<T> {
    slots: Vec<Option<(Box<[u8]>, T)>>,
}

const SLOTS: usize = 256;
/// Slots that are looked at for one word.
const TRIED: usize = 8;

impl<T> Default for WordMemo<T> {
    fn default() -> WordMemo<T> {
        WordMemo {
            slots: std::iter::repeat_with(|| None).take(SLOTS).collect(),
        }
    }
}

impl<T: Copy> WordMemo<T> {
    /// What a cell was read as, or what `read` makes of it now.
    pub fn get(&mut self, cell: &[u8], read: impl FnOnce(Cell<'_>) -> Option<T>) -> Option<T> {
        let first = slot_of(cell);
        for slot in first..first + TRIED {
            let slot = &mut self.slots[slot % SLOTS];
            match slot {
                Some((known, value)) if **known == *cell => return Some(*value),
                Some(_) => {}
                None => {
                    let value = read_cell(cell, read)?;
                    *slot = Some((cell.into(), value));
                    return Some(value);
                }
            }
        }
        read_cell(cell, read)
    }
}

fn read_cell<T>(cell: &[u8], read: impl FnOnce(Cell<'_>) -> Option<T>) -> Option<T> {
    read(Cell::of_text(std::str::from_utf8(cell).ok()?))
}

/// A few letters tell the words of a column apart well enough.
fn slot_of(cell: &[u8]) -> usize {
    let letter = |at: usize| cell.get(at).map_or(0, |byte| usize::from(*byte));
    let end = cell.len();
    end * 7 + letter(0) * 3 + letter(end.wrapping_sub(1)) * 31 + letter(end / 2) * 5
}

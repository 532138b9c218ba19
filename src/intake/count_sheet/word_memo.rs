//! Words that were read before: a sheet repeats a handful of them a million times.

use super::super::table::Cell;

/// A cell's bytes as one number: short words are compared in one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WordKey {
    bytes: u128,
    length: usize,
}

impl WordKey {
    /// The longest word that has a key, and one byte more.
    const WINDOW: usize = 16;

    /// The key of the cell between two bytes of a text.
    #[inline]
    pub fn of(text: &[u8], at: usize, end: usize) -> WordKey {
        let length = end - at;
        let bytes = match text[at..].first_chunk::<{ WordKey::WINDOW }>() {
            Some(window) if length < WordKey::WINDOW => {
                u128::from_le_bytes(*window) & ((1 << (8 * length)) - 1)
            }
            _ => {
                let mut bytes = [0; WordKey::WINDOW];
                for (slot, byte) in bytes.iter_mut().zip(&text[at..end]) {
                    *slot = *byte;
                }
                u128::from_le_bytes(bytes)
            }
        };
        WordKey { bytes, length }
    }

    /// Whether it tells the word apart from every other one.
    pub fn is_whole(self) -> bool {
        self.length < WordKey::WINDOW
    }

    /// Few letters tell the words of a column apart well enough.
    fn slot(self) -> usize {
        let folded = self.bytes ^ self.bytes >> 64;
        let mixed = (folded as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        (mixed >> 56) as usize
    }
}

/// A count of up to four digits or nothing, between two bytes of a text; none
/// for all else. How many digits there are is as good as random, so that
/// nothing branches on it.
#[inline]
pub fn whole_number(text: &[u8], at: usize, end: usize) -> Option<u32> {
    let length = end - at;
    if length > 4 {
        return None;
    }
    let window = match text[..end].last_chunk::<4>() {
        Some(chunk) => *chunk,
        None => {
            // Nothing stands above the text.
            let mut window = [0; 4];
            window[4 - length..].copy_from_slice(&text[at..end]);
            window
        }
    };
    // The digits stand at the upper end, below them is what stands before the cell.
    let cell = (0xffff_ffff_u64 << (32 - 8 * length)) as u32;
    let values = (u32::from_le_bytes(window) ^ 0x3030_3030) & cell;
    let above_nine = (values.wrapping_add(0x7676_7676) | values) & 0x8080_8080;
    if above_nine != 0 {
        return None;
    }
    let [thousands, hundreds, tens, ones] = values.to_le_bytes().map(u32::from);
    Some(thousands * 1_000 + hundreds * 100 + tens * 10 + ones)
}

/// What the first words of a column were read as.
pub struct WordMemo<T> {
    slots: Vec<Option<(WordKey, T)>>,
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
    /// What a word was read as.
    #[inline]
    pub fn find(&self, key: WordKey) -> Option<T> {
        let first = key.slot();
        for slot in first..first + TRIED {
            match &self.slots[slot % SLOTS] {
                Some((known, value)) if *known == key => return Some(*value),
                Some(_) => {}
                None => return None,
            }
        }
        None
    }

    /// Keeps what a word was read as, where there is room and it has a key.
    pub fn keep(&mut self, key: WordKey, value: T) {
        if !key.is_whole() {
            return;
        }
        let first = key.slot();
        let mut slots = (first..first + TRIED).map(|slot| slot % SLOTS);
        if let Some(free) = slots.find(|slot| self.slots[*slot].is_none()) {
            self.slots[free] = Some((key, value));
        }
    }

    /// What a cell was read as, or what `read` makes of it now.
    pub fn get(
        &mut self,
        key: WordKey,
        cell: &[u8],
        read: impl FnOnce(Cell<'_>) -> Option<T>,
    ) -> Option<T> {
        if let Some(known) = self.find(key) {
            return Some(known);
        }
        let value = read_cell(cell, read)?;
        self.keep(key, value);
        Some(value)
    }
}

fn read_cell<T>(cell: &[u8], read: impl FnOnce(Cell<'_>) -> Option<T>) -> Option<T> {
    read(Cell::of_text(std::str::from_utf8(cell).ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A word is told apart by its key from what stands behind it, before it and
    /// from longer ones, in the middle of a text and at its end.
    #[test]
    fn a_key_is_of_its_word_alone() {
        let word = "\u{e9}bcdefghij".repeat(5);
        for length in 0..40 {
            let word = &word.as_bytes()[..length];
            let alone = WordKey::of(word, 0, length);
            assert_eq!(alone.is_whole(), length < 16);
            for behind in [0, 1, 30] {
                for before in [0, 1, 30] {
                    let text = [&b",".repeat(before), word, &b"x".repeat(behind)].concat();
                    assert_eq!(WordKey::of(&text, before, before + length), alone);
                    if behind > 0 {
                        let longer = WordKey::of(&text, before, before + length + 1);
                        assert!(longer != alone);
                    }
                }
            }
        }
    }

    /// Words that a memo has no room for, and words without a key, are read anew.
    #[test]
    fn a_memo_gives_every_word_its_own() {
        let mut memo = WordMemo::default();
        for turn in 0..2 {
            for number in 0..5_000_u32 {
                let long = if number % 7 == 0 {
                    "-and-so-on-and-on"
                } else {
                    ""
                };
                let word = format!("{number}{long}");
                let key = WordKey::of(word.as_bytes(), 0, word.len());
                let mut reads = 0;
                let found = memo.get(key, word.as_bytes(), |cell| {
                    reads += 1;
                    cell.shown().trim_end_matches(long).parse::<u32>().ok()
                });
                assert_eq!(found, Some(number));
                assert!(turn == 1 || reads == 1);
                assert!(long.is_empty() || reads == 1);
            }
        }
        assert_eq!(memo.slots.iter().flatten().count(), SLOTS);
    }

    /// Every count of up to four digits, and every byte in place of a digit, is
    /// read as the standard library reads it, whatever stands beside it.
    #[test]
    fn counts_are_what_the_library_reads() {
        let check = |before: &[u8], cell: &[u8], behind: &[u8]| {
            let text = [before, cell, behind].concat();
            let found = whole_number(&text, before.len(), before.len() + cell.len());
            let is_plain = cell.len() <= 4 && cell.iter().all(u8::is_ascii_digit);
            let number = std::str::from_utf8(cell).ok().and_then(|cell| match cell {
                "" => Some(0),
                cell => cell.parse().ok(),
            });
            let expected = number.filter(|_| is_plain);
            assert_eq!(found, expected, "{before:?} {cell:?} {behind:?}");
        };
        for behind in [&b""[..], b";", b";1;22;steel"] {
            for before in [&b""[..], b";", b"7;", b"hood;9999;"] {
                for count in 0..=12_000_u32 {
                    check(before, count.to_string().as_bytes(), behind);
                }
                check(before, b"", behind);
                check(before, b"007", behind);
                for byte in 0..=u8::MAX {
                    check(before, &[byte], behind);
                    check(before, &[b'1', byte], behind);
                    check(before, &[byte, b'9', b'0', b'4'], behind);
                }
            }
        }
    }
}

//! Words that were read before: a sheet repeats a handful of them a million times.

use super::super::table::Cell;

/// Up to fifteen bytes of a cell and how many they are as one number: short words
/// are compared in one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WordKey(u128);

impl WordKey {
    /// The longest word that has a key, and one byte more.
    const WINDOW: usize = 16;
    /// Where its length stands, above all bytes of a word.
    const LENGTH: usize = 8 * (WordKey::WINDOW - 1);
    /// The length of a word that has no key, and of no word.
    const LONG: u128 = 0xff;
    const NONE: WordKey = WordKey(0xfe << WordKey::LENGTH);

    /// The bytes of a word of each length.
    const BYTES: [u128; WordKey::WINDOW] = {
        let (mut bytes, mut length) = ([0; WordKey::WINDOW], 0);
        while length < WordKey::WINDOW {
            bytes[length] = (1 << (8 * length)) - 1;
            length += 1;
        }
        bytes
    };

    /// The key of the cell between two bytes of a text.
    #[inline]
    pub fn of(text: &[u8], at: usize, end: usize) -> WordKey {
        let length = end - at;
        match (text[at..].first_chunk(), WordKey::BYTES.get(length)) {
            (Some(window), Some(bytes)) => {
                WordKey(u128::from_le_bytes(*window) & bytes | (length as u128) << WordKey::LENGTH)
            }
            _ => WordKey::of_odd(&text[at..end]),
        }
    }

    /// The same for a word that is long, or that stands at the end of a text.
    #[cold]
    fn of_odd(word: &[u8]) -> WordKey {
        let mut bytes = [0; WordKey::WINDOW];
        for (slot, byte) in bytes.iter_mut().zip(word.iter().take(WordKey::WINDOW - 1)) {
            *slot = *byte;
        }
        let length = match word.len() < WordKey::WINDOW {
            true => word.len() as u128,
            false => WordKey::LONG,
        };
        WordKey(u128::from_le_bytes(bytes) | length << WordKey::LENGTH)
    }

    /// Whether it tells the word apart from every other one.
    pub fn is_whole(self) -> bool {
        self.0 >> WordKey::LENGTH < WordKey::WINDOW as u128
    }

    /// Few letters tell the words of a column apart well enough.
    fn slot(self) -> usize {
        let folded = self.0 ^ self.0 >> 64;
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
    let window = match text[at..].first_chunk() {
        Some(window) => *window,
        None => short_window(&text[at..end]),
    };
    // The last digit goes to the upper end; what stands behind the cell falls out,
    // and what comes in below is no digit but 0.
    let values = u64::from(u32::from_le_bytes(window) ^ 0x3030_3030) << (32 - 8 * length);
    let values = values as u32;
    let above_nine = (values.wrapping_add(0x7676_7676) | values) & 0x8080_8080;
    if above_nine != 0 {
        return None;
    }
    // Two digits side by side in one step, and then both pairs.
    let pairs = (values * 10 + (values >> 8)) & 0x00ff_00ff;
    Some((pairs & 0xff) * 100 + (pairs >> 16))
}

/// Of a cell behind which the text ends.
#[cold]
fn short_window(cell: &[u8]) -> [u8; 4] {
    let mut window = [0; 4];
    window[..cell.len()].copy_from_slice(cell);
    window
}

/// What the first words of a column were read as.
pub struct WordMemo<T> {
    /// A free slot has the key of no word.
    slots: Vec<(WordKey, Option<T>)>,
}

const SLOTS: usize = 256;
/// Slots that are looked at for one word.
const TRIED: usize = 8;

impl<T> Default for WordMemo<T> {
    fn default() -> WordMemo<T> {
        let free = std::iter::repeat_with(|| (WordKey::NONE, None));
        WordMemo {
            slots: free.take(SLOTS).collect(),
        }
    }
}

impl<T: Copy> WordMemo<T> {
    /// What a word was read as.
    #[inline]
    pub fn find(&self, key: WordKey) -> Option<T> {
        let first = key.slot();
        for slot in first..first + TRIED {
            let (known, value) = &self.slots[slot % SLOTS];
            if *known == key || *known == WordKey::NONE {
                return *value;
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
        if let Some(free) = slots.find(|slot| self.slots[*slot].0 == WordKey::NONE) {
            self.slots[free] = (key, Some(value));
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

    /// A short word is told apart by its key from what stands behind it, before it
    /// and from longer ones, in the middle of a text and at its end; a long one has
    /// the same wherever it stands.
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
                        assert!(longer != alone || !alone.is_whole());
                    }
                }
            }
        }
    }

    /// Words that a memo has no room for, and words without a key, are read anew.
    #[test]
    fn a_memo_gives_every_word_its_own() {
        let mut memo = WordMemo::<u32>::default();
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
        let kept = memo.slots.iter().filter(|(key, _)| *key != WordKey::NONE);
        assert_eq!(kept.count(), SLOTS);
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

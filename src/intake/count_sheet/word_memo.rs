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
        let window = text.get(at..at + WordKey::WINDOW);
        let window = window.and_then(|window| window.first_chunk());
        match (window, WordKey::BYTES.get(length)) {
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

/// What the first words of a column were read as.
pub struct WordMemo<T> {
    /// A free slot has the key of no word.
    slots: Box<[(WordKey, Option<T>); SLOTS]>,
}

const SLOTS: usize = 256;
/// Slots that are looked at for one word.
const TRIED: usize = 8;

impl<T> Default for WordMemo<T> {
    fn default() -> WordMemo<T> {
        WordMemo {
            slots: Box::new([const { (WordKey::NONE, None) }; SLOTS]),
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
}

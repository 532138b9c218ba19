//! Words that were read before: a sheet repeats a handful of them a million times.

use super::super::table::Cell;

/// A cell's bytes as one number: short words are compared in one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WordKey {
    bytes: u128,
    length: usize,
}

/// Finds cells and their keys.
#[derive(Debug, Clone, Copy)]
pub struct WordCutter {
    delimiter: u8,
    /// The delimiter in every byte.
    delimiters: u128,
}

impl WordKey {
    /// The longest word that has a key, and one byte more.
    const WINDOW: usize = 16;

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

impl WordCutter {
    /// For cells between these delimiters.
    pub fn new(delimiter: u8) -> WordCutter {
        WordCutter {
            delimiter,
            delimiters: u128::from_le_bytes([delimiter; WordKey::WINDOW]),
        }
    }

    /// A count of up to four digits or nothing, and where its cell ends; none for
    /// all else. How many digits there are is as good as random, so that nothing
    /// branches on it.
    pub fn whole_number(self, text: &[u8], at: usize, line_end: usize) -> Option<(u32, usize)> {
        let mut window = [0; 8];
        match text[at..].first_chunk::<8>() {
            Some(chunk) => window = *chunk,
            None => {
                for (slot, byte) in window.iter_mut().zip(&text[at..]) {
                    *slot = *byte;
                }
            }
        }
        let word = u64::from_le_bytes(window);
        let mark = word ^ self.delimiters as u64;
        let length = (first_zero_byte(u128::from(mark)).min(8)).min(line_end - at);
        if length > 4 {
            return None;
        }
        // The digits at the upper end of four bytes, nothing but zeros below.
        let digits = ((word as u32 as u64) << (32 - 8 * length)) as u32;
        let zeros = 0x3030_3030_u32 & (0xffff_ffff_u64 << (32 - 8 * length)) as u32;
        let values = digits ^ zeros;
        let above_nine = (values.wrapping_add(0x7676_7676) | values) & 0x8080_8080;
        if above_nine != 0 {
            return None;
        }
        let [thousands, hundreds, tens, ones] = values.to_le_bytes().map(u32::from);
        let count = thousands * 1_000 + hundreds * 100 + tens * 10 + ones;
        Some((count, at + length))
    }

    /// The key of the cell that begins at a byte, and where it ends: at the
    /// delimiter or with the line.
    pub fn cut(self, text: &[u8], at: usize, line_end: usize) -> (WordKey, usize) {
        if let Some(window) = text[at..].first_chunk::<{ WordKey::WINDOW }>() {
            let word = u128::from_le_bytes(*window);
            let length = first_zero_byte(word ^ self.delimiters).min(line_end - at);
            if length < WordKey::WINDOW {
                let bytes = word & ((1 << (8 * length)) - 1);
                return (WordKey { bytes, length }, at + length);
            }
        }
        let cell = &text[at..line_end];
        let length = cell
            .iter()
            .position(|byte| *byte == self.delimiter)
            .unwrap_or(cell.len());
        let mut bytes = [0; WordKey::WINDOW];
        for (slot, byte) in bytes.iter_mut().zip(&cell[..length]) {
            *slot = *byte;
        }
        let bytes = u128::from_le_bytes(bytes);
        (WordKey { bytes, length }, at + length)
    }
}

/// Which byte is the first that is zero, from the low end; 16 where none is.
/// (x - 0x01…) & !x & 0x80… has its lowest bit there (Warren 2012, Hacker's
/// Delight, 6-1).
fn first_zero_byte(word: u128) -> usize {
    const ONES: u128 = u128::from_le_bytes([0x01; 16]);
    const HIGHS: u128 = u128::from_le_bytes([0x80; 16]);
    let zeros = word.wrapping_sub(ONES) & !word & HIGHS;
    zeros.trailing_zeros() as usize / 8
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
    /// What a cell was read as, or what `read` makes of it now.
    pub fn get(
        &mut self,
        key: WordKey,
        cell: &[u8],
        read: impl FnOnce(Cell<'_>) -> Option<T>,
    ) -> Option<T> {
        if !key.is_whole() {
            return read_cell(cell, read);
        }
        let first = key.slot();
        for slot in first..first + TRIED {
            let slot = &mut self.slots[slot % SLOTS];
            match slot {
                Some((known, value)) if *known == key => return Some(*value),
                Some(_) => {}
                None => {
                    let value = read_cell(cell, read)?;
                    *slot = Some((key, value));
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Cells of every length, in the middle of a text and at its end, are cut
    /// where a search byte by byte cuts them.
    #[test]
    fn cells_end_at_the_delimiter_or_with_the_line() {
        for length in 0..40 {
            for behind in [0, 1, 30] {
                let cell = "\u{e9}bcdefghij".repeat(5);
                let cell = &cell.as_bytes()[..length];
                let mut text = cell.to_vec();
                text.extend(std::iter::repeat_n(b',', behind));
                let (key, end) = WordCutter::new(b',').cut(&text, 0, text.len());
                assert_eq!(end, length);
                assert_eq!(key.is_whole(), length < 16);
                let (again, end) = WordCutter::new(b',').cut(&text, 0, length);
                assert_eq!((again, end), (key, length));
            }
        }
    }

    /// Every count of up to four digits, and every byte in place of a digit, is
    /// read as the standard library reads it.
    #[test]
    fn counts_are_what_the_library_reads() {
        let cutter = WordCutter::new(b';');
        let check = |cell: &[u8], behind: &[u8]| {
            let text = [cell, behind].concat();
            let found = cutter.whole_number(&text, 0, text.len());
            let is_plain = cell.len() <= 4 && cell.iter().all(u8::is_ascii_digit);
            let number = std::str::from_utf8(cell).ok().and_then(|cell| match cell {
                "" => Some(0),
                cell => cell.parse().ok(),
            });
            let expected = number
                .filter(|_| is_plain)
                .map(|number| (number, cell.len()));
            assert_eq!(found, expected, "{cell:?} {behind:?}");
        };
        for behind in [&b""[..], b";", b";1;22;steel", b";;;;;;;;;;"] {
            for count in 0..=12_000_u32 {
                check(count.to_string().as_bytes(), behind);
            }
            check(b"", behind);
            check(b"007", behind);
            for byte in (0..=u8::MAX).filter(|byte| *byte != b';') {
                check(&[byte], behind);
                check(&[b'1', byte], behind);
                check(&[byte, b'9', b'0', b'4'], behind);
            }
        }
    }
}

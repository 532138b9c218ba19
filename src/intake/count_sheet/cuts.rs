//! Where the cells of a text end: at a delimiter, or with their line.

use memchr::{memchr, memchr2};

/// Bytes that are looked at in one go: one bit each.
const WIDE: usize = 64;

/// Finds the ends of cells one after the other, 64 bytes at a time. Where one
/// ends hangs on nothing that stands in it, so that a row can be read while the
/// next one is looked for.
pub struct Cuts<'t> {
    text: &'t [u8],
    /// The delimiter in every byte.
    delimiters: u64,
    /// The first of the bytes that `left` is about.
    base: usize,
    /// Those of them that end a cell, one bit each, without the ones that were passed.
    left: u64,
}

const ONES: u64 = u64::from_le_bytes([0x01; 8]);

impl<'t> Cuts<'t> {
    /// The ends of a text from a byte on.
    pub fn new(text: &'t [u8], delimiter: u8, from: usize) -> Cuts<'t> {
        let mut cuts = Cuts {
            text,
            delimiters: ONES * u64::from(delimiter),
            base: 0,
            left: 0,
        };
        cuts.seek(from);
        cuts
    }

    /// Goes on at a byte, wherever it stood before.
    pub fn seek(&mut self, at: usize) {
        self.base = at;
        self.left = self.ends_here();
    }

    /// The next end; the text's own where no other is left.
    #[inline]
    pub fn next(&mut self) -> usize {
        while self.left == 0 {
            if self.text.len() <= self.base + WIDE {
                return self.text.len();
            }
            self.base += WIDE;
            self.left = self.ends_here();
        }
        let end = self.base + self.left.trailing_zeros() as usize;
        self.left &= self.left - 1;
        end
    }

    fn ends_here(&self) -> u64 {
        let rest = &self.text[self.base..];
        match rest.first_chunk() {
            Some(bytes) => self.ends_in(bytes),
            None => {
                // What is filled up with is no end.
                let mut bytes = [0; WIDE];
                bytes[..rest.len()].copy_from_slice(rest);
                self.ends_in(&bytes)
            }
        }
    }

    #[inline]
    fn ends_in(&self, bytes: &[u8; WIDE]) -> u64 {
        let (words, _) = bytes.as_chunks::<8>();
        let mut ends = 0;
        for (at, word) in words.iter().enumerate() {
            let word = u64::from_le_bytes(*word);
            let found = zeros(word ^ self.delimiters) | zeros(word ^ (ONES * u64::from(b'\n')));
            ends |= together(found) << (8 * at);
        }
        ends
    }
}

/// The highest bit of every byte that is zero, and no other bit (Warren 2012,
/// Hacker's Delight, 6-1).
fn zeros(word: u64) -> u64 {
    const REST: u64 = u64::from_le_bytes([0x7f; 8]);
    !(((word & REST) + REST) | word | REST)
}

/// The highest bits of eight bytes side by side in the lowest byte: the factor
/// moves bit 8·n to bit 56 + n, and no two of its products meet.
fn together(highest: u64) -> u64 {
    (highest >> 7).wrapping_mul(0x0102_0408_1020_4080) >> 56
}

/// Whether a line ends at a byte, or the text does.
#[inline]
pub fn is_line_end(bytes: &[u8], at: usize) -> bool {
    bytes.get(at).is_none_or(|byte| *byte == b'\n')
}

/// The end of the line at a byte.
pub fn line_end(bytes: &[u8], at: usize) -> usize {
    memchr(b'\n', &bytes[at..]).map_or(bytes.len(), |line| at + line)
}

/// Whether the row at a byte is a line: no quote stands in it, and no carriage
/// return but at its end.
pub fn is_line(bytes: &[u8], at: usize) -> bool {
    let line = &bytes[at..line_end(bytes, at)];
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    memchr2(b'"', b'\r', line).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From any byte on the ends are those that a search byte by byte finds.
    #[test]
    fn ends_are_delimiters_and_line_ends() {
        // Every byte occurs beside a delimiter, and neighbours of both among them.
        let all = (0..=u8::MAX).flat_map(|byte| [byte, b';', byte, b':', b'\n', byte]);
        let long: Vec<u8> = all.chain([b'x'; 200]).chain(*b";y\n;;").collect();
        for text in [&long[..], &long[..long.len() - 1], b"", b";", b"\n", b"abc"] {
            for from in 0..=text.len() {
                let mut cuts = Cuts::new(text, b';', from);
                let ends = (from..text.len()).filter(|at| matches!(text[*at], b';' | b'\n'));
                for end in ends {
                    assert_eq!(cuts.next(), end);
                }
                assert_eq!(cuts.next(), text.len());
                assert_eq!(cuts.next(), text.len());
                cuts.seek(from);
                let first = (from..text.len()).find(|at| matches!(text[*at], b';' | b'\n'));
                assert_eq!(cuts.next(), first.unwrap_or(text.len()));
            }
        }
    }
}

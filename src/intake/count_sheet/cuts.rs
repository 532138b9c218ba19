//! Where the cells of a text end: at a delimiter, or with their line.

use super::super::eight_bytes::{below, ones_by_byte};
use super::super::table::MAX_CELL_CHARS;
use super::whole_numbers::Span;
use wide::{u8x16, u16x8};

/// Bytes that are compared in one go: one bit each.
const WIDE: usize = 64;

/// Bytes that are looked through before their rows are read: few enough for all
/// that is found to stay close to the processor.
const WINDOW: usize = 1 << 15;
// So no cell of a row within reach is beyond all bounds, and places have two bytes.
const _: () = assert!(WINDOW <= MAX_CELL_CHARS + 1 && WINDOW < u16::MAX as usize);

/// Bytes that are looked through first behind a row of which nothing was known:
/// where many rows are such, little of it is looked through again.
const NEAR: usize = 4 * WIDE;

/// Finds the cells of a text row by row. Where one ends hangs on nothing that
/// stands in it, so that many ends are found before the first cell is read.
pub struct Cuts<'t> {
    text: &'t [u8],
    /// The delimiter in every place.
    delimiter: u8x16,
    /// What ends a line.
    line_end: u8,
    /// The bytes that were looked through begin with a row.
    base: usize,
    /// Where cells begin there: at the first byte, and behind each that ends one.
    starts: Box<[u16]>,
    /// Which of them begin a line.
    lines: Vec<u16>,
    /// The one of these at which a row was asked for last.
    line: usize,
    /// Where cells begin in a row that has others than the text shows.
    odd: Vec<u16>,
    /// Bytes that are looked through the next time: more each time.
    reach: usize,
}

/// The memory in which cells are noted: it serves one text after the other.
#[derive(Default)]
pub struct CutsMemory {
    starts: Box<[u16]>,
    lines: Vec<u16>,
}

/// The places of the ones of every byte, counted from 1.
const ONES: [[u16; 8]; 256] = {
    let (mut ones, mut byte) = ([[0; 8]; 256], 0);
    while byte < 256 {
        let (mut place, mut found) = (0, 0);
        while place < 8 {
            if byte >> place & 1 == 1 {
                ones[byte][found] = place as u16 + 1;
                found += 1;
            }
            place += 1;
        }
        byte += 1;
    }
    ones
};

/// The cells of one row.
#[derive(Clone, Copy)]
pub struct RowCells<'c> {
    /// Where places are counted from.
    pub base: usize,
    /// The text from there on.
    pub text: &'c [u8],
    /// Where its cells begin, and where the next row does.
    starts: &'c [u16],
    /// Whether none is missing.
    is_whole: bool,
    /// Where the next row begins.
    pub next: usize,
}

impl RowCells<'_> {
    /// From where a cell begins to where it ends, within the text.
    #[inline]
    pub fn cell(&self, cell: usize) -> Span {
        let starts = &self.starts[cell..cell + 2];
        between(starts[0], starts[1])
    }

    /// The same of a cell and of the next one.
    #[inline]
    pub fn two(&self, cell: usize) -> (Span, Span) {
        let starts = &self.starts[cell..cell + 3];
        (between(starts[0], starts[1]), between(starts[1], starts[2]))
    }

    /// From where one cell begins to where another one ends.
    #[inline]
    pub fn span(&self, first: usize, last: usize) -> Span {
        between(self.starts[first], self.starts[last + 1])
    }

    /// Whether nothing stands from one cell to another one, where that is told by
    /// their ends.
    #[inline]
    pub fn is_empty(&self, first: usize, last: usize) -> bool {
        let (start, end) = self.span(first, last);
        self.is_whole && end - start == last - first
    }
}

/// From where a cell begins to where it ends: a byte before the next one begins.
#[inline]
fn between(start: u16, next: u16) -> Span {
    let end = usize::from(next) - 1;
    // Where a row has fewer cells, what is missing is empty.
    (usize::from(start).min(end), end)
}

impl<'t> Cuts<'t> {
    /// The cells of a text from the beginning of a row on.
    pub fn new(
        text: &'t [u8],
        delimiter: u8,
        line_end: u8,
        from: usize,
        memory: CutsMemory,
    ) -> Cuts<'t> {
        let CutsMemory { mut starts, lines } = memory;
        if starts.is_empty() {
            starts = vec![0; WINDOW + WIDE + 9].into_boxed_slice();
        }
        let mut cuts = Cuts {
            text,
            delimiter: u8x16::splat(delimiter),
            line_end,
            base: from,
            starts,
            lines,
            line: 0,
            odd: Vec::new(),
            reach: NEAR,
        };
        cuts.forget(from);
        cuts
    }

    /// The memory, for another text.
    pub fn into_memory(self) -> CutsMemory {
        CutsMemory {
            starts: self.starts,
            lines: self.lines,
        }
    }

    /// Goes on at the beginning of a later row.
    pub fn skip_to(&mut self, at: usize) {
        let after = |line: &u16| self.base + usize::from(self.starts[usize::from(*line)]);
        let ahead = self.lines[self.line..].iter();
        self.line += ahead.take_while(|line| after(line) <= at).count().max(1) - 1;
        if after(&self.lines[self.line]) != at {
            // Out of reach, or within a line that a quote or a return parts. Perhaps
            // no row is asked for there either.
            self.forget(at);
        }
    }

    /// Knows of no row from here on.
    fn forget(&mut self, at: usize) {
        self.begin(at);
        self.reach = NEAR;
    }

    fn begin(&mut self, at: usize) {
        self.base = at;
        self.line = 0;
        self.lines.clear();
        self.lines.push(0);
    }

    /// Looks through what stands from the beginning of a row on, as far as a line
    /// end stands within the window.
    fn seek(&mut self, at: usize) {
        self.begin(at);
        let reach = self.reach;
        self.reach = WINDOW.min(2 * reach);
        let window = &self.text[at..self.text.len().min(at + WINDOW)];
        let (wides, rest) = window.as_chunks::<WIDE>();
        let mut known = 1;
        for (place, bytes) in wides.iter().enumerate() {
            if place * WIDE >= reach && self.lines.len() > 1 {
                return;
            }
            known = self.look(bytes, place * WIDE, known);
        }
        if !rest.is_empty() {
            // What is filled up with ends nothing.
            let mut bytes = [0; WIDE];
            bytes[..rest.len()].copy_from_slice(rest);
            known = self.look(&bytes, wides.len() * WIDE, known);
        }
        let is_whole = at + window.len() == self.text.len();
        if is_whole && !self.text.ends_with(&[self.line_end]) {
            // The text ends its last line, too.
            self.starts[known] = window.len() as u16 + 1;
            self.lines.push(known as u16);
        }
    }

    /// Notes the cells that end among some bytes; how many there are now.
    #[inline]
    fn look(&mut self, bytes: &[u8; WIDE], from: usize, known: usize) -> usize {
        let (mut delimiters, mut lines) = (0, 0);
        let (parts, _) = bytes.as_chunks::<16>();
        for (part, bytes) in parts.iter().enumerate() {
            let bytes = u8x16::new(*bytes);
            let bits = |of: u8x16| u64::from(bytes.simd_eq(of).to_bitmask()) << (16 * part);
            delimiters |= bits(self.delimiter);
            lines |= bits(u8x16::splat(self.line_end));
        }
        let all = delimiters | lines;
        let ones = ones_by_byte(all);
        let through = below(ones);
        while lines != 0 {
            let before = (lines & lines.wrapping_neg()) - 1;
            let place = known as u32 + (all & before).count_ones();
            self.lines.push(place as u16);
            lines &= lines - 1;
        }
        // Eight places are written for each eight bytes: those that are none are
        // written over, and there is room for one in every place.
        let room = &mut self.starts[known..known + WIDE + 8];
        let mut before = u16x8::splat(from as u16);
        for (part, byte) in all.to_le_bytes().into_iter().enumerate() {
            let places = before + u16x8::new(ONES[usize::from(byte)]);
            let at = usize::from(((through - ones) >> (8 * part)) as u8);
            room[at..at + 8].copy_from_slice(&places.to_array());
            before += u16x8::splat(8);
        }
        known + (through >> 56) as usize
    }

    /// The cells of the row that begins at `start`, where the last one ended: so
    /// many as are wanted, and none where there are more, if only an empty one,
    /// or where it has no end within reach. Then [`Cuts::skip_to`] goes on.
    #[inline]
    pub fn row(&mut self, start: usize, wanted: usize) -> Option<RowCells<'_>> {
        if self.line + 1 == self.lines.len() {
            self.seek(start);
        }
        let [before, last] = *self.lines[self.line..].first_chunk()?;
        self.line += 1;
        let starts = &self.starts[usize::from(before)..=usize::from(last)];
        let text = &self.text[self.base..];
        let end = usize::from(*starts.last()?) - 1;
        let has_return = end > start - self.base && text[end - 1] == b'\r';
        let row = RowCells {
            base: self.base,
            text,
            starts,
            is_whole: true,
            next: (self.base + end + 1).min(self.text.len()),
        };
        if starts.len() == wanted + 1 && !has_return {
            return Some(row);
        }
        if starts.len() > wanted + 1 {
            return None;
        }
        let next = (end + 1 - usize::from(has_return)) as u16;
        self.odd.clear();
        self.odd.extend_from_slice(starts);
        if let Some(last) = self.odd.last_mut() {
            *last = next;
        }
        self.odd.resize(wanted + 1, next);
        Some(RowCells {
            starts: &self.odd,
            is_whole: false,
            ..row
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cells of all rows are those that the standard library splits.
    fn check(text: &[u8], wanted: usize) {
        check_ended_by(b'\n', text, wanted);
        check_ended_by(b'\r', &with_returns(text), wanted);
    }

    fn with_returns(text: &[u8]) -> Vec<u8> {
        let feeds = |byte: &u8| if *byte == b'\n' { b'\r' } else { *byte };
        text.iter().map(feeds).collect()
    }

    fn check_ended_by(line_end: u8, text: &[u8], wanted: usize) {
        let mut rows = text.split_inclusive(|byte| *byte == line_end);
        let (mut cuts, mut at) = (Cuts::new(text, b';', line_end, 0, CutsMemory::default()), 0);
        while at < text.len() {
            let line = rows.next().expect("a row");
            let next = at + line.len();
            let line = line.strip_suffix(&[line_end]).unwrap_or(line);
            let has_return = line.ends_with(b"\r");
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            let cells: Vec<&[u8]> = line.split(|byte| *byte == b';').collect();
            match cuts.row(at, wanted) {
                Some(row) => {
                    assert!(cells.len() <= wanted);
                    assert_eq!(row.next, next);
                    for cell in 0..wanted {
                        let known = cells.get(cell).copied().unwrap_or_default();
                        let (start, end) = row.span(cell, cell);
                        assert_eq!(&row.text[start..end], known);
                        assert_eq!(row.cell(cell), (start, end));
                        if cell > 0 {
                            assert_eq!(row.two(cell - 1), (row.cell(cell - 1), (start, end)));
                        }
                        let (start, end) = row.span(0, cell);
                        let known = cells[..cells.len().min(cell + 1)].join(&b';');
                        assert_eq!(&row.text[start..end], known);
                        let is_empty = known.iter().all(|byte| *byte == b';');
                        if row.is_empty(0, cell) || cells.len() == wanted && !has_return {
                            assert_eq!(row.is_empty(0, cell), is_empty);
                        }
                    }
                }
                None => {
                    assert!(cells.len() > wanted || line.len() >= WINDOW - 2);
                    cuts.skip_to(next);
                }
            }
            at = next;
        }
        assert!(rows.next().is_none());
    }

    #[test]
    fn cells_are_those_that_the_library_splits() {
        // Every byte occurs beside a delimiter, and rows of all lengths.
        let all = (0..=u8::MAX).flat_map(|byte| [byte, b';', byte, b':', b'\n', byte]);
        let lengths = (0..300).flat_map(|length| {
            let cell = std::iter::repeat_n(b'x', length);
            cell.clone().chain([b';']).chain(cell).chain(*b"\r\n")
        });
        let long: Vec<u8> = all.chain(lengths).chain(*b"y\n;;").collect();
        let many = [&b";".repeat(127)[..], b"\n", &b";".repeat(300), b"\n7"].concat();
        for wanted in [1, 2, 3, 5, 128, 129] {
            check(&long, wanted);
            check(&long[..long.len() - 1], wanted);
            for text in [&many[..], b"", b";", b"\n", b"\r\n", b"abc\r"] {
                check(text, wanted);
            }
        }
    }

    /// Rows that end just before, at and beyond the end of what is looked through.
    #[test]
    fn cells_are_found_across_windows() {
        for length in [WINDOW - 3, WINDOW - 2, WINDOW - 1, WINDOW, 3 * WINDOW] {
            let row = "x;".repeat(length / 2);
            let text = format!("{row}\na;b\n{row}\r\n{}", "a;b;c\n".repeat(20_000));
            for wanted in [2, 3] {
                check(text.as_bytes(), wanted);
            }
        }
    }

    /// Wherever a row begins and wherever the search stood before, its cells are found.
    #[test]
    fn rows_are_skipped() {
        let text = "a;b\nc;d;e\r\n\nf\n".repeat(9_000);
        let text = text.as_bytes();
        for step in [1, 3, 7, 1_000, WINDOW, 2 * WINDOW + 1] {
            let mut cuts = Cuts::new(text, b';', b'\n', 0, CutsMemory::default());
            for at in (0..text.len()).step_by(step).take(20_000) {
                cuts.skip_to(at);
                let rest = &text[at..];
                let line = rest.split(|byte| *byte == b'\n').next().expect("a line");
                let row = cuts.row(at, 3).expect("a row");
                assert_eq!(row.next, at + line.len() + 1);
                let line = line.strip_suffix(b"\r").unwrap_or(line);
                let first = line.split(|byte| *byte == b';').next();
                let (start, end) = row.span(0, 0);
                assert_eq!(Some(&row.text[start..end]), first);
            }
        }
    }

    /// Behind a row of which nothing was known little is looked through, then more.
    #[test]
    fn what_is_near_is_looked_through_first() {
        let text = "a;b\n".repeat(20_000);
        let text = text.as_bytes();
        let mut cuts = Cuts::new(text, b';', b'\n', 0, CutsMemory::default());
        let mut at = 0;
        while at < text.len() / 2 {
            at = cuts.row(at, 2).expect("a row").next;
        }
        assert!(cuts.lines.len() > WINDOW / 4, "{}", cuts.lines.len());
        cuts.skip_to(at + 2);
        cuts.row(at + 2, 2).expect("a row");
        assert!(cuts.lines.len() < NEAR / 2, "{}", cuts.lines.len());
        // A row that is longer is found all the same.
        let long = [&b"x".repeat(3 * NEAR)[..], b";y\n", text].concat();
        let mut cuts = Cuts::new(&long, b';', b'\n', 0, CutsMemory::default());
        let row = cuts.row(0, 2).expect("a row");
        assert_eq!(row.next, 3 * NEAR + 3);
    }

    proptest::proptest! {
        /// Also in texts of hardly anything but delimiters and ends.
        #[test]
        fn cells_are_found_in_any_text(text in "[;\n\ra7]{0,300}", wanted in 1_usize..9) {
            check(text.as_bytes(), wanted);
        }
    }
}

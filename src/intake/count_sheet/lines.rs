//! The lines of a text, and which of its rows are one.

use memchr::{memchr, memchr2};

/// Lines of a text: where they end, and whether a row is one.
pub struct Lines<'t> {
    text: &'t [u8],
    /// What ends a line: a line feed, after a carriage return perhaps, or a carriage
    /// return where no line feed stands in the text, as old spreadsheets wrote it.
    pub line_end: u8,
    /// Whether anything stands in the text by which a row can be no line.
    has_special: bool,
    /// Where the line looked at last ends. A row within it ends there, too: many
    /// may, where carriage returns part it.
    end: usize,
}

impl<'t> Lines<'t> {
    /// The lines of a text.
    pub fn new(text: &'t [u8]) -> Lines<'t> {
        let line_end = match memchr(b'\n', text) {
            Some(_) => b'\n',
            None => b'\r',
        };
        Lines {
            text,
            line_end,
            has_special: match line_end {
                b'\n' => memchr2(b'"', b'\r', text).is_some(),
                _ => memchr(b'"', text).is_some(),
            },
            end: 0,
        }
    }

    /// Whether the row at a byte is a line: no quote stands in it, and no carriage
    /// return but at its end. Rows are asked for in the order of the text.
    #[inline]
    pub fn is_line(&mut self, at: usize) -> bool {
        !self.has_special || self.is_plain(at)
    }

    fn is_plain(&mut self, at: usize) -> bool {
        let line = &self.text[at..self.end_of(at)];
        if self.line_end == b'\r' {
            return memchr(b'"', line).is_none();
        }
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        memchr2(b'"', b'\r', line).is_none()
    }

    /// The end of the line in which a byte stands that is not before the last one.
    pub fn end_of(&mut self, at: usize) -> usize {
        if self.end < at || self.end == 0 {
            let length = memchr(self.line_end, &self.text[at..]);
            self.end = length.map_or(self.text.len(), |length| at + length);
        }
        self.end
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether rows are lines, however they are parted.
    #[test]
    fn lines_are_told_from_other_rows() {
        let text = b"a,b\n\r\n\"c\"\r\nd\re\r\n\nf";
        let mut lines = Lines::new(text);
        let rows = [0, 4, 6, 11, 13, 16, 17];
        let are = rows.map(|at| (lines.is_line(at), lines.end_of(at)));
        let ends = [3, 5, 10, 15, 15, 16, 18];
        let is_line = [true, true, false, false, true, true, true];
        assert_eq!(are.map(|(_, end)| end), ends);
        assert_eq!(are.map(|(is_line, _)| is_line), is_line);
        let text = b"a,b\r\r\"c\"\rd";
        let mut lines = Lines::new(text);
        let are = [0, 4, 5, 9].map(|at| (lines.is_line(at), lines.end_of(at)));
        assert_eq!(are, [(true, 3), (true, 4), (false, 8), (true, 10)]);
    }
}

//! Delimited text: encoding, delimiter, and rows with a spreadsheet's numbers.

use super::table::{Cell, MAX_CELL_CHARS, MAX_COLUMNS, Row, Unreadable};

/// Decoded text with its delimiter.
#[derive(Debug)]
pub struct CsvText {
    text: String,
    /// `,` `;` or tab.
    pub delimiter: u8,
    /// The encoding that was taken instead of UTF-8, to be said once.
    pub other_encoding: Option<&'static str>,
}

/// How many rows a header may stand below the top.
pub const HEADER_WITHIN: u32 = 20;

impl CsvText {
    /// Decodes bytes and finds the delimiter: the most frequent in the header
    /// outside quotes, a tie in the order `,` `;` tab. `is_header` says
    /// whether a row's cells are the header.
    ///
    /// # Errors
    /// When the bytes are no text.
    pub fn decode(
        bytes: &[u8],
        is_header: &dyn Fn(&[&str]) -> bool,
    ) -> Result<CsvText, Unreadable> {
        check_magic(bytes)?;
        let (text, other_encoding) = decode_text(bytes);
        check_text(text.as_bytes())?;
        Ok(CsvText {
            delimiter: find_delimiter(&text, is_header),
            text,
            other_encoding,
        })
    }

    /// The text of a file that is read in blocks: nothing of it is kept.
    #[must_use]
    pub fn in_blocks(delimiter: u8) -> CsvText {
        CsvText {
            text: String::new(),
            delimiter,
            other_encoding: None,
        }
    }

    /// Visits the rows as [`super::table::Table::each_row`] says.
    ///
    /// # Errors
    /// When a row is beyond all bounds.
    pub fn each_row(&self, visit: &mut dyn FnMut(Row<'_>) -> bool) -> Result<u32, Unreadable> {
        let mut records = Records::new(&self.text, self.delimiter, 0);
        while let Some(row) = records.next()? {
            if !visit(row) {
                break;
            }
        }
        Ok(records.comments())
    }
}

/// The delimiter of a text: the most frequent in the header outside quotes.
#[must_use]
pub fn find_delimiter(text: &str, is_header: &dyn Fn(&[&str]) -> bool) -> u8 {
    let mut best: Option<(usize, u8)> = None;
    for delimiter in DELIMITERS {
        if let Some(cells) = header_cells(text, delimiter, is_header)
            && best.is_none_or(|(most, _)| cells > most)
        {
            best = Some((cells, delimiter));
        }
    }
    if let Some((_, delimiter)) = best {
        return delimiter;
    }
    // No header under any of them: the first line's most frequent one, so
    // that the message shows the cells as people see them.
    let first = text.lines().find(|line| !line.trim().is_empty());
    let count =
        |delimiter: u8| first.map_or(0, |line| line.bytes().filter(|b| *b == delimiter).count());
    DELIMITERS
        .into_iter()
        .rev()
        .max_by_key(|delimiter| count(*delimiter))
        .unwrap_or(b',')
}

/// The delimiters, the likelier first.
pub const DELIMITERS: [u8; 3] = [b',', b';', b'\t'];

/// Cells of the first rows' header under a delimiter, if there is one.
fn header_cells(text: &str, delimiter: u8, is_header: &dyn Fn(&[&str]) -> bool) -> Option<usize> {
    let mut records = Records::new(text, delimiter, 0);
    while let Ok(Some(row)) = records.next() {
        if row.number > HEADER_WITHIN {
            return None;
        }
        let cells: Vec<(usize, Cell<'_>)> = row.used().collect();
        let texts: Vec<&str> = cells
            .iter()
            .map(|(_, cell)| match cell {
                Cell::Text(text) => *text,
                _ => "",
            })
            .collect();
        if is_header(&texts) {
            return Some(row.width());
        }
    }
    None
}

/// The records of some text, with a spreadsheet's row numbers.
pub struct Records<'t> {
    bytes: &'t [u8],
    delimiter: u8,
    reader: csv::Reader<&'t [u8]>,
    record: csv::StringRecord,
    number: u32,
    end: usize,
    comments: u32,
}

impl<'t> Records<'t> {
    /// Of text that begins with a record; `before` rows stand above it.
    #[must_use]
    pub fn new(text: &'t str, delimiter: u8, before: u32) -> Records<'t> {
        Records {
            bytes: text.as_bytes(),
            delimiter,
            reader: csv::ReaderBuilder::new()
                .has_headers(false)
                .flexible(true)
                .delimiter(delimiter)
                .from_reader(text.as_bytes()),
            record: csv::StringRecord::new(),
            number: before,
            end: 0,
            comments: 0,
        }
    }

    /// How many comment rows were passed over so far.
    #[must_use]
    pub fn comments(&self) -> u32 {
        self.comments
    }

    /// Where the last record ends, its line end included.
    #[must_use]
    pub fn end(&self) -> usize {
        self.end
    }

    /// How many rows were passed, the last record's own included.
    #[must_use]
    pub fn number(&self) -> u32 {
        self.number
    }

    /// The next row that is neither blank nor a comment.
    ///
    /// # Errors
    /// When a row is beyond all bounds.
    #[allow(clippy::should_implement_trait)] // the row lends the record
    pub fn next(&mut self) -> Result<Option<Row<'_>>, Unreadable> {
        loop {
            match self.reader.read_record(&mut self.record) {
                Ok(true) => {}
                Ok(false) => {
                    self.pass_empty_lines();
                    return Ok(None);
                }
                Err(error) => {
                    return Err(Unreadable {
                        row: Some(self.number + 1),
                        found: error.to_string(),
                        expected: "delimited text".to_owned(),
                    });
                }
            }
            let bytes = self.bytes;
            let start = self.pass_empty_lines();
            let read = usize::try_from(self.reader.position().byte()).unwrap_or(bytes.len());
            self.end = after_line_end(bytes, read);
            self.number += 1;
            self.check_bounds()?;
            let row = &bytes[start..self.end];
            if self.end == bytes.len() && is_open(row, self.delimiter) {
                return Err(Unreadable {
                    row: Some(self.number),
                    found: "a quote that is never closed".to_owned(),
                    expected: "a quote at the end of its cell: without it the rest of the file would be one cell".to_owned(),
                });
            }
            if is_comment(row, self.delimiter) {
                self.comments += 1;
            } else if !self.record.as_slice().trim().is_empty() {
                return Ok(Some(Row::of_csv(self.number, &self.record)));
            }
        }
    }

    /// The csv crate passes over empty lines in silence. They are rows of a
    /// spreadsheet, so they are counted here from the bytes.
    fn pass_empty_lines(&mut self) -> usize {
        while let Some(b'\n' | b'\r') = self.bytes.get(self.end) {
            self.end = after_line_end(self.bytes, self.end + 1);
            self.number += 1;
        }
        self.end
    }

    fn check_bounds(&self) -> Result<(), Unreadable> {
        let record = &self.record;
        if record.len() > MAX_COLUMNS {
            return Err(Unreadable {
                row: Some(self.number),
                found: format!("{} columns", record.len()),
                expected: format!("at most {MAX_COLUMNS} columns"),
            });
        }
        if record.as_slice().len() > MAX_CELL_CHARS
            && record
                .iter()
                .any(|cell| cell.chars().count() > MAX_CELL_CHARS)
        {
            return Err(Unreadable {
                row: Some(self.number),
                found: "a cell of more than 32,767 characters".to_owned(),
                expected: "shorter cells; a quote that is opened and never closed takes all that follows into one cell".to_owned(),
            });
        }
        Ok(())
    }
}

/// Past the `\n` of a `\r\n` whose `\r` was just passed.
pub fn after_line_end(bytes: &[u8], at: usize) -> usize {
    let halfway = at > 0 && bytes.get(at - 1) == Some(&b'\r') && bytes.get(at) == Some(&b'\n');
    at + usize::from(halfway)
}

/// Whether a row's unquoted first cell is `#` or begins with `# `.
fn is_comment(row: &[u8], delimiter: u8) -> bool {
    row.first() == Some(&b'#')
        && match row.get(1) {
            None | Some(b' ' | b'\n' | b'\r') => true,
            Some(next) => *next == delimiter,
        }
}

/// Whether a row ends inside a quoted cell: whatever stands behind it, a line
/// end too, would belong to that cell.
fn is_open(row: &[u8], delimiter: u8) -> bool {
    if memchr::memchr(b'"', row).is_none() {
        return false;
    }
    let mut reader = csv_core::ReaderBuilder::new().delimiter(delimiter).build();
    let (mut cells, mut ends) = ([0; 512], [0; 64]);
    for mut input in [row, &b"\n"[..]] {
        loop {
            let (result, read, _, _) = reader.read_record(input, &mut cells, &mut ends);
            input = &input[read..];
            match result {
                csv_core::ReadRecordResult::Record => return false,
                csv_core::ReadRecordResult::InputEmpty | csv_core::ReadRecordResult::End => break,
                _ => {}
            }
        }
    }
    true
}

/// That a file is no workbook under a wrong name.
pub fn check_magic(bytes: &[u8]) -> Result<(), Unreadable> {
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xd0\xcf\x11\xe0") {
        return Err(unreadable(
            "a workbook under the name of a CSV file",
            "text; give the file its own ending (.xlsx, .xls, .ods)",
        ));
    }
    Ok(())
}

/// That bytes are text.
pub fn check_text(bytes: &[u8]) -> Result<(), Unreadable> {
    match memchr::memchr(0, bytes) {
        Some(_) => Err(unreadable("bytes that are no text", "delimited text")),
        None => Ok(()),
    }
}

fn unreadable(found: &str, expected: &str) -> Unreadable {
    Unreadable {
        row: None,
        found: found.to_owned(),
        expected: expected.to_owned(),
    }
}

/// UTF-8 with or without its mark; UTF-16 by its mark; else Windows-1252,
/// which every byte is valid in.
fn decode_text(bytes: &[u8]) -> (String, Option<&'static str>) {
    match encoding_rs::Encoding::for_bom(bytes) {
        Some((encoding, mark)) if encoding != encoding_rs::UTF_8 => {
            let (text, _) = encoding.decode_without_bom_handling(&bytes[mark..]);
            (text.into_owned(), Some(encoding.name()))
        }
        mark => {
            let bytes = &bytes[mark.map_or(0, |(_, length)| length)..];
            match std::str::from_utf8(bytes) {
                Ok(text) => (text.to_owned(), None),
                Err(_) => {
                    let (text, _) = encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes);
                    (text.into_owned(), Some("Windows-1252"))
                }
            }
        }
    }
}

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

/// Reads one record after the other by the rules of the csv library. One of
/// them serves text after text: making it costs more than reading a row.
pub struct RecordReader {
    core: csv_core::Reader,
    delimiter: u8,
    cells: Vec<u8>,
    ends: Vec<usize>,
    record: csv::StringRecord,
}

impl RecordReader {
    /// For text with this delimiter.
    #[must_use]
    pub fn new(delimiter: u8) -> RecordReader {
        RecordReader {
            core: csv_core::ReaderBuilder::new().delimiter(delimiter).build(),
            delimiter,
            cells: vec![0; 1_024],
            ends: vec![0; 64],
            record: csv::StringRecord::new(),
        }
    }

    /// Reads the record that begins at a byte; where it ends, its line end
    /// included, and whether a quote is still open there. None where nothing is left.
    fn read(&mut self, text: &[u8], start: usize) -> Option<(usize, bool)> {
        self.core.reset();
        self.record.clear();
        let (mut at, mut filled, mut cells) = (start, 0, 0);
        let mut input = &text[start..];
        if input.is_empty() {
            return None;
        }
        let mut is_open = None;
        loop {
            let room = &mut self.cells[filled..];
            let (result, read, written, ended) =
                self.core.read_record(input, room, &mut self.ends[cells..]);
            (filled, cells) = (filled + written, cells + ended);
            input = &input[read..];
            if is_open.is_none() {
                at += read;
            }
            match result {
                csv_core::ReadRecordResult::OutputFull => {
                    let more = self.cells.len() * 2;
                    self.cells.resize(more, 0);
                }
                csv_core::ReadRecordResult::OutputEndsFull => {
                    let more = self.ends.len() * 2;
                    self.ends.resize(more, 0);
                }
                csv_core::ReadRecordResult::Record => break,
                // A line end closes the last record, unless it would belong to
                // a cell; then nothing but the end of the text does.
                csv_core::ReadRecordResult::InputEmpty => match is_open {
                    None => (is_open, input) = (Some(false), b"\n"),
                    Some(_) => (is_open, input) = (Some(true), b""),
                },
                csv_core::ReadRecordResult::End => return None,
            }
        }
        let mut from = 0;
        for end in &self.ends[..cells] {
            // The text is UTF-8, and cells are cut at ASCII only.
            let cell = std::str::from_utf8(&self.cells[from..*end]).unwrap_or_default();
            self.record.push_field(cell);
            from = *end;
        }
        Some((after_line_end(text, at), is_open == Some(true)))
    }
}

/// The records of some text, with a spreadsheet's row numbers.
pub struct Records<'t> {
    bytes: &'t [u8],
    reader: RecordReader,
    number: u32,
    end: usize,
    comments: u32,
}

impl<'t> Records<'t> {
    /// Of text that begins with a record; `before` rows stand above it.
    #[must_use]
    pub fn new(text: &'t str, delimiter: u8, before: u32) -> Records<'t> {
        Records::with(RecordReader::new(delimiter), text, before)
    }

    /// The same with a reader that served before.
    #[must_use]
    pub fn with(reader: RecordReader, text: &'t str, before: u32) -> Records<'t> {
        Records {
            bytes: text.as_bytes(),
            reader,
            number: before,
            end: 0,
            comments: 0,
        }
    }

    /// The reader, for another text.
    #[must_use]
    pub fn into_reader(self) -> RecordReader {
        self.reader
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
            let start = self.pass_empty_lines();
            let Some((end, is_open)) = self.reader.read(self.bytes, start) else {
                return Ok(None);
            };
            self.end = end;
            self.number += 1;
            self.check_bounds()?;
            if is_open {
                return Err(Unreadable {
                    row: Some(self.number),
                    found: "a quote that is never closed".to_owned(),
                    expected: "a quote at the end of its cell: without it the rest of the file would be one cell".to_owned(),
                });
            }
            if is_comment(&self.bytes[start..end], self.reader.delimiter) {
                self.comments += 1;
            } else if !self.reader.record.as_slice().trim().is_empty() {
                return Ok(Some(Row::of_csv(self.number, &self.reader.record)));
            }
        }
    }

    /// Empty lines are no records, but rows of a spreadsheet.
    fn pass_empty_lines(&mut self) -> usize {
        while let Some(b'\n' | b'\r') = self.bytes.get(self.end) {
            self.end = after_line_end(self.bytes, self.end + 1);
            self.number += 1;
        }
        self.end
    }

    fn check_bounds(&self) -> Result<(), Unreadable> {
        let record = &self.reader.record;
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

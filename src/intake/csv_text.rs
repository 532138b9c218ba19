//! Delimited text: encoding, delimiter, and rows with a spreadsheet's numbers.

use super::table::{MAX_CELL_CHARS, MAX_COLUMNS, Row, Unreadable};

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
        if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xd0\xcf\x11\xe0") {
            return Err(unreadable(
                "a workbook under the name of a CSV file",
                "text; give the file its own ending (.xlsx, .xls, .ods)",
            ));
        }
        let (text, other_encoding) = decode_text(bytes);
        if text.contains('\0') {
            return Err(unreadable("bytes that are no text", "delimited text"));
        }
        let mut csv = CsvText {
            text,
            delimiter: b',',
            other_encoding,
        };
        csv.delimiter = csv.find_delimiter(is_header);
        Ok(csv)
    }

    fn find_delimiter(&self, is_header: &dyn Fn(&[&str]) -> bool) -> u8 {
        let mut best: Option<(usize, u8)> = None;
        for delimiter in [b',', b';', b'\t'] {
            let trial = Trial {
                text: &self.text,
                delimiter,
            };
            if let Some(cells) = trial.header_cells(is_header)
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
        let first = self.text.lines().find(|line| !line.trim().is_empty());
        let count = |delimiter: u8| {
            first.map_or(0, |line| line.bytes().filter(|b| *b == delimiter).count())
        };
        [b',', b';', b'\t']
            .into_iter()
            .rev()
            .max_by_key(|delimiter| count(*delimiter))
            .unwrap_or(b',')
    }

    /// Visits the rows as [`super::table::Table::each_row`] says.
    ///
    /// # Errors
    /// When a row is beyond all bounds.
    pub fn each_row(&self, visit: &mut dyn FnMut(Row<'_>) -> bool) -> Result<u32, Unreadable> {
        Trial {
            text: &self.text,
            delimiter: self.delimiter,
        }
        .each_row(visit)
    }
}

/// The text under one delimiter.
struct Trial<'a> {
    text: &'a str,
    delimiter: u8,
}

impl Trial<'_> {
    /// How many cells the header has under this delimiter, if there is one.
    fn header_cells(&self, is_header: &dyn Fn(&[&str]) -> bool) -> Option<usize> {
        let mut found = None;
        let read = self.each_row(&mut |row| {
            if row.number > HEADER_WITHIN {
                return false;
            }
            let cells: Vec<(usize, super::table::Cell<'_>)> = row.used().collect();
            let texts: Vec<&str> = cells
                .iter()
                .map(|(_, cell)| match cell {
                    super::table::Cell::Text(text) => *text,
                    _ => "",
                })
                .collect();
            if is_header(&texts) {
                found = Some(row.width());
            }
            found.is_none()
        });
        read.ok()?;
        found
    }

    fn each_row(&self, visit: &mut dyn FnMut(Row<'_>) -> bool) -> Result<u32, Unreadable> {
        let bytes = self.text.as_bytes();
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.delimiter)
            .from_reader(bytes);
        let mut record = csv::StringRecord::new();
        let mut number = 0_u32;
        let mut comments = 0;
        let mut after_last = 0_usize;
        loop {
            match reader.read_record(&mut record) {
                Ok(true) => {}
                Ok(false) => return Ok(comments),
                Err(error) => {
                    return Err(Unreadable {
                        row: Some(number + 1),
                        found: error.to_string(),
                        expected: "delimited text".to_owned(),
                    });
                }
            }
            // The csv crate passes over empty lines in silence. They are rows
            // of a spreadsheet, so they are counted here from the bytes.
            let mut start = after_last;
            while let Some(b'\n' | b'\r') = bytes.get(start) {
                let crlf = bytes[start] == b'\r' && bytes.get(start + 1) == Some(&b'\n');
                start += if crlf { 2 } else { 1 };
                number += 1;
            }
            after_last = usize::try_from(reader.position().byte()).unwrap_or(bytes.len());
            if after_last > 0
                && bytes.get(after_last - 1) == Some(&b'\r')
                && bytes.get(after_last) == Some(&b'\n')
            {
                after_last += 1;
            }
            number += 1;
            if record.len() > MAX_COLUMNS {
                return Err(Unreadable {
                    row: Some(number),
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
                    row: Some(number),
                    found: "a cell of more than 32,767 characters".to_owned(),
                    expected: "shorter cells; a quote that is opened and never closed takes all that follows into one cell".to_owned(),
                });
            }
            if bytes.get(start) == Some(&b'#')
                && matches!(
                    bytes.get(start + 1),
                    None | Some(b' ' | b'\n' | b'\r' | b',' | b';' | b'\t')
                )
            {
                comments += 1;
                continue;
            }
            if record.as_slice().trim().is_empty() {
                continue;
            }
            if !visit(Row::of_csv(number, &record)) {
                return Ok(comments);
            }
        }
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

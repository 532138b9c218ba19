//! CSV: UTF-8 without a mark, LF, decimal point, all places of the currency.

use super::grid::{CellSink, Tabular};
use crate::money::{Currency, Money};
use rayon::prelude::*;
use std::borrow::Cow;
use std::io::Write;

/// Text that a spreadsheet would run, with a `'` before it (OWASP, CSV
/// Injection). Only text is guarded: a negative amount is a number.
#[must_use]
pub fn guarded(text: &str) -> Cow<'_, str> {
    match text.as_bytes().first() {
        Some(b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r') => Cow::Owned(format!("'{text}")),
        _ => Cow::Borrowed(text),
    }
}

/// A table as CSV.
#[must_use]
pub fn to_csv(table: &impl Tabular, currency: Currency) -> Vec<u8> {
    let mut text = header(table).into_bytes();
    table.rows(0..table.height(), &mut CsvText::new(&mut text, currency));
    text
}

/// The names of the columns.
fn header(table: &impl Tabular) -> String {
    let columns = table.columns();
    let names: Vec<&str> = columns.iter().map(|column| column.name).collect();
    names.join(",") + "\n"
}

/// Rows that one thread puts into text in one go.
const ROWS: usize = 8_192;
/// So many times that are made before they are written.
const PARTS: usize = 8;

/// Writes a table as CSV, its rows made on all cores.
///
/// # Errors
/// What the writer says.
pub fn write_csv(
    table: &impl Tabular,
    currency: Currency,
    writer: &mut dyn Write,
) -> std::io::Result<()> {
    writer.write_all(header(table).as_bytes())?;
    let height = table.height();
    // The memory of one batch serves the next.
    let mut parts: Vec<Vec<u8>> = vec![Vec::new(); PARTS];
    for batch in (0..height).step_by(ROWS * PARTS) {
        parts.par_iter_mut().enumerate().for_each(|(at, part)| {
            let start = (batch + at * ROWS).min(height);
            let rows = start..(start + ROWS).min(height);
            part.clear();
            table.rows(rows, &mut CsvText::new(part, currency));
        });
        for part in &parts {
            writer.write_all(part)?;
        }
    }
    Ok(())
}

/// Rows as text: figures as they are, words by the csv library where they need
/// quotes.
struct CsvText<'t> {
    text: &'t mut Vec<u8>,
    words: csv_core::Writer,
    currency: Currency,
}

impl<'t> CsvText<'t> {
    /// Rows behind what is there.
    fn new(text: &'t mut Vec<u8>, currency: Currency) -> CsvText<'t> {
        CsvText {
            text,
            words: csv_core::Writer::new(),
            currency,
        }
    }

    fn end_cell(&mut self) {
        self.text.push(b',');
    }

    fn quoted(&mut self, words: &[u8]) {
        let at = self.text.len();
        // At most every byte doubled, between two quotes.
        self.text.resize(at + 2 * words.len() + 2, 0);
        self.text[at] = b'"';
        let (_, _, written) = csv_core::quote(words, &mut self.text[at + 1..], b'"', b'"', true);
        self.text.truncate(at + 1 + written);
        self.text.push(b'"');
    }
}

impl CellSink<'_> for CsvText<'_> {
    fn empty(&mut self) {
        self.end_cell();
    }

    fn text(&mut self, text: &str) {
        let words = guarded(text);
        if self.words.should_quote(words.as_bytes()) {
            self.quoted(words.as_bytes());
        } else {
            self.text.extend_from_slice(words.as_bytes());
        }
        self.end_cell();
    }

    fn count(&mut self, count: u64) {
        let mut digits = itoa::Buffer::new();
        self.text.extend_from_slice(digits.format(count).as_bytes());
        self.end_cell();
    }

    fn money(&mut self, amount: Money) {
        self.currency.push_text(amount, self.text);
        self.end_cell();
    }

    fn units(&mut self, units: i64) {
        self.currency.push_units(units, self.text);
        self.end_cell();
    }

    fn statistic(&mut self, value: f64, places: usize) {
        // Writing into memory does not fail.
        drop(write!(self.text, "{value:.places$}"));
        self.end_cell();
    }

    fn end_row(&mut self) {
        // The last cell has a delimiter like all others.
        if let Some(last) = self.text.last_mut() {
            *last = b'\n';
        }
    }
}

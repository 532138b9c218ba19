//! CSV: UTF-8 without a mark, LF, decimal point, all places of the currency.

use super::grid::{Tabular, Value};
use crate::money::Currency;
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
    let mut bytes = Vec::new();
    // Writing into memory does not fail.
    let written = write_csv(table, currency, &mut bytes);
    debug_assert!(written.is_ok(), "bug: memory can be written");
    bytes
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
    let columns = table.columns();
    let names: Vec<&str> = columns.iter().map(|column| column.name).collect();
    writeln!(writer, "{}", names.join(","))?;
    let height = table.height();
    // The memory of one batch serves the next.
    let mut parts: Vec<Vec<u8>> = vec![Vec::new(); PARTS];
    for batch in (0..height).step_by(ROWS * PARTS) {
        parts.par_iter_mut().enumerate().for_each(|(at, part)| {
            let start = (batch + at * ROWS).min(height);
            let rows = start..(start + ROWS).min(height);
            part.clear();
            let (mut writer, mut cells) = (CellWriter::default(), Vec::new());
            for row in rows {
                table.row(row, &mut cells);
                for (column, cell) in cells.iter().enumerate() {
                    if column > 0 {
                        part.push(b',');
                    }
                    writer.push(cell, currency, part);
                }
                part.push(b'\n');
            }
        });
        for part in &parts {
            writer.write_all(part)?;
        }
    }
    Ok(())
}

/// Writes cells: figures as they are, words by the csv library where they need
/// quotes.
#[derive(Default)]
struct CellWriter {
    csv: csv_core::Writer,
}

impl CellWriter {
    fn push(&mut self, value: &Value<'_>, currency: Currency, part: &mut Vec<u8>) {
        let Value::Text(words) = value else {
            push_figure(part, value, currency);
            return;
        };
        let words = guarded(words);
        if !self.csv.should_quote(words.as_bytes()) {
            part.extend_from_slice(words.as_bytes());
            return;
        }
        let at = part.len();
        // At most every byte doubled, between two quotes.
        part.resize(at + 2 * words.len() + 2, 0);
        part[at] = b'"';
        let (_, _, written) =
            csv_core::quote(words.as_bytes(), &mut part[at + 1..], b'"', b'"', true);
        part.truncate(at + 1 + written);
        part.push(b'"');
    }
}

fn push_figure(text: &mut Vec<u8>, figure: &Value<'_>, currency: Currency) {
    match figure {
        Value::Empty | Value::Text(_) => {}
        Value::Count(count) => {
            text.extend_from_slice(itoa::Buffer::new().format(*count).as_bytes());
        }
        Value::Money(amount) => currency.push_text(*amount, text),
        // Writing into memory does not fail.
        Value::Statistic(value, places) => drop(write!(text, "{value:.places$}")),
    }
}

//! CSV: UTF-8 without a mark, LF, decimal point, all places of the currency.

use super::grid::{Tabular, Value};
use crate::money::Currency;
use rayon::prelude::*;
use std::borrow::Cow;
use std::fmt::Write;

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
    csv_parts(table, currency).concat()
}

/// Rows that one thread writes in one go.
const ROWS: usize = 16_384;

/// A table as CSV in parts, made on all cores, that belong one behind the other.
#[must_use]
pub fn csv_parts(table: &impl Tabular, currency: Currency) -> Vec<Vec<u8>> {
    let columns = table.columns();
    let mut head = row_writer(0);
    // Writing into memory fails only on rows of unequal width, which a table has not.
    let ok = head.write_record(columns.iter().map(|column| column.name));
    debug_assert!(ok.is_ok(), "bug: a table's rows are as wide as its columns");
    let mut parts = vec![head.into_inner().unwrap_or_default()];
    let starts: Vec<usize> = (0..table.height()).step_by(ROWS).collect();
    parts.par_extend(starts.into_par_iter().map(|start| {
        let rows = start..(start + ROWS).min(table.height());
        let mut writer = row_writer(rows.len() * columns.len() * 8);
        let mut text = String::new();
        for row in rows {
            for column in 0..columns.len() {
                text.clear();
                let value = table.cell(row, column);
                let written = match &value {
                    Value::Text(words) => guarded(words),
                    figure => {
                        push_figure(&mut text, figure, currency);
                        Cow::Borrowed(text.as_str())
                    }
                };
                let ok = writer.write_field(written.as_bytes());
                debug_assert!(ok.is_ok(), "bug: memory can be written");
            }
            let ok = writer.write_record(None::<&[u8]>);
            debug_assert!(ok.is_ok(), "bug: a table's rows are as wide as its columns");
        }
        writer.into_inner().unwrap_or_default()
    }));
    parts
}

fn push_figure(text: &mut String, figure: &Value<'_>, currency: Currency) {
    // Writing into a string does not fail.
    let _ = match figure {
        Value::Empty | Value::Text(_) => Ok(()),
        Value::Count(count) => write!(text, "{count}"),
        Value::Money(amount) => {
            currency.push_text(*amount, text);
            Ok(())
        }
        Value::Statistic(value, places) => write!(text, "{value:.places$}"),
    };
}

fn row_writer(capacity: usize) -> csv::Writer<Vec<u8>> {
    csv::WriterBuilder::new()
        .terminator(csv::Terminator::Any(b'\n'))
        .from_writer(Vec::with_capacity(capacity))
}

//! CSV: UTF-8 without a mark, LF, decimal point, all places of the currency.

use super::grid::{Grid, Value};
use crate::money::Currency;
use std::borrow::Cow;

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
pub fn to_csv(grid: &Grid<'_>, currency: Currency) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::Any(b'\n'))
        .from_writer(Vec::with_capacity(64 * (grid.rows.len() + 1)));
    // Writing into memory fails only on rows of unequal width, which a grid has not.
    let mut ok = writer
        .write_record(grid.columns.iter().map(|column| column.name))
        .is_ok();
    for row in &grid.rows {
        for value in row {
            let text = match value {
                Value::Empty => Cow::Borrowed(""),
                Value::Text(text) => guarded(text),
                Value::Count(count) => Cow::Owned(count.to_string()),
                Value::Money(amount) => Cow::Owned(currency.text(*amount)),
                Value::Statistic(value, places) => Cow::Owned(format!("{value:.places$}")),
            };
            ok &= writer.write_field(text.as_bytes()).is_ok();
        }
        ok &= writer.write_record(None::<&[u8]>).is_ok();
    }
    debug_assert!(ok, "bug: a grid's rows are as wide as its columns");
    writer.into_inner().unwrap_or_default()
}

//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

use super::grid::{Kind, Tabular, Value};
use crate::money::Currency;
use crate::totals::FrameError;
use polars::prelude::*;
use rayon::prelude::*;
use std::ops::Range;

/// A table as a Parquet file.
///
/// # Errors
/// Only when an amount passes 38 digits, which no checked input reaches.
pub fn to_parquet(table: &impl Tabular, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let mut bytes = Vec::new();
    let mut frame = rows(table, 0..ROWS.min(table.height()), currency)?;
    let mut writer = ParquetWriter::new(&mut bytes).batched(frame.schema())?;
    writer.write_batch(&frame)?;
    for start in (ROWS..table.height()).step_by(ROWS) {
        // One batch at a time: a million rows of all columns take a quarter of a gigabyte.
        frame = rows(table, start..(start + ROWS).min(table.height()), currency)?;
        writer.write_batch(&frame)?;
    }
    writer.finish()?;
    Ok(bytes)
}

/// Rows of one group in the file, as many as polars makes of its own accord.
const ROWS: usize = 512 * 512;

fn rows(
    table: &impl Tabular,
    rows: Range<usize>,
    currency: Currency,
) -> Result<DataFrame, FrameError> {
    let columns: Vec<Column> = (0..table.columns().len())
        .into_par_iter()
        .map(|index| column(table, rows.clone(), index, currency))
        .collect::<Result<_, FrameError>>()?;
    Ok(DataFrame::new(rows.len(), columns)?)
}

fn column(
    table: &impl Tabular,
    rows: Range<usize>,
    index: usize,
    currency: Currency,
) -> Result<Column, FrameError> {
    let column = table.columns()[index];
    let values = rows.map(|row| table.cell(row, index));
    Ok(match column.kind {
        Kind::Text => {
            let texts: StringChunked = values
                .map(|value| match value {
                    Value::Text(text) => Some(text),
                    _ => None,
                })
                .collect();
            texts.with_name(column.name.into()).into_column()
        }
        Kind::Count => {
            let counts: UInt64Chunked = values
                .map(|value| match value {
                    Value::Count(count) => Some(count),
                    _ => None,
                })
                .collect();
            counts.with_name(column.name.into()).into_column()
        }
        Kind::Statistic => {
            let values: Float64Chunked = values
                .map(|value| match value {
                    Value::Statistic(value, _) => Some(value),
                    _ => None,
                })
                .collect();
            values.with_name(column.name.into()).into_column()
        }
        Kind::Money => {
            let amounts = values.map(|value| match value {
                Value::Money(amount) => Some(amount),
                _ => None,
            });
            crate::totals::money_column(column.name, amounts, currency)?
        }
    })
}

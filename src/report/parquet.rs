//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

use super::grid::{Kind, Tabular, Value};
use crate::money::Currency;
use crate::totals::FrameError;
use polars::polars_utils::compression::ZstdLevel;
use polars::prelude::*;
use std::ops::Range;

/// A table as a Parquet file.
///
/// # Errors
/// Only when an amount passes 38 digits, which no checked input reaches.
pub fn to_parquet(table: &impl Tabular, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let mut bytes = Vec::new();
    let mut frame = rows(table, 0..ROWS.min(table.height()), currency)?;
    // The library's own level, 3, takes longer and makes a table of cars no smaller.
    let compression = ParquetCompression::Zstd(Some(ZstdLevel::try_new(1)?));
    let mut writer = ParquetWriter::new(&mut bytes)
        .with_compression(compression)
        .batched(frame.schema())?;
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

/// Each row is looked at once, and every column grows by its cell.
fn rows(
    table: &impl Tabular,
    rows: Range<usize>,
    currency: Currency,
) -> Result<DataFrame, FrameError> {
    let height = rows.len();
    let mut columns: Vec<Cells> = table
        .columns()
        .iter()
        .map(|column| Cells::new(column.kind, column.name.into(), height))
        .collect();
    let mut cells = Vec::new();
    for row in rows {
        table.row(row, &mut cells);
        for (column, value) in columns.iter_mut().zip(&cells) {
            column.push(value, currency);
        }
    }
    let columns: Vec<Column> = columns
        .into_iter()
        .map(|column| column.finish(currency))
        .collect::<Result<_, FrameError>>()?;
    Ok(DataFrame::new(height, columns)?)
}

/// The cells of one column so far.
enum Cells {
    Text(StringChunkedBuilder),
    Count(PrimitiveChunkedBuilder<UInt64Type>),
    Statistic(PrimitiveChunkedBuilder<Float64Type>),
    /// In minor units.
    Money(PrimitiveChunkedBuilder<Int128Type>),
}

impl Cells {
    fn new(kind: Kind, name: PlSmallStr, height: usize) -> Cells {
        match kind {
            Kind::Text => Cells::Text(StringChunkedBuilder::new(name, height)),
            Kind::Count => Cells::Count(PrimitiveChunkedBuilder::new(name, height)),
            Kind::Statistic => Cells::Statistic(PrimitiveChunkedBuilder::new(name, height)),
            Kind::Money => Cells::Money(PrimitiveChunkedBuilder::new(name, height)),
        }
    }

    /// Adds a cell; what is not of the column's kind is nothing.
    fn push(&mut self, value: &Value<'_>, currency: Currency) {
        match (self, value) {
            (Cells::Text(texts), Value::Text(text)) => texts.append_value(text),
            (Cells::Text(texts), _) => texts.append_null(),
            (Cells::Count(counts), Value::Count(count)) => counts.append_value(*count),
            (Cells::Count(counts), _) => counts.append_null(),
            (Cells::Statistic(values), Value::Statistic(value, _)) => values.append_value(*value),
            (Cells::Statistic(values), _) => values.append_null(),
            (Cells::Money(units), Value::Money(amount)) => {
                units.append_value(amount.minor_units(currency));
            }
            (Cells::Money(units), _) => units.append_null(),
        }
    }

    fn finish(self, currency: Currency) -> Result<Column, FrameError> {
        Ok(match self {
            Cells::Text(texts) => texts.finish().into_column(),
            Cells::Count(counts) => counts.finish().into_column(),
            Cells::Statistic(values) => values.finish().into_column(),
            Cells::Money(units) => {
                let places = currency.places() as usize;
                let amounts = units.finish().into_decimal(38, places)?;
                amounts.into_series().into_column()
            }
        })
    }
}

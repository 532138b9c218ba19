//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

use super::grid::{Kind, Tabular, Value};
use crate::money::Currency;
use crate::totals::FrameError;
use polars::prelude::*;
use rayon::prelude::*;

/// A table as a Parquet file.
///
/// # Errors
/// Only when an amount passes 38 digits, which no checked input reaches.
pub fn to_parquet(table: &impl Tabular, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let columns: Vec<Column> = (0..table.columns().len())
        .into_par_iter()
        .map(|index| column(table, index, currency))
        .collect::<Result<_, FrameError>>()?;
    let mut frame = DataFrame::new(table.height(), columns)?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes).finish(&mut frame)?;
    Ok(bytes)
}

fn column(table: &impl Tabular, index: usize, currency: Currency) -> Result<Column, FrameError> {
    let column = table.columns()[index];
    let values = (0..table.height()).map(|row| table.cell(row, index));
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

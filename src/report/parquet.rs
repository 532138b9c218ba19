//! Parquet, for whoever wants to query: amounts are Decimal(38, places).

use super::grid::{Grid, Kind, Value};
use crate::money::Currency;
use crate::totals::FrameError;
use polars::prelude::*;

/// A table as a Parquet file.
///
/// # Errors
/// Only when an amount passes 38 digits, which no checked input reaches.
pub fn to_parquet(grid: &Grid<'_>, currency: Currency) -> Result<Vec<u8>, FrameError> {
    let mut columns = Vec::with_capacity(grid.columns.len());
    for (index, column) in grid.columns.iter().enumerate() {
        let values = grid.rows.iter().map(|row| &row[index]);
        columns.push(match column.kind {
            Kind::Text => {
                let texts: Vec<Option<&str>> = values
                    .map(|value| match value {
                        Value::Text(text) => Some(text.as_ref()),
                        _ => None,
                    })
                    .collect();
                Column::new(column.name.into(), texts)
            }
            Kind::Count => {
                let counts: Vec<Option<u64>> = values
                    .map(|value| match value {
                        Value::Count(count) => Some(*count),
                        _ => None,
                    })
                    .collect();
                Column::new(column.name.into(), counts)
            }
            Kind::Statistic => {
                let values: Vec<Option<f64>> = values
                    .map(|value| match value {
                        Value::Statistic(value, _) => Some(*value),
                        _ => None,
                    })
                    .collect();
                Column::new(column.name.into(), values)
            }
            Kind::Money => {
                let amounts = values.map(|value| match value {
                    Value::Money(amount) => Some(*amount),
                    _ => None,
                });
                crate::totals::money_column(column.name, amounts, currency)?
            }
        });
    }
    let mut frame = DataFrame::new(grid.rows.len(), columns)?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes).finish(&mut frame)?;
    Ok(bytes)
}

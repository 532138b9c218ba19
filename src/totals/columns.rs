//! Columns of data frames.

use crate::money::{Currency, Money};
use polars::prelude::*;

/// A failure of the data frame library; on checked inputs it is a bug.
#[derive(Debug)]
pub struct FrameError(pub String);

impl std::fmt::Display for FrameError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "bug: totals: {}", self.0)
    }
}

impl From<PolarsError> for FrameError {
    fn from(error: PolarsError) -> FrameError {
        FrameError(error.to_string())
    }
}

/// Amounts of one column as exact decimals.
pub fn money_column(
    name: &str,
    amounts: impl Iterator<Item = Option<Money>>,
    currency: Currency,
) -> PolarsResult<Column> {
    let units: Int128Chunked = amounts
        .map(|amount| amount.map(|amount| amount.minor_units(currency)))
        .collect();
    let places = currency.places() as usize;
    let decimals = units.with_name(name.into()).into_decimal(38, places)?;
    Ok(decimals.into_series().into_column())
}

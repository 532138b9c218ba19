//! JSON: amounts as decimal text, so that no reader makes a binary float of a cent.

use super::grid::{Grid, Value};
use crate::money::Currency;
use serde_json::{Map, Value as Json};

/// A table as a list of objects.
#[must_use]
pub fn grid_to_json(grid: &Grid<'_>, currency: Currency) -> Json {
    Json::Array(
        grid.rows
            .iter()
            .map(|row| {
                let entries = grid.columns.iter().zip(row).map(|(column, value)| {
                    let json = match value {
                        Value::Empty => Json::Null,
                        Value::Text(text) => Json::String(text.clone().into_owned()),
                        Value::Count(count) => Json::from(*count),
                        Value::Money(amount) => Json::String(currency.text(*amount)),
                        Value::Statistic(value, _) => Json::from(*value),
                    };
                    (column.name.to_owned(), json)
                });
                Json::Object(entries.collect::<Map<String, Json>>())
            })
            .collect(),
    )
}

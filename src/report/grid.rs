//! A table of values that every format walks.

use crate::money::Money;
use std::borrow::Cow;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words; guarded where a spreadsheet would run them.
    Text,
    /// Whole numbers.
    Count,
    /// Amounts in the storm's currency.
    Money,
    /// Estimates and the like: binary, and no amount that anybody pays.
    Statistic,
}

/// One column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Its header.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
}

/// One value; the kind of its column says which.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'a> {
    /// Nothing.
    Empty,
    /// Words.
    Text(Cow<'a, str>),
    /// A whole number.
    Count(u64),
    /// An amount.
    Money(Money),
    /// An estimate, and the decimals that text gives it.
    Statistic(f64, usize),
}

impl<'a> Value<'a> {
    /// Words; none of them is nothing.
    pub fn text(text: impl Into<Cow<'a, str>>) -> Value<'a> {
        let text = text.into();
        if text.is_empty() {
            Value::Empty
        } else {
            Value::Text(text)
        }
    }

    /// An amount, where there is one.
    #[must_use]
    pub fn money(amount: Option<Money>) -> Value<'a> {
        amount.map_or(Value::Empty, Value::Money)
    }

    /// A whole number, where there is one.
    #[must_use]
    pub fn count(count: Option<u64>) -> Value<'a> {
        count.map_or(Value::Empty, Value::Count)
    }
}

/// A table.
#[derive(Debug, Clone)]
pub struct Grid<'a> {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, as wide as the columns.
    pub rows: Vec<Vec<Value<'a>>>,
}

/// Rows and columns that a file can be made of.
pub trait Tabular: Sync {
    /// The columns.
    fn columns(&self) -> &[Column];

    /// How many rows.
    fn height(&self) -> usize;

    /// The cells of a row, as many as there are columns, in place of what `cells` held.
    fn row<'s>(&'s self, row: usize, cells: &mut Vec<Value<'s>>);
}

impl Tabular for Grid<'_> {
    fn columns(&self) -> &[Column] {
        &self.columns
    }

    fn height(&self) -> usize {
        self.rows.len()
    }

    fn row<'s>(&'s self, row: usize, cells: &mut Vec<Value<'s>>) {
        cells.clear();
        cells.extend(self.rows[row].iter().map(|value| match value {
            Value::Text(text) => Value::Text(Cow::Borrowed(text)),
            other => other.clone(),
        }));
    }
}

/// Columns by `name: kind`.
#[must_use]
pub fn columns(names: &[(&'static str, Kind)]) -> Vec<Column> {
    names
        .iter()
        .map(|(name, kind)| Column { name, kind: *kind })
        .collect()
}

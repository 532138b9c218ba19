//! A table of values that every format walks.

use crate::money::{Currency, Money};
use std::borrow::Cow;
use std::ops::Range;

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

/// What the cells of a row go to, from left to right.
pub trait CellSink<'a> {
    /// Nothing.
    fn empty(&mut self);

    /// Words; none of them is nothing.
    fn text(&mut self, text: &'a str);

    /// A whole number.
    fn count(&mut self, count: u64);

    /// An amount.
    fn money(&mut self, amount: Money);

    /// An amount in minor units of the table's currency.
    fn units(&mut self, units: i64);

    /// An estimate, and the decimals that text gives it.
    fn statistic(&mut self, value: f64, places: usize);

    /// The end of the row.
    fn end_row(&mut self);
}

/// Rows and columns that a file can be made of.
pub trait Tabular: Sync {
    /// The columns.
    fn columns(&self) -> &[Column];

    /// How many rows.
    fn height(&self) -> usize;

    /// Gives the cells of a row to `cells`, as many as there are columns.
    fn row<'a>(&'a self, row: usize, cells: &mut impl CellSink<'a>);

    /// Gives the cells of some rows to `cells`.
    fn rows<'a>(&'a self, rows: Range<usize>, cells: &mut impl CellSink<'a>) {
        for row in rows {
            self.row(row, cells);
            cells.end_row();
        }
    }
}

impl Tabular for Grid<'_> {
    fn columns(&self) -> &[Column] {
        &self.columns
    }

    fn height(&self) -> usize {
        self.rows.len()
    }

    fn row<'a>(&'a self, row: usize, cells: &mut impl CellSink<'a>) {
        for value in &self.rows[row] {
            match value {
                Value::Empty => cells.empty(),
                Value::Text(text) => cells.text(text),
                Value::Count(count) => cells.count(*count),
                Value::Money(amount) => cells.money(*amount),
                Value::Statistic(value, places) => cells.statistic(*value, *places),
            }
        }
    }
}

/// The cells of one row as values.
#[derive(Debug)]
pub struct GridCells<'a> {
    /// So far.
    pub row: Vec<Value<'a>>,
    currency: Currency,
}

impl GridCells<'_> {
    /// None yet, of so many.
    #[must_use]
    pub fn new(columns: usize, currency: Currency) -> Self {
        GridCells {
            row: Vec::with_capacity(columns),
            currency,
        }
    }
}

impl<'a> CellSink<'a> for GridCells<'a> {
    fn empty(&mut self) {
        self.row.push(Value::Empty);
    }

    fn text(&mut self, text: &'a str) {
        self.row.push(Value::text(text));
    }

    fn count(&mut self, count: u64) {
        self.row.push(Value::Count(count));
    }

    fn money(&mut self, amount: Money) {
        self.row.push(Value::Money(amount));
    }

    fn units(&mut self, units: i64) {
        let amount = Money::from_minor_units(units.into(), self.currency);
        self.money(amount);
    }

    fn statistic(&mut self, value: f64, places: usize) {
        self.row.push(Value::Statistic(value, places));
    }

    fn end_row(&mut self) {}
}

/// Columns by `name: kind`.
#[must_use]
pub fn columns(names: &[(&'static str, Kind)]) -> Vec<Column> {
    names
        .iter()
        .map(|(name, kind)| Column { name, kind: *kind })
        .collect()
}

//! Cells of a workbook, owned, and how they are gathered by row within bounds.

use super::super::table::{Cell, MAX_CELL_CHARS, MAX_COLUMNS, MAX_SHEET_ROWS};
use super::{BookRow, Found};
use calamine::{Data, DataRef};
use std::collections::BTreeMap;

/// A cell that owns its text.
#[derive(Debug, Clone, PartialEq)]
pub enum OwnedCell {
    /// Text.
    Text(Box<str>),
    /// A binary number.
    Number(f64),
    /// Yes or no.
    Truth(bool),
    /// A date or time in ISO 8601.
    Date(Box<str>),
    /// An error value.
    Fault(Box<str>),
    /// A formula without a stored value.
    NoValue(Box<str>),
}

impl OwnedCell {
    /// The cell as the readers see it.
    #[must_use]
    pub fn view(&self) -> Cell<'_> {
        match self {
            OwnedCell::Text(text) => Cell::of_text(text),
            OwnedCell::Number(number) => Cell::Number(*number),
            OwnedCell::Truth(truth) => Cell::Truth(*truth),
            OwnedCell::Date(text) => Cell::Date(text),
            OwnedCell::Fault(text) => Cell::Fault(text),
            OwnedCell::NoValue(formula) => Cell::NoValue(formula),
        }
    }
}

/// Gathers cells by row, within the bound of the workbook.
pub struct Gather<'n> {
    rows: BTreeMap<u32, Vec<(u32, OwnedCell)>>,
    left: &'n mut usize,
}

impl<'n> Gather<'n> {
    pub fn new(left: &'n mut usize) -> Gather<'n> {
        Gather {
            rows: BTreeMap::new(),
            left,
        }
    }

    pub fn push(&mut self, row: u32, column: u32, cell: Option<OwnedCell>) -> Result<(), Found> {
        let Some(cell) = cell else { return Ok(()) };
        // A reference may hold any figure; whoever makes room for a row by its
        // last column must not meet one past all spreadsheets.
        if row >= MAX_SHEET_ROWS || column as usize >= MAX_COLUMNS {
            return Err((
                format!(
                    "a cell in row {}, column {}",
                    u64::from(row) + 1,
                    u64::from(column) + 1
                ),
                "cells within a spreadsheet's 1,048,576 rows and 16,384 columns".to_owned(),
            ));
        }
        let long = match &cell {
            OwnedCell::Text(text) | OwnedCell::Date(text) | OwnedCell::NoValue(text) => {
                text.len() > MAX_CELL_CHARS && text.chars().count() > MAX_CELL_CHARS
            }
            _ => false,
        };
        if long {
            return Err((
                format!("a cell of more than 32,767 characters in row {}", row + 1),
                "at most 32,767 characters in a cell".to_owned(),
            ));
        }
        *self.left = self.left.checked_sub(1).ok_or_else(|| {
            (
                "more than 2,000,000 cells".to_owned(),
                "at most 2,000,000 cells in a workbook".to_owned(),
            )
        })?;
        self.rows
            .entry(row.saturating_add(1))
            .or_default()
            .push((column, cell));
        Ok(())
    }

    pub fn rows(self) -> Vec<BookRow> {
        self.rows
            .into_iter()
            .map(|(number, mut cells)| {
                cells.sort_by_key(|(column, _)| *column);
                cells.dedup_by_key(|(column, _)| *column);
                (number, cells)
            })
            .collect()
    }
}

fn text_cell(text: &str) -> Option<OwnedCell> {
    // OpenDocument carries error values as text.
    const FAULTS: [&str; 8] = [
        "#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "Err:",
    ];
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return None;
    }
    Some(if FAULTS.iter().any(|fault| trimmed.starts_with(fault)) {
        OwnedCell::Fault(trimmed.into())
    } else {
        OwnedCell::Text(text.into())
    })
}

fn date_text(moment: &calamine::ExcelDateTime) -> Box<str> {
    let (year, month, day, hour, minute, second, _) = moment.to_ymd_hms_milli();
    if hour == 0 && minute == 0 && second == 0 {
        format!("{year:04}-{month:02}-{day:02}").into()
    } else {
        format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}").into()
    }
}

pub fn owned(value: &DataRef<'_>) -> Option<OwnedCell> {
    match value {
        DataRef::Int(number) => Some(OwnedCell::Number(*number as f64)),
        DataRef::Float(number) => Some(OwnedCell::Number(*number)),
        DataRef::String(text) => text_cell(text),
        DataRef::SharedString(text) => text_cell(text),
        DataRef::Bool(truth) => Some(OwnedCell::Truth(*truth)),
        DataRef::DateTime(moment) => Some(OwnedCell::Date(date_text(moment))),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            Some(OwnedCell::Date(text.as_str().into()))
        }
        DataRef::Error(error) => Some(OwnedCell::Fault(error.to_string().into())),
        DataRef::Empty => None,
    }
}

pub fn owned_data(value: &Data) -> Option<OwnedCell> {
    match value {
        Data::Int(number) => Some(OwnedCell::Number(*number as f64)),
        Data::Float(number) => Some(OwnedCell::Number(*number)),
        Data::String(text) => text_cell(text),
        Data::Bool(truth) => Some(OwnedCell::Truth(*truth)),
        Data::DateTime(moment) => Some(OwnedCell::Date(date_text(moment))),
        Data::DateTimeIso(text) | Data::DurationIso(text) => {
            Some(OwnedCell::Date(text.as_str().into()))
        }
        Data::Error(error) => Some(OwnedCell::Fault(error.to_string().into())),
        Data::Empty => None,
    }
}

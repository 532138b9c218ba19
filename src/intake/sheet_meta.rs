//! What is kept of a sheet that was read.

use super::header::{Column, Role};
use super::panel_list::MANY;
use super::problem::Place;
use crate::storm::SizeId;

/// A sheet that was read: what a [`crate::storm::Provenance`] points to.
#[derive(Debug, Clone)]
pub struct SheetMeta {
    /// Reading order of its file.
    pub order: u32,
    /// The file.
    pub file: String,
    /// The sheet, in workbooks.
    pub sheet: Option<String>,
    /// Its columns.
    pub columns: Vec<Column>,
    /// The size classes that its rows can count in: those of its columns, or
    /// the first of the storm's where rows name them.
    pub classes: Vec<SizeId>,
    /// Whether rows give a total and its predominant class.
    pub by_total: bool,
}

impl SheetMeta {
    /// A sheet with its columns.
    #[must_use]
    pub fn new(order: u32, file: &str, sheet: Option<&str>, columns: Vec<Column>) -> SheetMeta {
        let mut classes: Vec<SizeId> = Vec::new();
        for column in &columns {
            if let Role::Class(size) = column.role
                && !classes.contains(&size)
            {
                classes.push(size);
            }
        }
        let by_class = !classes.is_empty();
        if !by_class {
            // Without columns for them, rows name their class.
            classes.extend((0..).map(SizeId).take(MANY));
        }
        let has_total = columns.iter().any(|column| column.role == Role::Dents);
        SheetMeta {
            order,
            file: file.to_owned(),
            sheet: sheet.map(str::to_owned),
            columns,
            classes,
            by_total: has_total && !by_class,
        }
    }

    /// The place of a row, and of the column that has a role, where one has.
    #[must_use]
    pub fn place(&self, row: u32, is_role: impl Fn(Role) -> bool) -> Place {
        let column = self.columns.iter().find(|column| is_role(column.role));
        self.place_at(
            row,
            column.map(|column| (column.index, column.header.as_str())),
        )
    }

    /// The place of a row and of a column by its word: of a list's column, or
    /// of a count sheet's stock.
    #[must_use]
    pub fn place_of(&self, row: u32, word: &str) -> Place {
        self.place(row, |role| match role {
            Role::Named(name) => name == word,
            Role::Stock => word == "stock",
            _ => false,
        })
    }

    /// The place of a row and, where one is given, a column.
    #[must_use]
    pub fn place_at(&self, row: u32, column: Option<(usize, &str)>) -> Place {
        Place {
            order: self.order,
            file: self.file.clone(),
            sheet: self.sheet.clone(),
            row: Some(row),
            column_index: column.and_then(|(index, _)| u32::try_from(index).ok()),
            column: column.map(|(_, header)| header.to_owned()),
        }
    }
}

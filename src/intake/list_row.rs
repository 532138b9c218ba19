//! One row of a list of the crew: its cells with their places, and what is
//! wrong with them.

use super::cells::{Read, Refusal};
use super::draft::{Drafts, SheetMeta};
use super::header::{Column, Role};
use super::plain_sheet::{Columns, PlainHeader};
use super::problem::{Place, Problem, Problems, Severity};
use super::table::{Cell, Row, Table};
use crate::storm::Provenance;
use std::collections::HashMap;
use std::hash::Hash;

/// One row of a table with fixed columns.
pub struct ListRow<'a> {
    /// The table.
    pub table: &'a Table,
    /// Its reading order.
    pub order: u32,
    /// Its columns.
    pub columns: Columns,
    /// Its header as found.
    pub header: &'a PlainHeader,
    /// The row.
    pub row: Row<'a>,
    /// Where problems go.
    pub problems: &'a mut Problems,
    /// The car that the row is about, where it is known.
    pub stock: Option<String>,
}

impl ListRow<'_> {
    /// The place of a column in this row.
    pub fn place(&self, which: usize) -> Place {
        let column = self.header.column(which);
        Place {
            order: self.order,
            file: self.table.file.clone(),
            sheet: self.table.sheet.clone(),
            row: Some(self.row.number),
            column_index: column.and_then(|(index, _)| u32::try_from(index).ok()),
            column: Some(
                column
                    .map_or_else(|| self.columns.name(which), |(_, name)| name)
                    .to_owned(),
            ),
        }
    }

    /// The cell of a column; a column that is not there is blank.
    pub fn cell(&self, which: usize) -> Cell<'_> {
        self.header
            .column(which)
            .map_or(Cell::Blank, |(index, _)| self.row.cell(index))
    }

    /// Whether a comma between digits is a decimal comma.
    pub fn decimal_comma(&self) -> bool {
        self.table.decimal_comma()
    }

    /// An error in a column.
    pub fn refuse(&mut self, which: usize, refusal: Refusal) {
        self.push(Severity::Error, which, refusal);
    }

    /// A caution in a column.
    pub fn caution(&mut self, which: usize, expected: impl Into<String>) {
        self.push(Severity::Caution, which, Refusal::new(expected));
    }

    fn push(&mut self, severity: Severity, which: usize, refusal: Refusal) {
        let problem = Problem {
            severity,
            place: self.place(which),
            found: self.cell(which).shown().into_owned(),
            expected: refusal.expected,
            meant: refusal.meant,
            stock: self.stock.clone(),
        };
        self.problems.push(problem);
    }

    /// What a reader makes of a column; a refusal is reported.
    pub fn read<T>(&mut self, which: usize, reader: impl FnOnce(Cell<'_>) -> Read<T>) -> Option<T> {
        if let Some(merge) = self
            .header
            .column(which)
            .and_then(|(index, _)| self.table.merge_over(self.row.number, index))
        {
            let expected = format!("one value a row; {} is merged", merge.range);
            self.refuse(which, Refusal::new(expected));
            return None;
        }
        match reader(self.cell(which)) {
            Ok(value) => Some(value),
            Err(refusal) => {
                self.refuse(which, refusal);
                None
            }
        }
    }

    /// A caution where the same row was met before, on this sheet or another.
    pub fn once<K: Hash + Eq>(&mut self, which: usize, key: K, seen: &mut HashMap<K, String>) {
        let here = match &self.table.sheet {
            Some(sheet) => format!("row {} of sheet {sheet}", self.row.number),
            None => format!("row {}", self.row.number),
        };
        match seen.get(&key) {
            Some(first) => {
                let expected = format!("a row once; the same stands at {first}. Both count");
                self.caution(which, expected);
            }
            None => {
                seen.insert(key, here);
            }
        }
    }

    /// What stands in it that must not be blank.
    pub fn need<T>(
        &mut self,
        which: usize,
        expected: &str,
        reader: impl FnOnce(Cell<'_>) -> Read<Option<T>>,
    ) -> Option<T> {
        let value = self.read(which, reader)?;
        if value.is_none() {
            self.refuse(which, Refusal::new(expected));
        }
        value
    }
}

/// Remembers a list's sheet, so that later checks can name its cells.
pub fn remember_sheet(
    drafts: &mut Drafts,
    table: &Table,
    order: u32,
    columns: Columns,
    header: &PlainHeader,
) -> u32 {
    drafts.add_sheet(SheetMeta::new(
        order,
        &table.file,
        table.sheet.as_deref(),
        (0..=columns.others.len())
            .filter_map(|which| {
                let (index, written) = header.column(which)?;
                Some(Column {
                    index,
                    header: written.to_owned(),
                    role: Role::Named(columns.name(which)),
                })
            })
            .collect(),
    ))
}

/// The provenance of a row.
pub fn source(sheet: u32, row: Row<'_>) -> Provenance {
    Provenance {
        sheet,
        row: row.number,
    }
}

//! What is said of a sheet once all of it is read.

use super::super::header::{Layout, Role};
use super::super::problem::{Place, Problem, Severity, column_letters};
use super::super::table::{TableData, Unreadable};
use super::rows::side_refusal;
use super::{SheetReader, UnknownColumn};

impl SheetReader<'_> {
    pub(super) fn finish(mut self, result: Result<u32, Unreadable>) -> bool {
        let file_place = Place {
            order: self.order,
            sheet: self.table.sheet.clone(),
            ..Place::file(&self.table.file)
        };
        match result {
            Err(unreadable) => {
                let place = Place {
                    row: unreadable.row,
                    ..file_place
                };
                self.stop(place, &unreadable.found, unreadable.expected);
                return true;
            }
            Ok(0) => {}
            Ok(comments) => self.caution_passed(comments, "comment", file_place.clone()),
        }
        if !self.found_header || self.layout.is_none() {
            return false;
        }
        if self.passed_over > 0 {
            self.caution_passed(self.passed_over, "title", file_place.clone());
        }
        if let TableData::Book(sheet) = &self.table.data {
            if sheet.hidden {
                self.caution(
                    file_place.clone(),
                    "a hidden sheet",
                    "to be known: hidden sheets are read",
                );
            }
            match sheet.hidden_rows {
                0 => {}
                1 => self.caution(
                    file_place,
                    "a hidden row",
                    "to be known: hidden rows are read",
                ),
                rows => self.caution(
                    file_place,
                    format!("{rows} hidden rows"),
                    "to be known: hidden rows are read",
                ),
            }
        }
        self.report_unknown();
        true
    }

    /// Rows above the header and comments are passed over, and said.
    pub(super) fn caution_passed(&mut self, rows: u32, what: &str, place: Place) {
        let word = if rows == 1 { "row" } else { "rows" };
        self.problems
            .note(place, format!("{rows} {what} {word} passed over"));
    }

    /// Cells under a column without a header.
    fn report_headless(&mut self, unknown: &UnknownColumn) {
        if !unknown.used {
            return;
        }
        let at = unknown.column.index;
        let letters = column_letters(u32::try_from(at).unwrap_or(u32::MAX));
        let place = self
            .meta()
            .place_at(self.header_at, Some((at, &format!("column {letters}"))));
        match &unknown.digits {
            Some((row, text)) => {
                for &car in &unknown.cars {
                    self.drafts.cars[car].bad = true;
                }
                self.problems.push(Problem {
                    severity: Severity::Error,
                    place,
                    found: String::new(),
                    expected: format!(
                        "a header: row {row} holds {text} in this column, so dents would be lost"
                    ),
                    meant: None,
                    stock: None,
                });
            }
            None => self.caution(place, "", "a header. The column is left out"),
        }
    }

    pub(super) fn report_unknown(&mut self) {
        let Some(layout) = self.layout else { return };
        for unknown in std::mem::take(&mut self.unknown) {
            let column = &unknown.column;
            if column.header.is_empty() {
                self.report_headless(&unknown);
                continue;
            }
            let place = self
                .meta()
                .place_at(self.header_at, Some((column.index, &column.header)));
            if let Role::NoSide(panels) = column.role {
                for &car in &unknown.cars {
                    self.drafts.cars[car].bad = true;
                }
                let refusal = side_refusal(panels);
                self.problems.push(Problem {
                    severity: Severity::Error,
                    place,
                    found: column.header.clone(),
                    expected: refusal.expected,
                    meant: None,
                    stock: None,
                });
                continue;
            }
            let near = self.headers.nearest_column(&column.header, layout);
            let nearest = near.map_or(String::new(), |near| format!("; nearest: {near}"));
            let counts_lost = layout != Layout::Dents && unknown.digits.is_some();
            if counts_lost {
                let (row, text) = unknown.digits.clone().unwrap_or_default();
                for &car in &unknown.cars {
                    self.drafts.cars[car].bad = true;
                }
                self.problems.push(Problem {
                    severity: Severity::Error,
                    place,
                    found: column.header.clone(),
                    expected: format!(
                        "a known column{nearest}: row {row} holds {text}, so dents would be lost; `[intake] ignore = [\"{}\"]` leaves it out",
                        column.header
                    ),
                    meant: None,
                    stock: None,
                });
            } else {
                self.caution(
                    place,
                    column.header.clone(),
                    format!("a known column{nearest}. The column is left out"),
                );
            }
        }
    }
}

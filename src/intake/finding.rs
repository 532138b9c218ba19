//! What is wrong with a list once it meets the prices.

use super::draft::SheetMeta;
use super::problem::{Problem, Severity};
use crate::storm::Provenance;

/// One thing found, at a row of a list and one of its columns.
#[derive(Debug, Clone)]
pub struct Finding {
    /// How bad.
    pub severity: Severity,
    /// The row.
    pub source: Provenance,
    /// The column's word.
    pub column: &'static str,
    /// What stands there.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What was probably meant.
    pub meant: Option<String>,
    /// The car.
    pub stock: Option<String>,
}

impl Finding {
    /// As a problem with its place.
    #[must_use]
    pub fn problem(self, sheets: &[SheetMeta]) -> Problem {
        let sheet = &sheets[self.source.sheet as usize];
        let mut place = sheet.place_of(self.source.row, self.column);
        if place.column.is_none() {
            place.column = Some(self.column.to_owned());
        }
        Problem {
            severity: self.severity,
            place,
            found: self.found,
            expected: self.expected,
            meant: self.meant,
            stock: self.stock,
        }
    }
}

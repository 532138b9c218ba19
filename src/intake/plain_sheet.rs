//! Tables with one fixed set of columns: the vehicle list, the agreed
//! amounts, and those that later work adds.

use super::problem::{Place, Problem, Problems, Severity, column_letters};
use super::storm_file::IntakeOptions;
use super::table::{Row, Table};
use crate::storm::words;
use std::collections::BTreeSet;

/// The columns of one kind of table: words, first `stock` or another key.
#[derive(Debug, Clone, Copy)]
pub struct Columns {
    /// The column without which a row is no header.
    pub key: &'static str,
    /// All other columns.
    pub others: &'static [&'static str],
    /// Whether the key may stand alone: a list of nothing but stocks.
    pub key_alone: bool,
}

/// A table's header as found.
#[derive(Debug, Clone)]
pub struct PlainHeader {
    /// Columns within it that have no header.
    pub headless: Vec<usize>,
    /// One past its last column.
    pub width: usize,
    /// Position and written header of the key and of every other column.
    pub found: Vec<Option<(usize, String)>>,
}

impl PlainHeader {
    /// Position and header of a column, by its place in key, then others.
    #[must_use]
    pub fn column(&self, which: usize) -> Option<(usize, &str)> {
        self.found[which]
            .as_ref()
            .map(|(index, header)| (*index, header.as_str()))
    }
}

impl Columns {
    /// The place of a column's word: 0 is the key.
    #[must_use]
    pub fn which(&self, header: &str, options: &IntakeOptions) -> Option<usize> {
        let folded = words::fold(header);
        let folded = options.columns.get(&folded).cloned().unwrap_or(folded);
        let known = |folded: &str| {
            std::iter::once(self.key)
                .chain(self.others.iter().copied())
                .position(|word| words::fold(word) == folded)
        };
        // A list's own column before another word for one: `part` is one here
        // and means a panel there.
        known(&folded).or_else(|| known(&words::fold(words::column_alias(&folded)?)))
    }

    /// Whether a row of cells is this table's header.
    #[must_use]
    pub fn is_header(&self, cells: &[&str], options: &IntakeOptions) -> bool {
        let known: Vec<usize> = cells
            .iter()
            .filter_map(|cell| self.which(cell, options))
            .collect();
        let alone = self.key_alone && cells.len() == 1;
        known.contains(&0) && (alone || known.iter().any(|which| *which != 0))
    }

    /// Reads a table: every row below the header goes to `visit`.
    ///
    /// Unknown columns are a caution, doubled ones and a missing header stop.
    pub fn read(
        &self,
        table: &Table,
        order: u32,
        options: &IntakeOptions,
        problems: &mut Problems,
        mut visit: impl FnMut(&PlainHeader, Row<'_>, &mut Problems),
    ) -> bool {
        let mut header: Option<PlainHeader> = None;
        let mut passed_over = 0_u32;
        let mut headless_said = BTreeSet::new();
        let place = |row: Option<u32>, column: Option<(usize, &str)>| Place {
            order,
            file: table.file.clone(),
            sheet: table.sheet.clone(),
            row,
            column_index: column.and_then(|(index, _)| u32::try_from(index).ok()),
            column: column.map(|(_, header)| header.to_owned()),
        };
        let result = table.each_row(&mut |row| {
            if let Some(header) = &header {
                if let Some((index, cell)) = row.first_used_from(header.width) {
                    let mut at = place(Some(row.number), Some((index, "")));
                    at.column = None;
                    problems.push_stopping(Problem {
                        severity: Severity::Error,
                        place: at,
                        found: cell.shown().into_owned(),
                        expected: "nothing beyond the last column".to_owned(),
                        meant: None,
                        stock: None,
                    });
                }
                let blank = header.headless.iter().find(|at| !row.cell(**at).is_blank());
                if let Some(&index) = blank
                    && headless_said.insert(index)
                {
                    let letters = column_letters(u32::try_from(index).unwrap_or(u32::MAX));
                    problems.push(Problem {
                        severity: Severity::Caution,
                        place: place(
                            Some(row.number),
                            Some((index, &format!("column {letters}"))),
                        ),
                        found: row.cell(index).shown().into_owned(),
                        expected: "a header above this column. The column is left out".to_owned(),
                        meant: None,
                        stock: None,
                    });
                }
                visit(header, row, problems);
                return true;
            }
            if row.number > super::csv_text::HEADER_WITHIN {
                return false;
            }
            let cells: Vec<(usize, String)> = row
                .used()
                .map(|(at, cell)| (at, cell.shown().into_owned()))
                .collect();
            let texts: Vec<&str> = cells.iter().map(|(_, text)| text.as_str()).collect();
            if !self.is_header(&texts, options) {
                passed_over += 1;
                return true;
            }
            let mut found = vec![None; self.others.len() + 1];
            for (index, text) in cells {
                match self.which(&text, options) {
                    Some(which) if found[which].is_none() => found[which] = Some((index, text)),
                    Some(_) => problems.push_stopping(Problem {
                        severity: Severity::Error,
                        place: place(Some(row.number), Some((index, &text))),
                        found: text,
                        expected: "a column once".to_owned(),
                        meant: None,
                        stock: None,
                    }),
                    None if options.ignore.contains(&words::fold(&text)) => {}
                    None => {
                        let known: Vec<String> =
                            self.others.iter().map(|word| words::fold(word)).collect();
                        let near =
                            words::nearest(&words::fold(&text), known.iter().map(String::as_str));
                        let nearest =
                            near.map_or(String::new(), |near| format!("; nearest: {near}"));
                        problems.push(Problem {
                            severity: Severity::Caution,
                            place: place(Some(row.number), Some((index, &text))),
                            found: text,
                            expected: format!("a known column{nearest}. The column is left out"),
                            meant: None,
                            stock: None,
                        });
                    }
                }
            }
            header = Some(PlainHeader {
                headless: (0..row.width())
                    .filter(|at| row.cell(*at).is_blank())
                    .collect(),
                width: row.width(),
                found,
            });
            true
        });
        match result {
            Err(unreadable) => problems.push_stopping(Problem {
                severity: Severity::Error,
                place: place(unreadable.row, None),
                found: unreadable.found,
                expected: unreadable.expected,
                meant: None,
                stock: None,
            }),
            Ok(comments) => {
                for (rows, what) in [(comments, "comment"), (passed_over, "title")] {
                    if rows > 0 && header.is_some() {
                        let word = if rows == 1 { "row" } else { "rows" };
                        problems.note(
                            place(None, None),
                            format!("{rows} {what} {word} passed over"),
                        );
                    }
                }
            }
        }
        header.is_some()
    }

    /// The word of a column by its place: 0 is the key.
    #[must_use]
    pub fn name(&self, which: usize) -> &'static str {
        which
            .checked_sub(1)
            .and_then(|which| self.others.get(which))
            .unwrap_or(&self.key)
    }

    /// The words of a header, for a message.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {}", self.key, self.others.join(", "))
    }
}

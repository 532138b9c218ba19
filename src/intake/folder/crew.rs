//! The crew's own files: who works here, what they did, what they were given.
//!
//! Their problems are kept apart: a price needs none of these files, a split
//! needs all of them.

use super::super::crew_list::{self, People};
use super::super::plain_sheet::Columns;
use super::super::problem::{Place, Problem, Problems, Severity};
use super::super::table::Table;
use super::super::work_log::{self, WorkLog};
use super::super::{paid_list, work_log as work};
use super::{FolderReader, no_header};
use crate::storm::CrewLog;
use std::collections::HashMap;

/// Reading order of the crew list, behind the agreed amounts.
const CREW_ORDER: u32 = 3_100_000_000;
/// Reading order of the work log.
const WORK_ORDER: u32 = 3_100_000_001;
/// Reading order of the ledger.
const PAID_ORDER: u32 = 3_100_000_002;

impl FolderReader<'_> {
    /// Reads crew, work and paid, where they are.
    pub fn crew(&mut self) {
        let of_storm = std::mem::take(&mut self.problems);
        // Where a sheet or list could not be read, the stocks are not all known.
        let all_known = self.drafts.has_list || !of_storm.stops();
        self.crew = self.crew_log(all_known);
        self.crew.is_whole &= self.problems.errors() == 0;
        self.crew_problems = std::mem::replace(&mut self.problems, of_storm);
    }

    fn crew_log(&mut self, all_known: bool) -> CrewLog {
        let settings = self.settings;
        let mut log = CrewLog::default();
        let mut people = People::default();
        if let Some(tables) = self.list("crew", CREW_ORDER, crew_list::COLUMNS) {
            log.has_people = true;
            people.faulty = tables.is_empty();
            self.each(
                &tables,
                CREW_ORDER,
                crew_list::COLUMNS,
                |_, table, problems| {
                    crew_list::read(table, CREW_ORDER, settings, &mut people, problems)
                },
            );
        }
        if log.has_people && people.list.is_empty() {
            // Where a fault has emptied it, that is said; else this is the fault.
            if !people.faulty && self.problems.errors() == 0 {
                self.nobody_in_it();
            }
            people.faulty = true;
        }
        if let Some(tables) = self.list("work", WORK_ORDER, work::COLUMNS) {
            log.is_whole = true;
            if log.has_people {
                let mut rows = WorkLog::new(settings, &people, all_known);
                self.each(
                    &tables,
                    WORK_ORDER,
                    work_log::COLUMNS,
                    |reader, table, problems| {
                        rows.read(table, WORK_ORDER, &mut reader.drafts, problems)
                    },
                );
                log.work = rows.rows;
            } else {
                self.nobody_known(&tables, WORK_ORDER);
            }
        }
        if let Some(tables) = self.list("paid", PAID_ORDER, paid_list::COLUMNS) {
            if log.has_people {
                let (mut rows, mut seen) = (Vec::new(), HashMap::new());
                self.each(
                    &tables,
                    PAID_ORDER,
                    paid_list::COLUMNS,
                    |reader, table, problems| {
                        paid_list::read(
                            table,
                            PAID_ORDER,
                            settings,
                            &people,
                            &mut reader.drafts,
                            &mut seen,
                            &mut rows,
                            problems,
                        )
                    },
                );
                log.paid = rows;
            } else {
                self.nobody_known(&tables, PAID_ORDER);
            }
        }
        log.people = people.list;
        log
    }

    /// The tables of the one file `stem.*`; `None` where there is no such file,
    /// empty where it can't be read, which is said.
    pub(super) fn list(&mut self, stem: &str, order: u32, columns: Columns) -> Option<Vec<Table>> {
        let path = self.table_file(stem, order)?;
        let options = &self.settings.intake;
        Some(self.open(&path, order, &|cells| columns.is_header(cells, options)))
    }

    /// Reads every table of a list, of which one must have its header.
    pub(super) fn each(
        &mut self,
        tables: &[Table],
        order: u32,
        columns: Columns,
        mut read: impl FnMut(&mut Self, &Table, &mut Problems) -> bool,
    ) {
        let mut found = false;
        let mut problems = std::mem::take(&mut self.problems);
        for table in tables {
            found |= read(self, table, &mut problems);
        }
        if let (false, Some(table)) = (found, tables.first()) {
            problems.push_stopping(no_header(&table.file, order, &columns.words()));
        }
        self.problems = problems;
    }

    /// A list of people that names nobody.
    fn nobody_in_it(&mut self) {
        let file = self.table_file("crew", CREW_ORDER).unwrap_or_default();
        self.problems.push(Problem {
            severity: Severity::Error,
            place: Place {
                order: CREW_ORDER,
                ..Place::file(file)
            },
            found: "no person".to_owned(),
            expected: "at least one person, or no crew list".to_owned(),
            meant: None,
            stock: None,
        });
    }

    /// A log without a list of the people it names.
    fn nobody_known(&mut self, tables: &[Table], order: u32) {
        let Some(table) = tables.first() else {
            return;
        };
        self.problems.push(Problem {
            severity: Severity::Error,
            place: Place {
                order,
                ..Place::file(table.file.clone())
            },
            found: "no crew list".to_owned(),
            expected: "crew.csv or a workbook beside it: the people whom these rows name"
                .to_owned(),
            meant: None,
            stock: None,
        });
    }
}

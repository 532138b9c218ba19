//! The count sheets of a storm, and those that stand alone.

use super::super::header::HeaderReader;
use super::super::problem::Place;
use super::super::source::{EntryKind, Source};
use super::super::table::{Row, TableData, is_workbook};
use super::super::text_blocks::{Opened, TextBlocks};
use super::super::{count_sheet, workbook};
use super::{COUNT_ORDER, FolderReader};

/// What a count sheet's header is, in words.
const COUNT_HEADER: &str = "stock and panel with a column per size class; or stock, panel, diameter; or stock and a column per panel";

impl<'a> FolderReader<'a> {
    /// Reads every count sheet of `counts/`, by name in byte order.
    pub fn counts(&mut self) {
        let names = match self.source.list("counts") {
            Ok(names) => names,
            Err(error) => {
                let place = Place {
                    order: COUNT_ORDER,
                    ..Place::file("counts")
                };
                self.stop(
                    place,
                    error.to_string(),
                    "a folder of count sheets: .csv or a workbook",
                );
                return;
            }
        };
        let mut sheets = 0;
        for (index, (name, kind)) in names.into_iter().enumerate() {
            if name.starts_with('.') || name.starts_with("~$") {
                continue;
            }
            let order = u32::try_from(index)
                .unwrap_or(u32::MAX)
                .saturating_add(COUNT_ORDER);
            let path = format!("counts/{name}");
            let place = Place {
                order,
                ..Place::file(&path)
            };
            let ending = name
                .rsplit_once('.')
                .map_or("", |(_, ending)| ending)
                .to_lowercase();
            let known = ending == "csv" || workbook::ENDINGS.contains(&ending.as_str());
            match kind {
                EntryKind::Folder if known => {
                    self.stop(
                        place,
                        "a folder",
                        format!("a count sheet under the name {name}"),
                    );
                    sheets += 1;
                }
                EntryKind::Folder => {
                    self.caution(place, name, "no subfolder: it is passed over");
                }
                _ if !known => {
                    self.caution(place, name, "a count sheet: .csv or a workbook");
                }
                EntryKind::Special => {
                    self.stop(place, "neither a file nor a folder", "a count sheet");
                    sheets += 1;
                }
                EntryKind::File => {
                    self.count_file(&path, order);
                    sheets += 1;
                }
            }
        }
        if sheets == 0 {
            let place = Place {
                order: COUNT_ORDER,
                ..Place::file("counts")
            };
            self.stop(
                place,
                "no count sheet",
                "at least one count sheet: .csv or a workbook",
            );
        }
    }

    /// Reads the count sheets given.
    pub fn sheets(&mut self, sheets: &[String]) {
        for (index, sheet) in sheets.iter().enumerate() {
            let order = u32::try_from(index)
                .unwrap_or(u32::MAX)
                .saturating_add(COUNT_ORDER);
            self.count_file(sheet, order);
        }
    }

    /// Reads count sheets from elsewhere in place of the folder's own. What
    /// they do not speak of is not uncounted.
    pub fn read_in_place(&mut self, source: &'a dyn Source, sheets: &[String]) {
        self.source = source;
        self.drafts.partial = true;
        self.sheets(sheets);
    }

    /// Reads one count sheet.
    fn count_file(&mut self, path: &str, order: u32) {
        let settings = self.settings;
        let headers = HeaderReader {
            options: &settings.intake,
            vocabulary: &settings.vocabulary,
            names: &settings.names,
        };
        let is_header = |cells: &[&str]| headers.is_count_header(cells);
        if !is_workbook(path) && self.count_text(path, order, &is_header) {
            return;
        }
        let tables = self.open(path, order, &is_header);
        if tables.is_empty() {
            return;
        }
        let mut without = Vec::new();
        for table in &tables {
            let found =
                count_sheet::read(table, order, settings, &mut self.drafts, &mut self.problems);
            if !found {
                without.push(table);
            }
        }
        if without.len() == tables.len() {
            self.no_header(path, order, COUNT_HEADER);
            return;
        }
        for table in without {
            // A sheet that begins with a remark is for people, and an empty one for nobody.
            let nothing_lost = match &table.data {
                TableData::Book(sheet) => sheet
                    .rows
                    .first()
                    .is_none_or(|(number, cells)| Row::of_book(*number, cells).is_comment()),
                TableData::Csv(_) => false,
            };
            if !nothing_lost {
                self.problems.note(
                    Place {
                        order,
                        sheet: table.sheet.clone(),
                        ..Place::file(path)
                    },
                    "no header of a count sheet: the sheet is passed over".to_owned(),
                );
            }
        }
    }

    /// Reads a count sheet that is text, block by block. Whether it is a text of
    /// that kind.
    fn count_text(&mut self, path: &str, order: u32, is_header: &dyn Fn(&[&str]) -> bool) -> bool {
        let place = Place {
            order,
            ..Place::file(path)
        };
        let (mut blocks, first) = match TextBlocks::open(self.source, path, is_header) {
            Ok(Opened::Blocks(blocks, first)) => (blocks, first),
            Ok(Opened::Wide) => return false,
            Err(unreadable) => {
                self.stop(place, unreadable.found, unreadable.expected);
                return true;
            }
        };
        let found = count_sheet::read_blocks(
            path,
            order,
            self.settings,
            &mut self.drafts,
            &mut self.problems,
            &mut blocks,
            first,
        );
        if let Some(encoding) = blocks.other_encoding() {
            self.problems
                .note(place, format!("not UTF-8: read as {encoding}"));
        }
        if !found {
            self.no_header(path, order, COUNT_HEADER);
        }
        true
    }
}

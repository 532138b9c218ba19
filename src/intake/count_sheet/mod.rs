//! One count sheet in any of the three layouts → drafts of cars.

mod block_rows;
mod cuts;
mod end;
mod facts;
mod in_blocks;
mod lines;
mod plain_columns;
mod plain_rows;
mod quotes;
mod rare_cells;
mod row_dents;
mod rows;
mod stock;
mod whole_numbers;
mod word_memo;

pub use facts::fact_text;
pub use stock::{is_sum_row, stock_text};

use super::cells::{Read, Refusal};
use super::csv_text::{CsvText, Records};
use super::draft::{Drafts, SheetMeta};
use super::header::{Column, HeaderReader, Layout, Role};
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Settings;
use super::table::{Cell, Row, Table, TableData};
use super::text_blocks::TextBlocks;
use crate::storm::Provenance;

/// Reads one table of `counts/`. Whether it held a count sheet's header.
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    drafts: &mut Drafts,
    problems: &mut Problems,
) -> bool {
    let mut reader = SheetReader::new(table, order, settings, drafts, problems);
    let result = table.each_row(&mut |row| reader.row(row));
    reader.finish(result)
}

/// The same of a text that comes in blocks, `first` being the first of them.
pub fn read_blocks(
    path: &str,
    order: u32,
    settings: &Settings,
    drafts: &mut Drafts,
    problems: &mut Problems,
    blocks: &mut TextBlocks<'_>,
    first: String,
) -> bool {
    let table = Table {
        file: path.to_owned(),
        sheet: None,
        data: TableData::Csv(CsvText::in_blocks(blocks.delimiter)),
    };
    let mut reader = SheetReader::new(&table, order, settings, drafts, problems);
    let mut records = Records::new(&first, blocks.delimiter, 0);
    let mut goes_on = true;
    while goes_on && !reader.found_header {
        goes_on = match records.next() {
            Ok(Some(row)) => reader.row(row),
            Ok(None) => false,
            Err(unreadable) => return reader.finish(Err(unreadable)),
        };
    }
    let (comments, rows, from) = (records.comments(), records.number(), records.end());
    if !goes_on {
        return reader.finish(Ok(comments));
    }
    let read = in_blocks::read(&mut reader, blocks, first, from, rows);
    reader.finish(read.map(|more| comments + more))
}

/// A column that nobody knows, and what it would lose.
struct UnknownColumn {
    column: Column,
    /// The first cell that begins with a digit: row and text.
    digits: Option<(u32, String)>,
    /// Cars whose count may stand there in part.
    cars: Vec<usize>,
    /// Whether anything stands there at all.
    used: bool,
}

struct SheetReader<'a> {
    table: &'a Table,
    headers: HeaderReader<'a>,
    settings: &'a Settings,
    drafts: &'a mut Drafts,
    problems: &'a mut Problems,
    sheet: u32,
    order: u32,
    layout: Option<Layout>,
    unknown: Vec<UnknownColumn>,
    /// One past the header's last column.
    width: usize,
    /// The last car that a row named.
    last_stock: Option<usize>,
    /// Whether the last stock that stood in a row was that car's.
    is_last_sound: bool,
    passed_over: u32,
    found_header: bool,
    header_at: u32,
}

impl<'a> SheetReader<'a> {
    fn new(
        table: &'a Table,
        order: u32,
        settings: &'a Settings,
        drafts: &'a mut Drafts,
        problems: &'a mut Problems,
    ) -> SheetReader<'a> {
        SheetReader {
            table,
            headers: HeaderReader {
                options: &settings.intake,
                vocabulary: &settings.vocabulary,
                names: &settings.names,
            },
            settings,
            drafts,
            problems,
            sheet: 0,
            order,
            layout: None,
            unknown: Vec::new(),
            width: 0,
            last_stock: None,
            is_last_sound: false,
            passed_over: 0,
            found_header: false,
            header_at: 0,
        }
    }

    fn meta(&self) -> &SheetMeta {
        &self.drafts.sheets[self.sheet as usize]
    }

    fn row(&mut self, row: Row<'_>) -> bool {
        if !self.found_header {
            if row.number > super::csv_text::HEADER_WITHIN {
                return false;
            }
            return self.look_for_header(row);
        }
        match self.layout {
            Some(_) => self.count_row(row),
            None => return false,
        }
        true
    }

    fn look_for_header(&mut self, row: Row<'_>) -> bool {
        let cells: Vec<(usize, String)> = row
            .used()
            .map(|(at, cell)| (at, cell.shown().into_owned()))
            .collect();
        let texts: Vec<&str> = cells.iter().map(|(_, text)| text.as_str()).collect();
        if !self.headers.is_count_header(&texts) {
            self.passed_over += 1;
            return true;
        }
        self.found_header = true;
        self.header_at = row.number;
        self.width = row.width();
        // A column without a header may hold dents all the same.
        let cells: Vec<(usize, String)> = (0..self.width)
            .map(|at| (at, row.cell(at).shown().into_owned()))
            .collect();
        let (layout, columns) = self.headers.count_columns(&cells);
        self.layout = layout;
        self.sheet = self.drafts.add_sheet(SheetMeta::new(
            self.order,
            &self.table.file,
            self.table.sheet.as_deref(),
            columns.clone(),
        ));
        if layout.is_none() {
            return false;
        }
        self.check_columns(row.number, &columns);
        self.check_counts(row.number, &columns);
        true
    }

    /// A sheet of panel rows in which nothing can be counted would make every
    /// panel a clean one.
    fn check_counts(&mut self, row: u32, columns: &[Column]) {
        let counts = columns.iter().any(|column| {
            matches!(
                column.role,
                Role::Class(_) | Role::Dents | Role::Oversize | Role::Conventional | Role::Prior
            )
        });
        if self.layout == Some(Layout::Panels) && !counts {
            let place = self.meta().place_at(row, None);
            self.stop(
                place,
                "no column for dents",
                "a column per size class of a card, or dents and size",
            );
        }
    }

    /// Columns twice, columns without their side.
    fn check_columns(&mut self, row: u32, columns: &[Column]) {
        for (index, column) in columns.iter().enumerate() {
            let twice = columns[..index].iter().find(|earlier| {
                earlier.role == column.role
                    && !matches!(column.role, Role::Unknown | Role::Ignored | Role::NoSide(_))
            });
            if let Some(earlier) = twice {
                let place = self
                    .meta()
                    .place_at(row, Some((column.index, &column.header)));
                let expected = format!("a column once; `{}` means the same", earlier.header);
                self.stop(place, &column.header, expected);
            }
            match column.role {
                Role::Unknown | Role::NoSide(_) => self.unknown.push(UnknownColumn {
                    column: column.clone(),
                    digits: None,
                    cars: Vec::new(),
                    used: false,
                }),
                _ => {}
            }
        }
    }

    /// An error that belongs to no one car.
    fn stop(&mut self, place: Place, found: &str, expected: impl Into<String>) {
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place,
            found: found.to_owned(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    fn caution(&mut self, place: Place, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(Problem {
            severity: Severity::Caution,
            place,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    /// Reads a cell by its role; a refusal becomes an error of the car.
    fn get<T: Default>(
        &mut self,
        row: Row<'_>,
        role: Role,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> Read<T>,
    ) -> T {
        let column = self
            .meta()
            .columns
            .iter()
            .find(|column| column.role == role);
        let Some(index) = column.map(|column| column.index) else {
            return T::default();
        };
        self.get_at(row, index, car, read)
    }

    fn get_at<T: Default>(
        &mut self,
        row: Row<'_>,
        index: usize,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> Read<T>,
    ) -> T {
        if self.merged(row, index, car) {
            return T::default();
        }
        let cell = row.cell(index);
        match read(cell) {
            Ok(value) => value,
            Err(refusal) => {
                self.refuse(row.number, index, car, &cell.shown(), refusal);
                T::default()
            }
        }
    }

    /// Reads a cell that holds a list; every refused item is an error by itself.
    fn get_many<T>(
        &mut self,
        row: Row<'_>,
        index: usize,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> (Vec<T>, Vec<(String, Refusal)>),
    ) -> Vec<T> {
        if self.merged(row, index, car) {
            return Vec::new();
        }
        let (values, refused) = read(row.cell(index));
        for (found, refusal) in refused {
            self.refuse(row.number, index, car, &found, refusal);
        }
        values
    }

    /// Whether a merged range over several rows covers the cell; its first
    /// row reports it, since its value belongs to no one row.
    fn merged(&mut self, row: Row<'_>, index: usize, car: usize) -> bool {
        let Some(merge) = self.table.merge_over(row.number, index) else {
            return false;
        };
        if merge.first_row == row.number {
            let found = format!("{} merged", merge.range);
            let refusal = Refusal::new("one value a row, not merged");
            self.refuse(row.number, index, car, &found, refusal);
        }
        self.drafts.cars[car].bad = true;
        true
    }

    fn refuse(&mut self, row: u32, index: usize, car: usize, found: &str, refusal: Refusal) {
        let place = self.place(row, index);
        self.drafts.error(
            car,
            place,
            found,
            refusal.expected,
            refusal.meant,
            self.problems,
        );
    }

    fn place(&self, row: u32, index: usize) -> Place {
        let meta = self.meta();
        let header = meta
            .columns
            .iter()
            .find(|column| column.index == index)
            .map_or("", |column| column.header.as_str());
        meta.place_at(row, Some((index, header)))
    }

    fn index_of(&self, role: Role) -> Option<usize> {
        self.meta()
            .columns
            .iter()
            .find(|column| column.role == role)
            .map(|column| column.index)
    }

    // ---- stock --------------------------------------------------------

    // ---- rows ---------------------------------------------------------

    fn count_row(&mut self, row: Row<'_>) {
        let Some(car) = self.car_of(row) else { return };
        let source = Provenance {
            sheet: self.sheet,
            row: row.number,
        };
        let draft = &mut self.drafts.cars[car];
        draft.first_row.get_or_insert(source);
        draft.spoken_of |= self.layout != Some(Layout::Cars);
        if let Some((index, cell)) = row.first_used_from(self.width) {
            let place = self.meta().place_at(row.number, Some((index, "")));
            let place = Place {
                column: None,
                ..place
            };
            let found = cell.shown().into_owned();
            self.drafts.error(
                car,
                place,
                found,
                "nothing beyond the last column",
                None,
                self.problems,
            );
        }
        self.note_unknown(row, car);
        self.facts(row, car, source);
        match self.layout {
            Some(Layout::Panels) => self.panel_row(row, car, source),
            Some(Layout::Dents) => self.dent_row(row, car, source),
            Some(Layout::Cars) => self.car_row(row, car, source),
            None => {}
        }
    }

    fn note_unknown(&mut self, row: Row<'_>, car: usize) {
        for unknown in &mut self.unknown {
            let cell = row.cell(unknown.column.index);
            if cell.is_blank() {
                continue;
            }
            unknown.used = true;
            let text = cell.shown();
            let counts = text.starts_with(|c: char| c.is_ascii_digit());
            if counts {
                unknown
                    .digits
                    .get_or_insert_with(|| (row.number, text.into_owned()));
            }
            // Under a panel's word without its side every cell is a count.
            if counts || matches!(unknown.column.role, Role::NoSide(_)) {
                unknown.cars.push(car);
            }
        }
    }

    // ---- the end ------------------------------------------------------
}

//! A grid in a file of its own beside the card: first column `band`, then the
//! card's size classes; CSV, or the first sheet of a workbook.

use super::card_file::band_expected;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::Source;
use super::table::{Cell, Row, Table, open_tables};
use super::toml_doc::plain_decimal;
use super::vehicle_list::three_after_comma;
use crate::rates::{Band, SizeClass, check_bands};
use crate::storm::words;
use rust_decimal::Decimal;

type GridCells = (Vec<Band>, Vec<Vec<Decimal>>);

/// Reads a grid file. `None` when it is refused; the reasons are in `problems`.
pub fn read(
    source: &dyn Source,
    path: &str,
    named_at: &Place,
    sizes: &[SizeClass],
    problems: &mut Problems,
) -> Option<GridCells> {
    let is_header = |cells: &[&str]| {
        cells
            .first()
            .is_some_and(|cell| words::fold(cell) == "band")
            && cells.len() > 1
    };
    let (table, said) = match open_tables(source, path, &is_header) {
        Ok((tables, said)) => (tables.into_iter().next()?, said),
        Err(unreadable) => {
            problems.push_stopping(Problem {
                severity: Severity::Error,
                place: named_at.clone(),
                found: format!("{path}: {}", unreadable.found),
                expected: unreadable.expected,
                meant: None,
                stock: None,
            });
            return None;
        }
    };
    if let Some(encoding) = said {
        problems.push(Problem {
            severity: Severity::Caution,
            place: Place {
                order: named_at.order,
                ..Place::file(path)
            },
            found: encoding.to_owned(),
            expected: "UTF-8; the file was read as what it seems to be".to_owned(),
            meant: None,
            stock: None,
        });
    }
    let mut reader = GridReader {
        table: &table,
        order: named_at.order,
        sizes,
        columns: None,
        bands: Vec::new(),
        band_rows: Vec::new(),
        cells: Vec::new(),
        sound: true,
        header_at_fault: false,
        problems,
    };
    let read = table.each_row(&mut |row| {
        reader.row(row);
        true
    });
    if let Err(unreadable) = read {
        reader.fault(unreadable.row, None, unreadable.found, unreadable.expected);
    }
    reader.finish()
}

struct GridReader<'a> {
    table: &'a Table,
    order: u32,
    sizes: &'a [SizeClass],
    /// Column of the band, then of every class.
    columns: Option<Vec<usize>>,
    bands: Vec<Band>,
    band_rows: Vec<u32>,
    cells: Vec<Vec<Decimal>>,
    sound: bool,
    /// The header does not tell which column is which, so no row is read.
    header_at_fault: bool,
    problems: &'a mut Problems,
}

impl GridReader<'_> {
    fn fault(
        &mut self,
        row: Option<u32>,
        column: Option<(usize, &str)>,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.sound = false;
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place: Place {
                order: self.order,
                file: self.table.file.clone(),
                sheet: self.table.sheet.clone(),
                row,
                column_index: column.and_then(|(index, _)| u32::try_from(index).ok()),
                column: column.map(|(_, name)| name.to_owned()),
            },
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    /// `1,234` in a file of decimal commas.
    fn thousand_or_fraction(&mut self, row: u32, column: usize, name: &str, cell: Cell<'_>) {
        let found = cell.shown().into_owned();
        self.problems.push(Problem {
            severity: Severity::Caution,
            place: Place {
                order: self.order,
                file: self.table.file.clone(),
                sheet: self.table.sheet.clone(),
                row: Some(row),
                column_index: u32::try_from(column).ok(),
                column: Some(name.to_owned()),
            },
            expected: format!(
                "money: the comma is taken as a decimal comma, {}",
                found.replace(',', ".")
            ),
            found,
            meant: None,
            stock: None,
        });
    }

    fn row(&mut self, row: Row<'_>) {
        if self.header_at_fault {
            return;
        }
        if self.columns.is_none() {
            if row
                .used()
                .any(|(_, cell)| words::fold(&cell.shown()) == "band")
            {
                self.header(row);
            }
            return;
        }
        let columns = self.columns.clone().unwrap_or_default();
        let width = columns.iter().max().map_or(0, |last| last + 1);
        if let Some((at, cell)) = row.first_used_from(width) {
            let found = cell.shown().into_owned();
            self.fault(
                Some(row.number),
                Some((at, "")),
                found,
                "nothing beyond the last class",
            );
        }
        let cell = row.cell(columns[0]);
        let band = match cell {
            Cell::Date(_) => Err(crate::rates::BandError::Date),
            other => Band::parse(&other.shown()),
        };
        match band {
            Ok(band) => {
                self.bands.push(band);
                self.band_rows.push(row.number);
            }
            Err(error) => {
                let found = cell.shown().into_owned();
                self.fault(
                    Some(row.number),
                    Some((columns[0], "band")),
                    found,
                    band_expected(&error),
                );
            }
        }
        let mut figures = Vec::new();
        for (class, &column) in self.sizes.iter().zip(&columns[1..]) {
            let cell = row.cell(column);
            match self.figure(cell) {
                Ok(figure) => {
                    if self.table.decimal_comma() && three_after_comma(&cell.shown()) {
                        self.thousand_or_fraction(row.number, column, &class.name, cell);
                    }
                    figures.push(figure);
                }
                Err(expected) => {
                    let found = cell.shown().into_owned();
                    self.fault(
                        Some(row.number),
                        Some((column, &class.name)),
                        found,
                        expected,
                    );
                }
            }
        }
        self.cells.push(figures);
    }

    fn figure(&self, cell: Cell<'_>) -> Result<Decimal, String> {
        match cell {
            Cell::Number(number) => super::cells::bounded_number(number).ok_or_else(|| {
                "a figure, 0 or more, of at most 10 digits before and 9 after the point".to_owned()
            }),
            Cell::Text(text) => {
                let plain = if self.table.decimal_comma() {
                    text.replacen(',', ".", 1)
                } else {
                    text.to_owned()
                };
                plain_decimal(&plain).map_err(|meant| match meant {
                    Some(meant) => format!("digits and one point; probably {meant}"),
                    None => "digits and one point".to_owned(),
                })
            }
            Cell::Blank => Err("a figure: every cell of a grid is filled".to_owned()),
            Cell::Date(_) => Err("a figure, not a date".to_owned()),
            Cell::NoValue(_) => Err("a formula with a stored value".to_owned()),
            Cell::Fault(_) | Cell::Truth(_) => Err("a figure".to_owned()),
        }
    }

    fn header(&mut self, row: Row<'_>) {
        let mut columns = vec![None; self.sizes.len() + 1];
        for (at, cell) in row.used() {
            let written = cell.shown().into_owned();
            let folded = words::fold(&written);
            let slot = if folded == "band" {
                Some(0)
            } else {
                self.sizes
                    .iter()
                    .position(|size| words::fold(&size.name) == folded)
                    .map(|class| class + 1)
            };
            match slot {
                Some(slot) if columns[slot].is_none() => columns[slot] = Some(at),
                Some(_) => self.fault(
                    Some(row.number),
                    Some((at, &written)),
                    &written,
                    "a column once",
                ),
                None => self.fault(
                    Some(row.number),
                    Some((at, &written)),
                    &written,
                    "band or a size class of the card",
                ),
            }
        }
        let missing: Vec<String> = self
            .sizes
            .iter()
            .zip(&columns[1..])
            .filter(|(_, column)| column.is_none())
            .map(|(size, _)| size.name.clone())
            .collect();
        for name in missing {
            self.fault(
                Some(row.number),
                None,
                "",
                format!("a column for the class {name}"),
            );
        }
        self.header_at_fault = !self.sound;
        self.columns = columns.into_iter().collect();
    }

    fn finish(mut self) -> Option<GridCells> {
        if self.columns.is_none() && !self.header_at_fault {
            self.fault(
                None,
                None,
                "",
                "a header: `band`, then the card's size classes",
            );
        } else if self.bands.is_empty() && self.sound {
            self.fault(None, None, "", "at least one band");
        } else if self.sound
            && let Err((index, what)) = check_bands(&self.bands)
        {
            let row = self.band_rows[index];
            let found = self.bands[index].to_string();
            let at = self.columns.as_ref().map_or(0, |columns| columns[0]);
            self.fault(Some(row), Some((at, "band")), found, what);
        }
        self.sound.then_some((self.bands, self.cells))
    }
}

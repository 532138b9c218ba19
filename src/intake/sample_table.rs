//! A table of counted things, one a row, for who estimates a total from a
//! sample: a value, perhaps a stratum and a helper, in columns of any name; and
//! the sizes of the strata in a table of their own.

use super::cells::{Refusal, with_point};
use super::csv_text::HEADER_WITHIN;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::Source;
use super::table::{Cell, Row, Table, open_tables};
use super::vehicle_list::three_after_comma;
use crate::storm::words;
use std::collections::HashMap;

/// Things in one stratum at most.
const MOST_CARS: f64 = 10_000_000.0;
/// The name of the stratum where none is written.
const BLANK: &str = "(blank)";
/// The whole, where there are no strata.
const WHOLE: &str = "all";

/// What is asked of a table.
#[derive(Debug, Clone)]
pub struct SampleRequest<'a> {
    /// The file with a row for each counted thing.
    pub table: &'a str,
    /// The column to be estimated.
    pub value: &'a str,
    /// The column of the stratum and the file with the strata's sizes.
    pub strata: Option<(&'a str, &'a str)>,
    /// How many there are in all, where there are no strata.
    pub cars: Option<u64>,
    /// The column of the helper.
    pub helper: Option<&'a str>,
}

/// One stratum of a sample.
#[derive(Debug, Clone, PartialEq)]
pub struct SampleStratum {
    /// Its name as written first.
    pub name: String,
    /// How many there are.
    pub cars: u64,
    /// Of each counted one: the value.
    pub values: Vec<f64>,
    /// The helper, where one is asked for.
    pub helpers: Vec<f64>,
}

/// Reads a sample; it is whole where no problem stops it.
pub fn read_sample(
    source: &dyn Source,
    request: &SampleRequest<'_>,
) -> (Vec<SampleStratum>, Problems) {
    let mut problems = Problems::default();
    let mut strata = match request.strata {
        Some((_, sizes)) => read_sizes(source, sizes, &mut problems),
        None => vec![SampleStratum {
            name: WHOLE.to_owned(),
            cars: request.cars.unwrap_or(0),
            values: Vec::new(),
            helpers: Vec::new(),
        }],
    };
    let places: HashMap<String, usize> = strata
        .iter()
        .enumerate()
        .map(|(at, stratum)| (words::fold(&stratum.name), at))
        .collect();
    let wanted: Vec<&str> = std::iter::once(request.value)
        .chain(request.strata.map(|(column, _)| column))
        .chain(request.helper)
        .collect();
    let helper_at = wanted.len() - 1;
    let mut rows = 0_u64;
    each_row(source, request.table, 1, &wanted, &mut problems, |row| {
        rows += 1;
        let value = row.figure(0, f64::MIN);
        let helper = request.helper.map(|_| row.figure(helper_at, f64::MIN));
        let place = match request.strata {
            None => Some(0),
            Some((_, sizes)) => {
                let name = row.name(1);
                let place = places.get(&words::fold(&name)).copied();
                if place.is_none() {
                    row.refuse(1, Refusal::new(format!("a stratum of {sizes}")));
                }
                place
            }
        };
        if let (Some(place), Some(value)) = (place, value) {
            strata[place].values.push(value);
            strata[place].helpers.extend(helper.flatten());
        }
    });
    if rows == 0 && problems.errors() == 0 {
        problems.push_stopping(Problem {
            severity: Severity::Error,
            place: Place {
                order: 1,
                ..Place::file(request.table)
            },
            found: "a header and no row".to_owned(),
            expected: "a row for each one that was counted".to_owned(),
            meant: None,
            stock: None,
        });
    }
    for stratum in &strata {
        let counted = stratum.values.len() as u64;
        if counted > stratum.cars {
            let (file, column) = match request.strata {
                Some((column, sizes)) => (sizes, Some(format!("{column} {}", stratum.name))),
                None => (request.table, None),
            };
            problems.push_stopping(Problem {
                severity: Severity::Error,
                place: Place {
                    column,
                    ..Place::file(file)
                },
                found: format!("{} in all, {counted} counted", stratum.cars),
                expected: "at least as many as are counted".to_owned(),
                meant: None,
                stock: None,
            });
        }
    }
    (strata, problems)
}

/// `stratum, cars`: every stratum once.
fn read_sizes(source: &dyn Source, path: &str, problems: &mut Problems) -> Vec<SampleStratum> {
    let mut strata: Vec<SampleStratum> = Vec::new();
    let mut seen: HashMap<String, u32> = HashMap::new();
    each_row(source, path, 0, &["stratum", "cars"], problems, |row| {
        let name = row.name(0);
        let cars = row.figure(1, 0.0);
        let Some(cars) = cars else { return };
        if cars.fract() != 0.0 || cars > MOST_CARS {
            row.refuse(1, Refusal::new("a whole number up to 10,000,000"));
            return;
        }
        if let Some(first) = seen.insert(words::fold(&name), row.row.number) {
            row.refuse(
                0,
                Refusal::new(format!("a stratum once; it stands in row {first} too")),
            );
            return;
        }
        strata.push(SampleStratum {
            name,
            // Whole and bounded, just above.
            cars: cars as u64,
            values: Vec::new(),
            helpers: Vec::new(),
        });
    });
    strata
}

/// One row with the columns that are asked for.
struct SampleRow<'a> {
    table: &'a Table,
    order: u32,
    wanted: &'a [&'a str],
    columns: &'a [usize],
    row: Row<'a>,
    problems: &'a mut Problems,
}

impl SampleRow<'_> {
    fn cell(&self, which: usize) -> Cell<'_> {
        self.row.cell(self.columns[which])
    }

    /// The text of a cell, which may be blank.
    fn name(&self, which: usize) -> String {
        match self.cell(which) {
            Cell::Blank => BLANK.to_owned(),
            cell => cell.shown().into_owned(),
        }
    }

    /// A figure no less than the least.
    fn figure(&mut self, which: usize, least: f64) -> Option<f64> {
        let wanted = if least < 0.0 {
            "a figure; leave out rows that were not counted"
        } else {
            "a figure, 0 or more"
        };
        let comma = self.table.decimal_comma();
        let plain = |text: &str| {
            let text = with_point(text, comma);
            text.parse::<f64>()
                .ok()
                .filter(|number| number.is_finite() && text.contains(|c: char| c.is_ascii_digit()))
        };
        let mut wanted = wanted;
        let (number, meant) = match self.cell(which) {
            Cell::Number(number) => (Some(number), None),
            // Where a comma is decimal, 1.840 and 1,840 may both be thousands.
            Cell::Text(text) if comma && (text.contains('.') || three_after_comma(text)) => {
                wanted = "a figure without grouping; `1840,00` where it is thousands";
                (None, None)
            }
            Cell::Text(text) => {
                let bare: String = text
                    .chars()
                    .filter(|c| !matches!(c, ' ' | '\'' | '$' | '€' | '£'))
                    .filter(|c| comma || *c != ',')
                    .collect();
                (plain(text), plain(&bare).map(|_| bare))
            }
            _ => (None, None),
        };
        match number.filter(|number| number.is_finite() && *number >= least) {
            Some(number) => Some(number),
            None => {
                let refusal = Refusal {
                    expected: wanted.to_owned(),
                    meant,
                };
                self.refuse(which, refusal);
                None
            }
        }
    }

    fn refuse(&mut self, which: usize, refusal: Refusal) {
        let found = self.cell(which).shown().into_owned();
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place: Place {
                order: self.order,
                file: self.table.file.clone(),
                sheet: self.table.sheet.clone(),
                row: Some(self.row.number),
                column_index: u32::try_from(self.columns[which]).ok(),
                column: Some(self.wanted[which].to_owned()),
            },
            found,
            expected: refusal.expected,
            meant: refusal.meant,
            stock: None,
        });
    }
}

/// Visits the rows below the header, which is the first row that has all columns.
fn each_row(
    source: &dyn Source,
    path: &str,
    order: u32,
    wanted: &[&str],
    problems: &mut Problems,
    mut visit: impl FnMut(&mut SampleRow<'_>),
) {
    let fault = |row: Option<u32>, found: String, expected: String| Problem {
        severity: Severity::Error,
        place: Place {
            order,
            row,
            ..Place::file(path)
        },
        found,
        expected,
        meant: None,
        stock: None,
    };
    let has_all = |cells: &[&str]| {
        let mut wanted = wanted.iter().map(|word| words::fold(word));
        wanted.all(|word| cells.iter().any(|cell| words::fold(cell) == word))
    };
    let (tables, encoding) = match open_tables(source, path, &has_all) {
        Ok(opened) => opened,
        Err(at) => {
            problems.push_stopping(fault(at.row, at.found, at.expected));
            return;
        }
    };
    if let Some(encoding) = encoding {
        let expected = "UTF-8; the file was read as what it seems to be".to_owned();
        problems.push(Problem {
            severity: Severity::Caution,
            ..fault(None, encoding.to_owned(), expected)
        });
    }
    let mut first: Option<String> = None;
    for table in &tables {
        let mut columns: Option<Vec<usize>> = None;
        let mut width = 0;
        let read = table.each_row(&mut |row| {
            if let Some(columns) = &columns {
                // An unquoted comma in a figure makes one cell two.
                if let Some((_, cell)) = row.first_used_from(width) {
                    let found = cell.shown().into_owned();
                    let expected = "nothing beyond the last column".to_owned();
                    problems.push_stopping(fault(Some(row.number), found, expected));
                    return true;
                }
                visit(&mut SampleRow {
                    table,
                    order,
                    wanted,
                    columns,
                    row,
                    problems,
                });
                return true;
            }
            let cells: Vec<(usize, String)> = row
                .used()
                .map(|(at, cell)| (at, cell.shown().into_owned()))
                .collect();
            first.get_or_insert_with(|| {
                let names: Vec<&str> = cells.iter().map(|(_, text)| text.as_str()).collect();
                names.join(", ")
            });
            let places = wanted.iter().map(|word| {
                let word = words::fold(word);
                let mut cells = cells.iter();
                cells
                    .find(|(_, text)| words::fold(text) == word)
                    .map(|(at, _)| *at)
            });
            columns = places.collect();
            width = cells.last().map_or(0, |(at, _)| at + 1);
            for word in wanted.iter().filter(|_| columns.is_some()) {
                let word = words::fold(word);
                if cells
                    .iter()
                    .filter(|(_, text)| words::fold(text) == word)
                    .count()
                    > 1
                {
                    let expected = "each column once".to_owned();
                    problems.push_stopping(fault(Some(row.number), word, expected));
                }
            }
            columns.is_some() || row.number < HEADER_WITHIN
        });
        if let Err(at) = read {
            problems.push_stopping(fault(at.row, at.found, at.expected));
            return;
        }
        if columns.is_some() {
            return;
        }
    }
    problems.push_stopping(fault(
        None,
        first.unwrap_or_default(),
        format!("a header with {}", wanted.join(", ")),
    ));
}

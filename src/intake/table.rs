//! One sheet as rows of cells, the same for text and for workbooks.

use super::csv_text::CsvText;
use super::source::{ReadError, Source};
use super::text_blocks::MAX_TEXT;
use super::workbook::BookSheet;
use super::{guard, workbook};
use rust_decimal::Decimal;
use std::borrow::Cow;
use std::str::FromStr;

/// More characters in one cell than a spreadsheet can hold.
pub const MAX_CELL_CHARS: usize = 32_767;
/// Columns of a spreadsheet.
pub const MAX_COLUMNS: usize = 16_384;
/// Rows of a spreadsheet.
pub const MAX_SHEET_ROWS: u32 = 1_048_576;

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    /// Nothing, or only blanks.
    Blank,
    /// Text, outer blanks taken off.
    Text(&'a str),
    /// A workbook's number.
    Number(f64),
    /// A workbook's yes or no.
    Truth(bool),
    /// A workbook's date or time, in ISO 8601.
    Date(&'a str),
    /// A workbook's error value, such as `#DIV/0!`.
    Fault(&'a str),
    /// A formula that carries no value.
    NoValue(&'a str),
}

impl<'a> Cell<'a> {
    /// A text cell from raw text.
    #[must_use]
    pub fn of_text(text: &'a str) -> Cell<'a> {
        let text = text.trim();
        if text.is_empty() {
            Cell::Blank
        } else {
            Cell::Text(text)
        }
    }

    /// The same from bytes of a text in UTF-8 that is cut at ASCII only.
    #[must_use]
    pub fn of_utf8(bytes: &'a [u8]) -> Cell<'a> {
        std::str::from_utf8(bytes).map_or(Cell::Blank, Cell::of_text)
    }

    /// Whether nothing stands in it.
    #[must_use]
    pub fn is_blank(self) -> bool {
        self == Cell::Blank
    }

    /// What stands in it, as a person would say it.
    #[must_use]
    pub fn shown(self) -> Cow<'a, str> {
        match self {
            Cell::Blank => Cow::Borrowed(""),
            Cell::Text(text) | Cell::Date(text) | Cell::Fault(text) => Cow::Borrowed(text),
            Cell::NoValue(formula) => Cow::Owned(format!("={}", formula.trim_start_matches('='))),
            Cell::Number(number) => Cow::Owned(number_text(number)),
            Cell::Truth(true) => Cow::Borrowed("TRUE"),
            Cell::Truth(false) => Cow::Borrowed("FALSE"),
        }
    }
}

/// A workbook's binary number as the decimal that a person typed: 15
/// significant digits, as spreadsheet programs show at most.
#[must_use]
pub fn number_decimal(number: f64) -> Option<Decimal> {
    if !number.is_finite() {
        return None;
    }
    let text = format!("{number:.14e}");
    Decimal::from_scientific(&text)
        .or_else(|_| Decimal::from_str(&text))
        .ok()
        .map(|decimal| decimal.normalize())
}

/// The same as text: `17.91`, `40117`.
#[must_use]
pub fn number_text(number: f64) -> String {
    number_decimal(number).map_or_else(|| number.to_string(), |decimal| decimal.to_string())
}

/// One row of a sheet. Its number is a spreadsheet's.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// From 1.
    pub number: u32,
    cells: RowCells<'a>,
}

#[derive(Debug, Clone, Copy)]
enum RowCells<'a> {
    Csv(&'a csv::StringRecord),
    Book(&'a [(u32, super::workbook::OwnedCell)]),
}

impl<'a> Row<'a> {
    /// A row of a CSV file.
    #[must_use]
    pub fn of_csv(number: u32, record: &'a csv::StringRecord) -> Row<'a> {
        Row {
            number,
            cells: RowCells::Csv(record),
        }
    }

    /// A row of a workbook: its used cells by column.
    #[must_use]
    pub fn of_book(number: u32, cells: &'a [(u32, super::workbook::OwnedCell)]) -> Row<'a> {
        Row {
            number,
            cells: RowCells::Book(cells),
        }
    }

    /// The cell in a column, from 0.
    #[must_use]
    pub fn cell(&self, column: usize) -> Cell<'a> {
        match self.cells {
            RowCells::Csv(record) => record.get(column).map_or(Cell::Blank, Cell::of_text),
            RowCells::Book(cells) => u32::try_from(column)
                .ok()
                .and_then(|column| cells.binary_search_by_key(&column, |(at, _)| *at).ok())
                .map_or(Cell::Blank, |index| cells[index].1.view()),
        }
    }

    /// Whether its first cell is `#` or begins with `# `.
    #[must_use]
    pub fn is_comment(&self) -> bool {
        matches!(self.cell(0), Cell::Text(text) if text == "#" || text.starts_with("# "))
    }

    /// One past the last column that the row speaks of.
    #[must_use]
    pub fn width(&self) -> usize {
        match self.cells {
            RowCells::Csv(record) => record.len(),
            RowCells::Book(cells) => cells.last().map_or(0, |(column, _)| *column as usize + 1),
        }
    }

    /// The columns that are not blank, in order.
    pub fn used(&self) -> impl Iterator<Item = (usize, Cell<'a>)> + '_ {
        let width = match self.cells {
            RowCells::Csv(record) => record.len(),
            RowCells::Book(cells) => cells.len(),
        };
        (0..width).filter_map(move |index| {
            let (column, cell) = match self.cells {
                RowCells::Csv(record) => {
                    (index, record.get(index).map_or(Cell::Blank, Cell::of_text))
                }
                RowCells::Book(cells) => (cells[index].0 as usize, cells[index].1.view()),
            };
            (!cell.is_blank()).then_some((column, cell))
        })
    }

    /// Whether any cell at or beyond a column is not blank.
    #[must_use]
    pub fn first_used_from(&self, column: usize) -> Option<(usize, Cell<'a>)> {
        match self.cells {
            RowCells::Csv(record) if record.len() <= column => None,
            _ => self.used().find(|(at, _)| *at >= column),
        }
    }
}

/// What a table is made of.
#[derive(Debug)]
pub enum TableData {
    /// Delimited text.
    Csv(CsvText),
    /// One sheet of a workbook.
    Book(BookSheet),
}

/// One table: a CSV file or one sheet of a workbook.
#[derive(Debug)]
pub struct Table {
    /// The file.
    pub file: String,
    /// The sheet, in workbooks.
    pub sheet: Option<String>,
    /// The cells.
    pub data: TableData,
}

/// Why the rest of a table can't be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// The row at fault.
    pub row: Option<u32>,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
}

impl Table {
    /// Whether a comma between digits is a decimal comma here.
    #[must_use]
    pub fn decimal_comma(&self) -> bool {
        matches!(&self.data, TableData::Csv(text) if text.delimiter == b';')
    }

    /// The merged range over several rows that covers a cell.
    #[must_use]
    pub fn merge_over(&self, row: u32, column: usize) -> Option<super::workbook::Merge> {
        match &self.data {
            TableData::Csv(_) => None,
            TableData::Book(sheet) => sheet.merge_over(row, column),
        }
    }

    /// Visits every row that is neither blank nor a comment, in order, until
    /// the visitor says stop; returns how many comment rows were passed over.
    ///
    /// # Errors
    /// When a row is beyond all bounds or the text ends inside a quote.
    pub fn each_row(&self, visit: &mut dyn FnMut(Row<'_>) -> bool) -> Result<u32, Unreadable> {
        match &self.data {
            TableData::Csv(text) => text.each_row(visit),
            TableData::Book(sheet) => {
                let mut comments = 0;
                for (number, cells) in &sheet.rows {
                    let row = Row::of_book(*number, cells);
                    match row.cell(0) {
                        _ if row.is_comment() => comments += 1,
                        _ if row.used().next().is_none() => {}
                        _ => {
                            if !visit(row) {
                                break;
                            }
                        }
                    }
                }
                Ok(comments)
            }
        }
    }
}

fn ending(path: &str) -> String {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    ending.to_lowercase()
}

/// Whether a file is a workbook by its name.
#[must_use]
pub fn is_workbook(path: &str) -> bool {
    workbook::ENDINGS.contains(&ending(path).as_str())
}

/// Opens a file as tables: one of a CSV, all sheets of a workbook. Beside
/// them the encoding that was taken instead of UTF-8, to be said.
pub fn open_tables(
    source: &dyn Source,
    path: &str,
    is_header: &dyn Fn(&[&str]) -> bool,
) -> Result<(Vec<Table>, Option<&'static str>), Unreadable> {
    let ending = ending(path);
    let is_book = is_workbook(path);
    let limit = if is_book { guard::MAX_PACKED } else { MAX_TEXT };
    let bytes = source.read(path, limit).map_err(|error| Unreadable {
        row: None,
        found: error.to_string(),
        expected: match error {
            ReadError::TooLarge(limit) => format!("at most {} MiB", limit >> 20),
            _ => "a file that can be read".to_owned(),
        },
    })?;
    if bytes.is_empty() {
        return Err(Unreadable {
            row: None,
            found: "an empty file".to_owned(),
            expected: "a table".to_owned(),
        });
    }
    if !is_book {
        let text = CsvText::decode(&bytes, is_header)?;
        let other = text.other_encoding;
        let table = Table {
            file: path.to_owned(),
            sheet: None,
            data: TableData::Csv(text),
        };
        return Ok((vec![table], other));
    }
    let tables = workbook::read(&bytes, &ending)?
        .into_iter()
        .map(|sheet| Table {
            file: path.to_owned(),
            sheet: Some(sheet.name.clone()),
            data: TableData::Book(sheet),
        })
        .collect();
    Ok((tables, None))
}

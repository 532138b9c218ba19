//! Workbooks: every sheet as sparse rows of cells. The cells come from
//! calamine; the bounds are checked by [`super::guard`] before.

mod cells;

pub use cells::OwnedCell;

use super::guard::{self, MAX_CELLS, MAX_PACKED};
use super::table::{MAX_COLUMNS, MAX_SHEET_ROWS, Unreadable};
use super::xlsb_sheet;
use calamine::{Data, Dimensions, Reader, SheetVisible};
use cells::{Gather, owned, owned_data};
use std::collections::BTreeMap;
use std::io::Cursor;

/// A row: its number from 1 and its used cells by column.
pub type BookRow = (u32, Vec<(u32, OwnedCell)>);

/// One sheet.
#[derive(Debug, Default)]
pub struct BookSheet {
    /// Its name.
    pub name: String,
    /// Its used rows.
    pub rows: Vec<BookRow>,
    /// How many rows are hidden.
    pub hidden_rows: usize,
    /// Whether the sheet itself is hidden.
    pub hidden: bool,
    /// Merged ranges that reach over more than one row: the first cell's row
    /// and column from 0, and the last.
    pub merges: Vec<(u32, u32, u32, u32)>,
}

/// Endings of workbooks that can be read.
pub const ENDINGS: [&str; 5] = ["xlsx", "xlsm", "xlsb", "xls", "ods"];

/// Merged ranges over several rows on one sheet; each is an error where it
/// covers a count, so more of them than this help nobody.
const MAX_MERGES: usize = 1_000;

/// A merged range over several rows, seen from one of its cells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merge {
    /// Its address, `A6:A7`.
    pub range: String,
    /// The first row of it, from 1.
    pub first_row: u32,
}

impl BookSheet {
    /// The merged range over several rows that covers a cell: row from 1, column from 0.
    #[must_use]
    pub fn merge_over(&self, row: u32, column: usize) -> Option<Merge> {
        let column = u32::try_from(column).ok()?;
        let &(top, left, bottom, right) =
            self.merges.iter().find(|(top, left, bottom, right)| {
                (top + 1..=bottom + 1).contains(&row) && (*left..=*right).contains(&column)
            })?;
        let letters = super::problem::column_letters;
        Some(Merge {
            range: format!(
                "{}{}:{}{}",
                letters(left),
                top + 1,
                letters(right),
                bottom + 1
            ),
            first_row: top + 1,
        })
    }
}

/// Reads all sheets of a workbook.
///
/// # Errors
/// When a bound is passed, or the file is none of its kind.
pub fn read(bytes: &[u8], ending: &str) -> Result<Vec<BookSheet>, Unreadable> {
    if bytes.len() as u64 > MAX_PACKED {
        return Err(unreadable((
            format!("{} MiB", bytes.len() >> 20),
            format!("at most {} MiB", MAX_PACKED >> 20),
        )));
    }
    // The parsers are other people's code: a panic of theirs on a broken file
    // is a broken file, and nothing of ours is half-changed by it.
    let read = std::panic::catch_unwind(|| match ending {
        "xlsx" | "xlsm" => read_xlsx(bytes),
        "xlsb" => read_xlsb(bytes),
        "ods" => read_ods(bytes),
        _ => read_xls(bytes),
    });
    let mut sheets = read
        .unwrap_or_else(|_| {
            Err((
                "a workbook that the reader broke off in".to_owned(),
                "a workbook that a spreadsheet program can open".to_owned(),
            ))
        })
        .map_err(unreadable)?;
    for sheet in &mut sheets {
        // A title over several columns stands in nobody's way, and a range that
        // begins past all rows covers no cell. Where one ends is a figure of
        // the file: it may be any.
        sheet
            .merges
            .retain(|(top, _, bottom, _)| bottom > top && *top < MAX_SHEET_ROWS);
        for (_, _, bottom, right) in &mut sheet.merges {
            *bottom = (*bottom).min(MAX_SHEET_ROWS - 1);
            *right = (*right).min(MAX_COLUMNS as u32 - 1);
        }
        if sheet.merges.len() > MAX_MERGES {
            return Err(unreadable((
                format!(
                    "{} merged ranges on sheet {}",
                    sheet.merges.len(),
                    sheet.name
                ),
                format!("at most {MAX_MERGES} merged ranges over several rows"),
            )));
        }
    }
    Ok(sheets)
}

type Found = (String, String);

fn unreadable((found, expected): Found) -> Unreadable {
    Unreadable {
        row: None,
        found,
        expected,
    }
}

fn broken(error: &dyn std::fmt::Display) -> Found {
    let text = error.to_string();
    if text.to_lowercase().contains("password") {
        return (
            "a workbook behind a password".to_owned(),
            "a workbook without one".to_owned(),
        );
    }
    (
        format!("a broken workbook ({text})"),
        "a workbook that a spreadsheet program can open".to_owned(),
    )
}

fn visibility<RS: std::io::Read + std::io::Seek, R: Reader<RS>>(book: &R) -> Vec<(String, bool)> {
    book.sheets_metadata()
        .iter()
        .filter(|sheet| sheet.typ == calamine::SheetType::WorkSheet)
        .map(|sheet| (sheet.name.clone(), sheet.visible != SheetVisible::Visible))
        .collect()
}

fn corners(dimensions: &Dimensions) -> (u32, u32, u32, u32) {
    (
        dimensions.start.0,
        dimensions.start.1,
        dimensions.end.0,
        dimensions.end.1,
    )
}

fn read_xlsx(bytes: &[u8]) -> Result<Vec<BookSheet>, Found> {
    let unpacked = guard::unpack(bytes, &|name| {
        name.starts_with("xl/worksheets/")
            || name.starts_with("xl/_rels/")
            || name == "xl/workbook.xml"
    })?;
    let hidden = unpacked.hidden_rows();
    let paths = super::xlsx_paths::sheet_paths(&unpacked);
    let mut book: calamine::Xlsx<_> =
        calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut left = MAX_CELLS;
    let mut sheets = Vec::new();
    for (name, is_hidden) in visibility(&book) {
        let merges = book
            .merge_cells_by_sheet_name(&name)
            .map(|merges| merges.iter().map(corners).collect())
            .unwrap_or_default();
        let mut gather = Gather::new(&mut left);
        let mut cells = book
            .worksheet_cells_reader(&name)
            .map_err(|error| broken(&error))?;
        while let Some(cell) = cells
            .next_cell_with_formula()
            .map_err(|error| broken(&error))?
        {
            let (row, column) = cell.pos;
            let value = match (owned(&cell.value), cell.formula) {
                (None, Some(formula)) => Some(OwnedCell::NoValue(formula.into())),
                (value, _) => value,
            };
            gather.push(row, column, value)?;
        }
        sheets.push(BookSheet {
            hidden_rows: paths
                .get(&name)
                .and_then(|path| hidden.get(path))
                .copied()
                .unwrap_or(0),
            rows: gather.rows(),
            hidden: is_hidden,
            merges,
            name,
        });
    }
    Ok(sheets)
}

fn read_xlsb(bytes: &[u8]) -> Result<Vec<BookSheet>, Found> {
    let unpacked = guard::unpack(bytes, &|name| {
        name.starts_with("xl/worksheets/")
            || name == "xl/_rels/workbook.bin.rels"
            || name == "xl/workbook.bin"
    })?;
    let mut walked = xlsb_sheet::walk(bytes, &unpacked)?;
    drop(unpacked);
    let bytes = walked.rewritten.as_deref().unwrap_or(bytes);
    let mut book: calamine::Xlsb<_> =
        calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut left = MAX_CELLS;
    let mut sheets = Vec::new();
    for (name, hidden) in visibility(&book) {
        let mut formulas = BTreeMap::new();
        let mut cells = book
            .worksheet_cells_reader(&name)
            .map_err(|error| broken(&error))?;
        while let Some(cell) = cells.next_formula().map_err(|error| broken(&error))? {
            if formulas.len() >= MAX_CELLS {
                break;
            }
            formulas.insert(cell.get_position(), cell.get_value().clone());
        }
        drop(cells);
        let mut gather = Gather::new(&mut left);
        let mut cells = book
            .worksheet_cells_reader(&name)
            .map_err(|error| broken(&error))?;
        while let Some(cell) = cells.next_cell().map_err(|error| broken(&error))? {
            let (row, column) = cell.get_position();
            let value = owned(cell.get_value()).or_else(|| {
                formulas
                    .get(&(row, column))
                    .map(|formula| OwnedCell::NoValue(formula.as_str().into()))
            });
            gather.push(row, column, value)?;
        }
        let walk = walked.sheets.remove(&name).unwrap_or_default();
        sheets.push(BookSheet {
            rows: gather.rows(),
            hidden,
            hidden_rows: walk.hidden_rows,
            merges: walk.merges,
            name,
        });
    }
    Ok(sheets)
}

/// A whole range and its formulas as rows; for the readers that give nothing finer.
fn rows_of_range(
    range: &calamine::Range<Data>,
    formulas: &calamine::Range<String>,
    left: &mut usize,
) -> Result<Vec<BookRow>, Found> {
    let mut gather = Gather::new(left);
    let (top, start) = range.start().unwrap_or((0, 0));
    for (row, column, value) in range.used_cells() {
        let at = (top + row as u32, start + column as u32);
        gather.push(at.0, at.1, owned_data(value))?;
    }
    let (top, start) = formulas.start().unwrap_or((0, 0));
    for (row, column, formula) in formulas.used_cells() {
        let at = (top + row as u32, start + column as u32);
        let value = range.get_value(at);
        if !formula.is_empty() && value.is_none_or(|value| *value == Data::Empty) {
            gather.push(
                at.0,
                at.1,
                Some(OwnedCell::NoValue(formula.as_str().into())),
            )?;
        }
    }
    Ok(gather.rows())
}

fn read_ods(bytes: &[u8]) -> Result<Vec<BookSheet>, Found> {
    let unpacked = guard::unpack(bytes, &|name| name == "content.xml")?;
    let content = unpacked.member("content.xml").ok_or_else(|| {
        (
            "an archive without content.xml".to_owned(),
            "an OpenDocument spreadsheet".to_owned(),
        )
    })?;
    let scanned = guard::scan_ods(content)?;
    let mut book: calamine::Ods<_> =
        calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut left = MAX_CELLS;
    let mut sheets = Vec::new();
    for (name, hidden) in visibility(&book) {
        let range = book
            .worksheet_range(&name)
            .map_err(|error| broken(&error))?;
        let formulas = book
            .worksheet_formula(&name)
            .map_err(|error| broken(&error))?;
        let scan = scanned.iter().find(|sheet| sheet.name == name);
        sheets.push(BookSheet {
            rows: rows_of_range(&range, &formulas, &mut left)?,
            hidden,
            hidden_rows: scan.map_or(0, |sheet| sheet.hidden_rows),
            merges: scan.map(|sheet| sheet.merges.clone()).unwrap_or_default(),
            name,
        });
    }
    Ok(sheets)
}

fn read_xls(bytes: &[u8]) -> Result<Vec<BookSheet>, Found> {
    let hidden_rows = super::xls_guard::scan(bytes)?;
    let mut book: calamine::Xls<_> =
        calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let mut left = MAX_CELLS;
    let mut sheets = Vec::new();
    let order: Vec<String> = book
        .sheets_metadata()
        .iter()
        .map(|sheet| sheet.name.clone())
        .collect();
    for (name, hidden) in visibility(&book) {
        let at = order.iter().position(|sheet| *sheet == name);
        let range = book
            .worksheet_range(&name)
            .map_err(|error| broken(&error))?;
        let formulas = book
            .worksheet_formula(&name)
            .map_err(|error| broken(&error))?;
        let merges = book
            .merge_cells_by_sheet_name(&name)
            .map(|merges| merges.iter().map(corners).collect())
            .unwrap_or_default();
        sheets.push(BookSheet {
            rows: rows_of_range(&range, &formulas, &mut left)?,
            hidden,
            hidden_rows: at.and_then(|at| hidden_rows.get(at)).copied().unwrap_or(0),
            merges,
            name,
        });
    }
    Ok(sheets)
}

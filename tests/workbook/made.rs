//! A workbook made of a storm's folder, and its cells read back.

use calamine::{Data, Reader, Xlsx};
use hailyard::intake::{Disk, read_storm};
use hailyard::pricing::{check_agreed, price_storm};
use hailyard::report::{StormReport, storm_workbook};
use hailyard::totals::StormTotals;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;

/// The workbook of a folder, which must be free of errors.
#[track_caller]
pub fn workbook_of(folder: &Path) -> Vec<u8> {
    workbook_without(folder, &[]).expect("a workbook")
}

/// The same where cars were left out, or why there is none.
#[track_caller]
pub fn workbook_without(folder: &Path, left_out: &[String]) -> Result<Vec<u8>, String> {
    let intake = read_storm(&Disk::new(folder), None);
    let said: Vec<String> = intake
        .problems
        .sorted()
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(intake.problems.errors(), 0, "{said:?}");
    let (storm, rates) = intake.storm.expect("a storm without errors");
    assert!(check_agreed(&storm, &rates, &intake.sheets).is_empty());
    let priced = price_storm(&storm, &rates);
    let sums = priced.sums(&storm);
    let totals = StormTotals::of(&sums, storm.payers.len()).expect("sums");
    storm_workbook(&StormReport {
        storm: &storm,
        rates: &rates,
        priced: &priced,
        sums: &sums,
        totals: &totals,
        left_out,
    })
    .map_err(|error| error.to_string())
}

/// The five sheets.
pub const SHEETS: [&str; 5] = ["Totals", "Cars", "Lines", "Terms", "Read me"];

/// The cells of a workbook, by sheet, row and column from 0, and its formulas.
pub struct Book {
    cells: BTreeMap<(String, u32, u32), Data>,
    formulas: BTreeMap<(String, u32, u32), String>,
}

impl Book {
    /// Reads a workbook.
    #[track_caller]
    pub fn read(bytes: &[u8]) -> Book {
        let mut book = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
        assert_eq!(book.sheet_names(), SHEETS);
        let (mut cells, mut formulas) = (BTreeMap::new(), BTreeMap::new());
        for sheet in SHEETS {
            let range = book.worksheet_range(sheet).expect("a sheet");
            let (top, left) = range.start().unwrap_or((0, 0));
            for (row, column, value) in range.used_cells() {
                let at = (sheet.to_owned(), top + row as u32, left + column as u32);
                if *value != Data::String(String::new()) {
                    cells.insert(at, value.clone());
                }
            }
            let range = book.worksheet_formula(sheet).expect("a sheet");
            let (top, left) = range.start().unwrap_or((0, 0));
            for (row, column, formula) in range.used_cells() {
                let at = (sheet.to_owned(), top + row as u32, left + column as u32);
                formulas.insert(at, formula.clone());
            }
        }
        Book { cells, formulas }
    }

    /// The formulas.
    pub fn formulas(&self) -> &BTreeMap<(String, u32, u32), String> {
        &self.formulas
    }

    /// A cell; none: an empty one.
    pub fn cell(&self, sheet: &str, row: u32, column: u32) -> Option<&Data> {
        self.cells.get(&(sheet.to_owned(), row, column))
    }

    /// How many rows a sheet has, the header with them.
    pub fn rows(&self, sheet: &str) -> u32 {
        self.cells
            .keys()
            .filter(|(name, _, _)| name == sheet)
            .map(|(_, row, _)| row + 1)
            .max()
            .unwrap_or(0)
    }

    /// The column of a header.
    #[track_caller]
    pub fn column(&self, sheet: &str, header: &str) -> u32 {
        let wanted = Data::String(header.to_owned());
        (0..200)
            .find(|column| self.cell(sheet, 0, *column) == Some(&wanted))
            .unwrap_or_else(|| panic!("a column {header} on {sheet}"))
    }

    /// The cell under a header, as text; an empty one as nothing.
    #[track_caller]
    pub fn text(&self, sheet: &str, row: u32, header: &str) -> String {
        self.cell(sheet, row, self.column(sheet, header))
            .map_or_else(String::new, ToString::to_string)
    }
}

/// A cell's address, as `F12`.
pub fn address(row: u32, column: u32) -> String {
    let letters = hailyard::intake::column_letters(column);
    format!("{letters}{}", row + 1)
}

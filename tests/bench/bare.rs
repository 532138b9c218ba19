//! What reading a file costs when nothing is done with it: the library alone,
//! on one core. No program that reads by it can be faster.

use calamine::{Reader, Xlsx, open_workbook};
use std::hint::black_box;
use std::path::Path;

/// Parses every record of a CSV; returns how many.
pub fn csv_records(path: &Path, delimiter: u8) -> u64 {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .from_path(path)
        .expect("a file");
    let mut record = csv::ByteRecord::new();
    let mut records = 0;
    while reader.read_byte_record(&mut record).expect("a record") {
        black_box(&record);
        records += 1;
    }
    records
}

/// Reads every cell of a workbook's first sheet; returns how many hold something.
pub fn workbook_cells(path: &Path) -> u64 {
    let mut book: Xlsx<_> = open_workbook(path).expect("a workbook");
    let name = book.sheet_names()[0].clone();
    let mut reader = book.worksheet_cells_reader(&name).expect("a sheet");
    let mut cells = 0;
    while let Some(cell) = reader.next_cell().expect("a cell") {
        black_box(&cell);
        cells += 1;
    }
    cells
}

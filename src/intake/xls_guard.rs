//! What an old workbook (`.xls`, BIFF in a compound file) claims, before its
//! parser sees it: the rectangle of every sheet's cells, which the parser
//! allocates whole, and the hidden rows, which it does not tell.
//!
//! Record numbers and layouts: Microsoft, [MS-XLS], section 2.4.

use super::guard::MAX_CELLS;
use std::io::{Cursor, Read};

/// One sheet as its records tell.
#[derive(Debug, Default, Clone, Copy)]
struct SheetScan {
    /// Where its first record stands in the stream.
    at: u32,
    hidden_rows: usize,
    rectangle: Option<(u16, u16, u16, u16)>,
}

const BOF: u16 = 0x0809;
const BOUND_SHEET: u16 = 0x0085;
const ROW: u16 = 0x0208;
/// A row of height 0: hidden.
const ROW_HIDDEN: u16 = 0x0020;
/// Records of one cell with a value: formula, number, label, bool or error,
/// RK, shared string, rich text.
const ONE_CELL: [u16; 7] = [0x0006, 0x0203, 0x0204, 0x0205, 0x027e, 0x00fd, 0x00d6];
/// Several RK cells of a row, the last column at their end.
const MANY_CELLS: u16 = 0x00bd;

/// Hidden rows per sheet, in the order of the workbook's own list of sheets.
///
/// # Errors
/// When the sheets' rectangles together pass [`MAX_CELLS`], or the file is no
/// compound file.
pub fn scan(bytes: &[u8]) -> Result<Vec<usize>, (String, String)> {
    let stream = workbook_stream(bytes)?;
    let (mut sheets, mut listed): (Vec<SheetScan>, Vec<u32>) = (Vec::new(), Vec::new());
    let mut at = 0;
    while let (Some(kind), Some(length)) = (number(&stream, at), number(&stream, at + 2)) {
        let start = at + 4;
        let Some(record) = stream.get(start..start + usize::from(length)) else {
            break;
        };
        match kind {
            BOF => sheets.push(SheetScan {
                at: u32::try_from(at).unwrap_or(u32::MAX),
                ..SheetScan::default()
            }),
            BOUND_SHEET => {
                if let (Some(low), Some(high)) = (number(record, 0), number(record, 2)) {
                    listed.push(u32::from(low) | u32::from(high) << 16);
                }
            }
            ROW if number(record, 12).is_some_and(|options| options & ROW_HIDDEN != 0) => {
                if let Some(sheet) = sheets.last_mut() {
                    sheet.hidden_rows += 1;
                }
            }
            kind if ONE_CELL.contains(&kind) || kind == MANY_CELLS => {
                let last = if kind == MANY_CELLS {
                    record
                        .len()
                        .checked_sub(2)
                        .and_then(|at| number(record, at))
                } else {
                    number(record, 2)
                };
                if let (Some(sheet), Some(row), Some(first), Some(last)) = (
                    sheets.last_mut(),
                    number(record, 0),
                    number(record, 2),
                    last,
                ) {
                    sheet.widen(row, first.min(last), first.max(last));
                }
            }
            _ => {}
        }
        at = start + usize::from(length);
    }
    let cells: u64 = sheets.iter().map(|sheet| sheet.area()).sum();
    if cells > MAX_CELLS as u64 {
        return Err((
            format!("cells over a rectangle of {cells}"),
            "at most 2,000,000 cells between the first and the last used one".to_owned(),
        ));
    }
    Ok(listed
        .into_iter()
        .map(|at| {
            let sheet = sheets.iter().find(|sheet| sheet.at == at);
            sheet.map_or(0, |sheet| sheet.hidden_rows)
        })
        .collect())
}

impl SheetScan {
    fn widen(&mut self, row: u16, first: u16, last: u16) {
        let (top, left, bottom, right) = self.rectangle.unwrap_or((row, first, row, last));
        self.rectangle = Some((
            top.min(row),
            left.min(first),
            bottom.max(row),
            right.max(last),
        ));
    }

    fn area(&self) -> u64 {
        self.rectangle.map_or(0, |(top, left, bottom, right)| {
            (u64::from(bottom - top) + 1) * (u64::from(right - left) + 1)
        })
    }
}

/// A little-endian 16-bit number.
fn number(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at + 2)?;
    Some(u16::from_le_bytes([pair[0], pair[1]]))
}

/// The stream that holds the sheets; never longer than the file.
fn workbook_stream(bytes: &[u8]) -> Result<Vec<u8>, (String, String)> {
    let broken = |error: &dyn std::fmt::Display| {
        (
            format!("a broken workbook ({error})"),
            "a workbook that a spreadsheet program can open".to_owned(),
        )
    };
    let mut file = cfb::CompoundFile::open(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    let name = ["/Workbook", "/Book"]
        .into_iter()
        .find(|name| file.is_stream(name))
        .ok_or_else(|| broken(&"no sheets in it"))?;
    let mut stream = Vec::new();
    file.open_stream(name)
        .and_then(|opened| opened.take(bytes.len() as u64).read_to_end(&mut stream))
        .map_err(|error| broken(&error))?;
    Ok(stream)
}

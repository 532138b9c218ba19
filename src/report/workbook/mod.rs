//! The workbook of a priced storm: `Totals`, `Cars`, `Lines`, `Terms` and
//! `Read me`. Whatever follows from the amounts on `Lines` is a formula,
//! written together with its value, so that an adjuster who strikes or edits
//! an amount sees everything above it move.
//!
//! Formulas name only words of closed lists and numbers, never a text from a
//! count sheet or a name: those are data, and a payer called `>5` or `A*`
//! would be a condition. Payers go by their number on `Terms`.

mod cars;
mod cells;
mod layout;
mod lines;
mod read_me;
mod reckoning;
mod tables;
mod terms;
mod totals;

pub use tables::tables_workbook;

use super::storm_report::StormReport;
use layout::Layout;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};

/// The workbook's bytes; the same report gives the same bytes. Time and
/// memory grow with the number of lines.
///
/// # Errors
/// When the lines are more than a sheet has rows (1,048,576 with the header),
/// or an amount has more than the 15 digits that spreadsheet programs keep:
/// no workbook is better than one that lacks lines or cents. Otherwise only
/// when the library fails.
pub fn storm_workbook(report: &StormReport<'_>) -> Result<Vec<u8>, XlsxError> {
    let layout = Layout::of(report)?;
    let styles = cells::Styles::new(report.storm.currency);
    let mut book = Workbook::new();
    // The bytes must not tell when they were made.
    let epoch = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&epoch));
    totals::write(book.add_worksheet(), report, &layout, &styles)?;
    cars::write(book.add_worksheet(), report, &layout, &styles)?;
    lines::write(book.add_worksheet(), report, &layout, &styles)?;
    terms::write(book.add_worksheet(), report, &styles)?;
    read_me::write(book.add_worksheet(), report)?;
    book.save_to_buffer()
}

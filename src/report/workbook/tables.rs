//! A workbook of plain tables, each on a sheet of its own, with live sums of its
//! amounts at the foot.

use super::cells::{Styles, set_up};
use crate::money::{Currency, Money};
use crate::report::grid::{Grid, Kind, Value};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError, utility};

/// One sheet: its name and its table.
pub type NamedTable<'a> = (&'static str, Grid<'a>);

/// The workbook's bytes; the same tables give the same bytes.
///
/// # Errors
/// When a table has more rows than a sheet, or an amount more digits than a
/// spreadsheet program keeps; else only when the library fails.
pub fn tables_workbook(
    storm: &str,
    currency: Currency,
    tables: &[NamedTable<'_>],
) -> Result<Vec<u8>, XlsxError> {
    let styles = Styles::new(currency);
    let mut book = Workbook::new();
    // The bytes must not tell when they were made.
    let epoch = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&epoch));
    for (name, grid) in tables {
        let sheet = book.add_worksheet();
        sheet.set_name(*name)?;
        let width = |kind: Kind| match kind {
            Kind::Text => 18.0,
            Kind::Count => 8.0,
            Kind::Money | Kind::Statistic => 13.0,
        };
        let heads = grid.columns.iter();
        let columns =
            styles.header(sheet, heads.map(|column| (column.name, width(column.kind))))?;
        let mut sums = vec![Money::ZERO; grid.columns.len()];
        let mut row_at = 1;
        for row in &grid.rows {
            for (column, value) in row.iter().enumerate() {
                if let Value::Money(amount) = value {
                    sums[column] += *amount;
                }
                styles.value(sheet, row_at, column_at(column), value)?;
            }
            row_at += 1;
        }
        // One blank row apart, so that the filter leaves the sums alone.
        if row_at > 1 {
            let foot = row_at + 1;
            styles.text(sheet, foot, 0, "together")?;
            for (column, of) in grid.columns.iter().enumerate() {
                if of.kind == Kind::Money {
                    let at = column_at(column);
                    let cells = utility::cell_range(1, at, row_at - 1, at);
                    let formula = format!("=SUM({cells})");
                    styles.live_money(sheet, foot, at, formula, Some(sums[column]))?;
                }
            }
        }
        set_up(sheet, storm, name, row_at.saturating_sub(1), columns, 1)?;
    }
    book.save_to_buffer()
}

/// A column's place; tables have a handful.
fn column_at(column: usize) -> u16 {
    u16::try_from(column).unwrap_or(u16::MAX)
}

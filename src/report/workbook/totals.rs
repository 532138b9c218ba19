//! The `Totals` sheet: `totals.csv`, its sums live over `Lines`, and the
//! shares over `Cars`.

use super::cars::{self, ANY_NUMBER, PARTIAL, amount};
use super::cells::{self, Styles};
use super::layout::Layout;
use super::lines;
use super::reckoning::rounded;
use super::terms;
use crate::report::storm_report::StormReport;
use crate::storm::Group;
use crate::totals::{By, TotalsRow};
use rust_xlsxwriter::{Worksheet, XlsxError};

/// The sheet's name.
pub const NAME: &str = "Totals";

/// Widths of the columns of `totals.csv`.
const WIDTHS: [f64; 16] = [
    8.0, 24.0, 7.0, 8.0, 8.0, 9.0, 9.0, 13.0, 13.0, 13.0, 13.0, 13.0, 13.0, 14.0, 14.0, 14.0,
];
const MORE: [(&str, f64); 2] = [("note", 20.0), ("open_lines", 8.0)];
const QUOTES: u16 = 3;
const FIRST_GROUP: u16 = 7;
const TOTAL: u16 = 13;
const NOTE: u16 = 16;

/// Writes the sheet.
pub fn write(
    sheet: &mut Worksheet,
    report: &StormReport<'_>,
    layout: &Layout<'_>,
    styles: &Styles,
) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    let grid = report.total_grid();
    let names = grid.columns.iter().map(|column| column.name);
    let columns = styles.header(sheet, names.zip(WIDTHS).chain(MORE))?;
    let without = match report.left_out.len() {
        0 => String::new(),
        1 => "without 1 car".to_owned(),
        cars => format!("without {cars} cars"),
    };
    for (row, (values, totals)) in (1..).zip(grid.rows.iter().zip(&report.totals.rows)) {
        for (column, value) in (0..).zip(values) {
            if column < FIRST_GROUP && column != QUOTES {
                styles.value(sheet, row, column, value)?;
            }
        }
        let live = LiveRow {
            styles,
            last: layout.last,
            cars: report.storm.cars.len(),
            row,
            totals,
        };
        live.sums(sheet)?;
        live.quotes(sheet)?;
        live.shares(sheet, [&values[14], &values[15]].map(amount))?;
        live.note(sheet, &without)?;
    }
    let rows = u32::try_from(grid.rows.len()).unwrap_or(u32::MAX);
    cells::set_up(sheet, &report.storm.name, NAME, rows, columns, 2)
}

/// The live cells of a row.
struct LiveRow<'a> {
    styles: &'a Styles,
    last: usize,
    cars: usize,
    row: u32,
    totals: &'a TotalsRow,
}

impl LiveRow<'_> {
    /// What a line of this row must meet, as a condition of SUMIFS with its
    /// comma; empty for the whole storm.
    fn condition(&self) -> String {
        let column = |column, word: &str| format!(",{},{word}", lines::cells(column, 2, self.last));
        match self.totals.by {
            By::Storm => String::new(),
            By::Payer(payer) => column('I', &terms::number(payer).to_string()),
            By::Body(body) => column('J', &format!("\"{}\"", body.word())),
            By::Panel(Some(panel)) => column('B', &format!("\"{}\"", panel.word())),
            // Equal to nothing: an empty cell.
            By::Panel(None) => column('B', "\"=\""),
        }
    }

    /// The same of a car; none: the row is no sum over cars.
    fn car_condition(&self) -> Option<String> {
        let column = |column, word: &str| format!(",{},{word}", cars::cells(column, self.cars));
        match self.totals.by {
            By::Storm => Some(String::new()),
            By::Payer(payer) => Some(column('S', &terms::number(payer).to_string())),
            By::Body(body) => Some(column('T', &format!("\"{}\"", body.word()))),
            By::Panel(_) => None,
        }
    }

    /// Groups and total.
    fn sums(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let (row, number) = (self.row, self.row + 1);
        let condition = self.condition();
        let groups = lines::cells('C', 2, self.last);
        let amounts = lines::cells('F', 2, self.last);
        let kinds = lines::cells('H', 2, self.last);
        let open = format!("$R{number}");
        for (column, group) in (FIRST_GROUP..).zip(Group::ALL) {
            let of_group = format!("{groups},\"{}\"{condition}", group.word());
            let sum = rounded(
                &format!("SUMIFS({amounts},{of_group})"),
                self.styles.currency,
            );
            // Most rows wait for nothing, and then only the sum is reckoned.
            // Lines, and none with an amount: not 0.00 but not known.
            let formula = format!(
                "=IF({open}=0,{sum},IF(COUNTIFS({of_group},{amounts},{ANY_NUMBER})>0,{sum},IF(COUNTIFS({of_group},{kinds},\"{}\")>0,\"\",0)))",
                lines::ENTERED
            );
            let shown = self.totals.groups[group.index()].shown();
            self.styles.live_money(sheet, row, column, formula, shown)?;
        }
        let any = if condition.is_empty() {
            format!("COUNT({amounts})")
        } else {
            format!("COUNTIFS({amounts},{ANY_NUMBER}{condition})")
        };
        let sum = rounded(&format!("SUM(H{number}:M{number})"), self.styles.currency);
        let total = self.totals.total();
        self.styles.live_money(
            sheet,
            row,
            TOTAL,
            format!("=IF({open}=0,{sum},IF({any}=0,\"\",{sum}))"),
            total.shown(),
        )?;
        // Lines to be entered, less those that hold a number.
        let entered = format!("{kinds},\"{}\"{condition}", lines::ENTERED);
        self.styles.live(
            sheet,
            row,
            NOTE + 1,
            format!("=COUNTIFS({entered})-COUNTIFS({entered},{amounts},{ANY_NUMBER})"),
            total.open.to_string(),
        )
    }

    /// Cars with a line without an amount. A panel of a car has at most one
    /// such line as printed, so panel rows count lines.
    fn quotes(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let value = self.totals.quotes;
        let formula = match (self.car_condition(), self.totals.by) {
            (Some(condition), _) => format!(
                "=COUNTIFS({},\"quote\"{condition})",
                cars::cells('C', self.cars)
            ),
            (None, By::Panel(Some(_))) => format!("=$R{}", self.row + 1),
            (None, _) => {
                sheet.write_number(self.row, QUOTES, 0)?;
                return Ok(());
            }
        };
        self.styles
            .live(sheet, self.row, QUOTES, formula, value.to_string())
    }

    /// What payers and owners pay; by panel nobody knows.
    fn shares(
        &self,
        sheet: &mut Worksheet,
        shown: [Option<crate::money::Money>; 2],
    ) -> Result<(), XlsxError> {
        let Some(condition) = self.car_condition() else {
            return Ok(());
        };
        for ((column, letter), shown) in (TOTAL + 1..).zip(['O', 'P']).zip(shown) {
            let of = cars::cells(letter, self.cars);
            let sum = if condition.is_empty() {
                format!("SUM({of})")
            } else {
                format!("SUMIFS({of}{condition})")
            };
            let formula = format!(
                "=IF($N{}=\"\",\"\",{})",
                self.row + 1,
                rounded(&sum, self.styles.currency)
            );
            self.styles
                .live_money(sheet, self.row, column, formula, shown)?;
        }
        Ok(())
    }

    /// That the row is a part, and that cars were left out.
    fn note(&self, sheet: &mut Worksheet, without: &str) -> Result<(), XlsxError> {
        let (partial, between) = (PARTIAL, if without.is_empty() { "" } else { ", " });
        let open = self.totals.total().open > 0;
        let shown = match open {
            true => format!("{partial}{between}{without}"),
            false => without.to_owned(),
        };
        self.styles.live(
            sheet,
            self.row,
            NOTE,
            format!(
                "=IF($R{}>0,\"{partial}{between}{without}\",\"{without}\")",
                self.row + 1
            ),
            shown,
        )
    }
}

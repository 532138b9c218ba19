//! The `Cars` sheet: `cars.csv`, its sums live over each car's own rows of
//! `Lines`, which are contiguous, so a sum looks at a car's lines only.

use super::cells::{self, Styles};
use super::layout::{CarRows, Layout};
use super::lines;
use super::reckoning::rounded;
use super::terms;
use crate::money::Money;
use crate::pricing::{GroupSum, PricedCar};
use crate::report::grid::Value;
use crate::report::storm_report::StormReport;
use crate::storm::{Car, Group};
use rust_xlsxwriter::{Worksheet, XlsxError};

/// The sheet's name.
pub const NAME: &str = "Cars";
/// Matches any number and no text: how formulas count known amounts.
pub const ANY_NUMBER: &str = "\"<1E+99\"";
/// What stands beside a total that is a part.
pub const PARTIAL: &str = "+ quote";

/// Widths of the columns of `cars.csv`.
const WIDTHS: [f64; 17] = [
    12.0, 22.0, 10.0, 8.0, 8.0, 9.0, 9.0, 12.0, 12.0, 12.0, 12.0, 13.0, 12.0, 13.0, 13.0, 13.0,
    18.0,
];
const MORE: [(&str, f64); 6] = [
    ("note", 9.0),
    ("payer_no", 9.0),
    ("body", 9.0),
    ("deductible", 12.0),
    ("event_left", 12.0),
    ("open_lines", 8.0),
];
const STATUS: u16 = 2;
const FIRST_GROUP: u16 = 7;
const TOTAL: u16 = 13;
const PAYER_PAYS: u16 = 14;
const OWNER_PAYS: u16 = 15;
const NOTE: u16 = 17;

/// Cells of a column over all cars, as other sheets write them.
pub fn cells(column: char, cars: usize) -> String {
    format!("{NAME}!${column}$2:${column}${}", cars.max(1) + 1)
}

/// The car before, of a payer with an event maximum: its row, what was left
/// of the maximum before it, and its owner's part.
type Before = (usize, Money, Money);

/// Writes the sheet.
pub fn write(
    sheet: &mut Worksheet,
    report: &StormReport<'_>,
    layout: &Layout<'_>,
    styles: &Styles,
) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    let grid = report.cars();
    let names = grid.columns.iter().map(|column| column.name);
    let columns = styles.header(sheet, names.zip(WIDTHS).chain(MORE))?;
    let mut before: Vec<Option<Before>> = vec![None; report.storm.payers.len()];
    for (index, values) in grid.rows.iter().enumerate() {
        let car = &report.storm.cars[index];
        let priced = &report.priced.cars[index];
        let row = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let rows = layout.cars[index].as_ref();
        for (column, value) in (0..).zip(values) {
            let live = column == STATUS || (FIRST_GROUP..=OWNER_PAYS).contains(&column);
            if rows.is_none() || !live {
                styles.value(sheet, row, column, value)?;
            }
        }
        if !priced.is_counted() {
            continue;
        }
        sheet.write_number(row, NOTE + 1, terms::number(car.vehicle.payer))?;
        sheet.write_string(row, NOTE + 2, car.vehicle.body.word())?;
        if let Some(rows) = rows {
            let mut cells = CarCells {
                sheet,
                styles,
                row,
                rows,
            };
            cells.sums(priced)?;
            let before = &mut before[car.vehicle.payer];
            cells.shares(report, car, priced, before)?;
        }
    }
    let rows = u32::try_from(grid.rows.len()).unwrap_or(u32::MAX);
    cells::set_up(sheet, &report.storm.name, NAME, rows, columns, 1)
}

/// The live cells of a car with lines.
struct CarCells<'s, 'a> {
    sheet: &'s mut Worksheet,
    styles: &'s Styles,
    row: u32,
    rows: &'s CarRows<'a>,
}

impl CarCells<'_, '_> {
    /// Groups, total and status.
    fn sums(&mut self, priced: &PricedCar) -> Result<(), XlsxError> {
        let CarCells {
            sheet,
            styles,
            row,
            rows,
        } = self;
        let (row, number) = (*row, *row + 1);
        let open = format!("$W{number}");
        let (first, last) = (rows.first, rows.last());
        let groups = lines::cells('C', first, last);
        let priced_groups = lines::cells('C', first, rows.last_priced());
        let amounts = lines::cells('F', first, last);
        for (column, group) in (FIRST_GROUP..).zip(Group::ALL) {
            let word = group.word();
            let sum = rounded(
                &format!("SUMIF({groups},\"{word}\",{amounts})"),
                styles.currency,
            );
            // Lines, and none with an amount: not 0.00 but not known.
            let formula = format!(
                "=IF(AND({open}>0,COUNTIF({priced_groups},\"{word}\")>0,COUNTIFS({groups},\"{word}\",{amounts},{ANY_NUMBER})=0),\"\",{sum})"
            );
            let shown = priced.ledger.sum(group).shown();
            styles.live_money(sheet, row, column, formula, shown)?;
        }
        let sum = rounded(&format!("SUM({amounts})"), styles.currency);
        let total: GroupSum = priced.total();
        styles.live_money(
            sheet,
            row,
            TOTAL,
            format!("=IF(AND({open}>0,COUNT({amounts})=0),\"\",{sum})"),
            total.shown(),
        )?;
        let status = format!("=IF({open}>0,\"quote\",\"priced\")");
        styles.live(sheet, row, STATUS, status, priced.status.word())?;
        let partial = if total.open > 0 { PARTIAL } else { "" };
        let note = format!("=IF({open}>0,\"{PARTIAL}\",\"\")");
        styles.live(sheet, row, NOTE, note, partial)?;
        // An amount waits for a quote where its cell is empty; rows of steps
        // 7 to 9 are formulas and never wait.
        let blanks = lines::cells('F', first, rows.last_priced());
        styles.live(
            sheet,
            row,
            NOTE + 5,
            format!("=COUNTBLANK({blanks})"),
            total.open.to_string(),
        )
    }

    /// Who pays: step 10. What is left of the event maximum goes from car to
    /// car of a payer in lot order, one cell each, so that a change runs
    /// through the lot once.
    fn shares(
        &mut self,
        report: &StormReport<'_>,
        car: &Car,
        priced: &PricedCar,
        before: &mut Option<Before>,
    ) -> Result<(), XlsxError> {
        let CarCells {
            sheet, styles, row, ..
        } = self;
        let (row, number) = (*row, *row + 1);
        let payer = car.vehicle.payer;
        let terms = &report.rates.terms[payer];
        match car.vehicle.deductible {
            Some(own) => styles.money(sheet, row, NOTE + 3, own)?,
            None => styles.live_money(
                sheet,
                row,
                NOTE + 3,
                format!("={}", terms::deductible_cell(payer)),
                Some(terms.deductible.unwrap_or_default()),
            )?,
        }
        let mut least = format!("$U{number},$N{number}");
        if let Some(most) = terms.deductible_event_max {
            least.push_str(&format!(",$V{number}"));
            let (formula, left) = match *before {
                None => (format!("={}", terms::event_max_cell(payer)), most),
                Some((at, left, part)) => {
                    let rest = rounded(&format!("MAX(0,$V{at}-N($P{at}))"), styles.currency);
                    let left = if part < left {
                        left - part
                    } else {
                        Money::ZERO
                    };
                    (format!("={rest}"), left)
                }
            };
            styles.live_money(sheet, row, NOTE + 4, formula, Some(left))?;
            let part = priced.owner_pays.unwrap_or_default();
            *before = Some((row as usize + 1, left, part));
        }
        styles.live_money(
            sheet,
            row,
            OWNER_PAYS,
            format!("=IF($N{number}=\"\",\"\",MIN({least}))"),
            priced.owner_pays,
        )?;
        let rest = rounded(&format!("$N{number}-$P{number}"), styles.currency);
        styles.live_money(
            sheet,
            row,
            PAYER_PAYS,
            format!("=IF($N{number}=\"\",\"\",{rest})"),
            priced.payer_pays,
        )
    }
}

/// Whether a value of `cars.csv` or `totals.csv` is an amount.
pub fn amount(value: &Value<'_>) -> Option<Money> {
    match value {
        Value::Money(amount) => Some(*amount),
        _ => None,
    }
}

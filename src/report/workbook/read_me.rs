//! The `Read me` sheet: in plain words, what is live and what is not.

use super::cells;
use crate::report::storm_report::StormReport;
use rust_xlsxwriter::{Format, FormatAlign, Worksheet, XlsxError};

/// The sheet's name.
pub const NAME: &str = "Read me";

/// Headings and what stands under them.
const TEXT: [(&str, &[&str]); 5] = [
    (
        "Editing",
        &[
            "Edit amounts on the sheet Lines, where amount_is says entered. Everything that follows from them is reckoned anew.",
            "To strike a line, enter 0. An empty amount waits for a written quote: its car is a quote, its sums are what is known so far, and the minimum is not charged.",
            "Where an amount is empty, entering it ends the wait.",
            "Figures in slanted type are formulas. On Lines the column amount_is says so in words.",
            "Filter as you like, but do not sort: a car's formulas know its rows. A line added between two lines of a car counts; fill in its group, amount_is (entered), payer_no and body as in its neighbours.",
        ],
    ),
    (
        "What is live",
        &[
            "Lines: discounts, the minimum and taxes. on_amount is the sum that the line stands on, percent its rate from the sheet Terms. Rows that say \"stands by\" charge nothing at the printed amounts and begin to when an edit makes them due.",
            "Cars: status, the sums by group, total, payer_pays, owner_pays, what is left of the payer's event maximum before the car (event_left), and open_lines, the lines without an amount.",
            "Totals: quotes, the sums by group, total, payer_pays and owner_pays. In a panel's row quotes counts lines without an amount.",
            "Terms: a percent, minimum, deductible or event maximum that stands there may be changed. One that is empty or 0 has no rows that use it, so filling it in changes nothing, but for the deductible.",
            "Rounding: every payer's amounts are rounded as its card says, half-up or half-even, once a line. Sums are sums of rounded lines.",
        ],
    ),
    (
        "What is fixed",
        &[
            "The amounts of dents, oversize dents, uplifts, limits, removals, parts, extras and conventional repair stand as they were priced: an uplift or a limit does not follow an edit of its panel's dents.",
            "The lot tier's percent: it depends on how many of the payer's cars have a priced panel, and stands on Terms as it was reached.",
            "Counts of cars, panels, dents and oversize dents; the flags, a total-loss flag too; the words under basis, which say how the printed amount arose.",
            "A line whose amount_is says fixed: its figures are too long for a spreadsheet to reckon exactly, so it keeps the printed amount.",
        ],
    ),
    (
        "Empty cells",
        &[
            "A sum is empty when it has lines and none of them has an amount. A sum of no lines is 0.",
            "A car that nobody has counted has empty figures and is in no total.",
        ],
    ),
    (
        "Owners and payers",
        &[
            "An owner pays the car's own deductible, else the payer's, at most the total, and together with the owners before on the list at most the payer's event maximum. The payer pays the rest.",
        ],
    ),
];

/// Writes the sheet.
pub fn write(sheet: &mut Worksheet, report: &StormReport<'_>) -> Result<(), XlsxError> {
    sheet.set_name(NAME)?;
    let heading = Format::new().set_bold();
    let plain = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    sheet.set_column_width(0, 110.0)?;
    let mut row = 0;
    let head = format!(
        "Amounts in {}. {} of {} cars on the list are counted.",
        report.storm.currency.code(),
        report.totals.counted,
        report.totals.listed
    );
    let mut first = vec![head];
    match report.left_out.len() {
        0 => {}
        1 => first.push("1 car is left out because of errors in its inputs.".to_owned()),
        cars => first.push(format!(
            "{cars} cars are left out because of errors in their inputs."
        )),
    }
    for text in first {
        sheet.write_string_with_format(row, 0, text, &plain)?;
        row += 1;
    }
    for (title, texts) in TEXT {
        row += 1;
        sheet.write_string_with_format(row, 0, title, &heading)?;
        for text in texts {
            row += 1;
            sheet.write_string_with_format(row, 0, *text, &plain)?;
        }
        row += 1;
    }
    cells::print_set_up(sheet, &report.storm.name, NAME);
    Ok(())
}

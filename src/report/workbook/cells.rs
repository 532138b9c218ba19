//! Cells of every kind, and what all sheets have in common.

use crate::money::{Currency, Money, Percent};
use crate::report::grid::Value;
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Formula, Worksheet, XlsxError};
use std::borrow::Cow;

/// The longest text of a cell, in UTF-16 units as the format counts.
const MOST_TEXT: usize = 32_767;
/// What ends a text that was cut.
const CUT: &str = " … (cut)";
/// A text that looks like marked-up text is written in two pieces (see
/// [`Styles::text`]), and its mark-up counts towards the format's limit.
const MOST_MARKED_UP: usize = 5_000;
/// Spreadsheet programs keep and show 15 digits.
const MOST_UNITS: i128 = 999_999_999_999_999;

/// How cells look, and the writing of them.
pub struct Styles {
    /// The storm's currency.
    pub currency: Currency,
    head: Format,
    money: Format,
    live_money: Format,
    live: Format,
}

impl Styles {
    /// For amounts of a currency.
    pub fn new(currency: Currency) -> Styles {
        let places = currency.places() as usize;
        let pattern = if places == 0 {
            "0".to_owned()
        } else {
            format!("0.{}", "0".repeat(places))
        };
        Styles {
            currency,
            head: Format::new()
                .set_bold()
                .set_text_wrap()
                .set_align(FormatAlign::Top)
                .set_border_bottom(FormatBorder::Medium),
            money: Format::new().set_num_format(&pattern),
            // Formulas are told apart by slanted figures, not by a colour.
            live_money: Format::new().set_num_format(&pattern).set_italic(),
            live: Format::new().set_italic(),
        }
    }

    /// How many minor units the currency's unit has, as formulas write it.
    pub fn minor(&self) -> u64 {
        10_u64.pow(self.currency.places())
    }

    /// A text as it stands, never as a formula and never altered but for its
    /// length.
    pub fn text(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        text: &str,
    ) -> Result<(), XlsxError> {
        // The library takes a text of this shape for its own mark-up and
        // would write it into the file unescaped.
        if text.starts_with("<r>") && text.ends_with("</r>") {
            let text = cut(text, MOST_MARKED_UP);
            if text.ends_with("</r>") {
                let plain = Format::new();
                let (first, rest) = text.split_at(1);
                sheet.write_rich_string(row, column, &[(&plain, first), (&plain, rest)])?;
            } else {
                sheet.write_string(row, column, &*text)?;
            }
            return Ok(());
        }
        sheet.write_string(row, column, &*cut(text, MOST_TEXT))?;
        Ok(())
    }

    /// An amount, as a number.
    pub fn money(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        amount: Money,
    ) -> Result<(), XlsxError> {
        let number = nearest(&self.figure(amount)?);
        sheet.write_number_with_format(row, column, number, &self.money)?;
        Ok(())
    }

    /// An amount by formula, with what it comes to; none: an empty text.
    pub fn live_money(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        formula: String,
        amount: Option<Money>,
    ) -> Result<(), XlsxError> {
        let value = match amount {
            Some(amount) => self.figure(amount)?,
            None => String::new(),
        };
        let formula = Formula::new(formula).set_result(value);
        sheet.write_formula_with_format(row, column, formula, &self.live_money)?;
        Ok(())
    }

    /// A count, a percent or one of our own words by formula.
    pub fn live(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        formula: String,
        value: impl Into<String>,
    ) -> Result<(), XlsxError> {
        let formula = Formula::new(formula).set_result(value);
        sheet.write_formula_with_format(row, column, formula, &self.live)?;
        Ok(())
    }

    /// A value of a table, fixed.
    pub fn value(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        value: &Value<'_>,
    ) -> Result<(), XlsxError> {
        match value {
            Value::Empty => Ok(()),
            Value::Text(text) => self.text(sheet, row, column, text),
            Value::Money(amount) => self.money(sheet, row, column, *amount),
            Value::Statistic(value, _) => {
                sheet.write_number(row, column, *value)?;
                Ok(())
            }
            Value::Count(count) => {
                sheet.write_number(row, column, nearest(&count.to_string()))?;
                Ok(())
            }
        }
    }

    /// The header row with the columns' widths.
    pub fn header(
        &self,
        sheet: &mut Worksheet,
        columns: impl IntoIterator<Item = (impl AsRef<str>, f64)>,
    ) -> Result<u16, XlsxError> {
        // A formula that comes to an empty text: the library's own default
        // would be 0.
        sheet.set_formula_result_default("");
        let mut count = 0;
        for (name, width) in columns {
            sheet.write_string_with_format(0, count, name.as_ref(), &self.head)?;
            sheet.set_column_width(count, width)?;
            count += 1;
        }
        Ok(count)
    }

    fn figure(&self, amount: Money) -> Result<String, XlsxError> {
        let text = self.currency.text(amount);
        if amount.minor_units(self.currency).abs() > MOST_UNITS {
            return Err(XlsxError::ParameterError(format!(
                "{text} has more than the 15 digits that a spreadsheet program keeps"
            )));
        }
        Ok(text)
    }
}

/// A percent, as a number.
pub fn percent(
    sheet: &mut Worksheet,
    row: u32,
    column: u16,
    percent: Percent,
) -> Result<(), XlsxError> {
    sheet.write_number(row, column, nearest(&percent.0.to_string()))?;
    Ok(())
}

/// The binary number nearest to a decimal of at most 15 digits: it reads and
/// prints as that decimal again. Nothing is reckoned with it here.
fn nearest(decimal: &str) -> f64 {
    decimal.parse().unwrap_or(f64::NAN)
}

/// A text of at most so many UTF-16 units, with a mark where it was cut.
fn cut(text: &str, most: usize) -> Cow<'_, str> {
    // A UTF-8 text has at least as many bytes as UTF-16 units.
    if text.len() <= most || text.chars().map(char::len_utf16).sum::<usize>() <= most {
        return Cow::Borrowed(text);
    }
    let mut left = most - CUT.chars().map(char::len_utf16).sum::<usize>();
    let kept: String = text
        .chars()
        .take_while(|letter| {
            let fits = letter.len_utf16() <= left;
            left -= letter.len_utf16().min(left);
            fits
        })
        .collect();
    Cow::Owned(kept + CUT)
}

/// Frozen header, filter and print set-up of a table.
pub fn set_up(
    sheet: &mut Worksheet,
    storm: &str,
    title: &str,
    rows: u32,
    columns: u16,
    frozen: u16,
) -> Result<(), XlsxError> {
    sheet.set_freeze_panes(1, frozen)?;
    sheet.autofilter(0, 0, rows.max(1), columns - 1)?;
    sheet.set_repeat_rows(0, 0)?;
    print_set_up(sheet, storm, title);
    Ok(())
}

/// A4, landscape, one page wide.
pub fn print_set_up(sheet: &mut Worksheet, storm: &str, title: &str) {
    sheet.set_paper_size(9);
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    // A header holds 255 characters; `&` begins a code in it, so one of a
    // name is doubled, and `[` would make a code of the two.
    let storm: String = storm
        .chars()
        .filter(|letter| !letter.is_control() && *letter != '[')
        .take(60)
        .collect();
    sheet.set_header(format!("&L{}&R{title}", storm.replace('&', "&&")));
    sheet.set_footer("&Rpage &P of &N");
}

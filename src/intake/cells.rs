//! What a cell must be to be taken as dents, money, a length, a word. Each
//! reader gives the value or says what was expected and probably meant.

use super::table::{Cell, number_decimal, number_text};
use super::toml_doc::{one_of, plain_decimal};
use crate::storm::words;
use crate::units::{LengthUnit, Millimetres};
use rust_decimal::Decimal;

/// Why a cell is not what its column asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What was expected.
    pub expected: String,
    /// What was probably meant.
    pub meant: Option<String>,
}

impl Refusal {
    /// Only what was expected.
    pub fn new(expected: impl Into<String>) -> Refusal {
        Refusal {
            expected: expected.into(),
            meant: None,
        }
    }

    fn probably(mut self, meant: Option<impl Into<String>>) -> Refusal {
        self.meant = meant.map(Into::into);
        self
    }
}

/// A value or why not.
pub type Read<T> = Result<T, Refusal>;

/// Dents of one diameter as a cell gives them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sized {
    /// The diameter.
    pub diameter: Millimetres,
    /// How many.
    pub dents: u32,
}

/// The largest dent that is a dent and not a writing error.
pub const MAX_DIAMETER_MM: i64 = 600;

/// What is not a number, for any column that wants one.
fn not_a_number(cell: Cell<'_>, wanted: &str) -> Refusal {
    match cell {
        Cell::NoValue(_) => Refusal::new("a formula with a stored value"),
        Cell::Date(_) => Refusal::new(format!("{wanted}, not a date")),
        Cell::Truth(_) => Refusal::new(format!("{wanted}, not a yes or no")),
        _ => Refusal::new(wanted),
    }
}

/// A whole number of dents; a blank is none.
pub fn dents(cell: Cell<'_>) -> Read<u32> {
    whole(cell, "a whole number of dents")
}

/// A whole number from 0; a blank is 0.
pub fn whole(cell: Cell<'_>, wanted: &str) -> Read<u32> {
    match cell {
        Cell::Blank => Ok(0),
        Cell::Number(number) if number < 0.0 => Err(Refusal::new("0 or more")),
        Cell::Number(number) if number.fract() == 0.0 && number <= 999_999_999.0 => {
            // Checked just above: whole and within u32.
            Ok(number as u32)
        }
        Cell::Number(_) => Err(Refusal::new(wanted)),
        Cell::Text(text) => whole_text(text, wanted),
        other => Err(not_a_number(other, wanted)),
    }
}

fn whole_text(text: &str, wanted: &str) -> Read<u32> {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if is_digits(text) {
        let digits = text.trim_start_matches('0');
        if digits.len() > 9 {
            return Err(Refusal::new("at most 9,999 dents on a panel"));
        }
        return Ok(digits.parse().unwrap_or(0));
    }
    if text.strip_prefix('-').is_some_and(is_digits) {
        return Err(Refusal::new("0 or more"));
    }
    // Figures with something beside them: grouping, an exponent, `.0`, a word.
    let squeezed: String = text
        .chars()
        .filter(|c| !matches!(c, ',' | ' ' | '\'' | '_'))
        .collect();
    if is_digits(&squeezed) {
        return Err(Refusal::new("digits only").probably(Some(squeezed)));
    }
    if let Ok(number) = Decimal::from_scientific(text)
        && number.fract().is_zero()
        && !number.is_sign_negative()
    {
        return Err(Refusal::new("digits only").probably(Some(number.normalize().to_string())));
    }
    if let Some((figures, zeros)) = text.split_once(['.', ','])
        && is_digits(figures)
        && is_digits(zeros)
    {
        let meant = zeros.bytes().all(|b| b == b'0').then(|| figures.to_owned());
        return Err(Refusal::new(wanted).probably(meant));
    }
    let lead: String = text.chars().take_while(char::is_ascii_digit).collect();
    let meant = if lead.is_empty() {
        let fixed: String = text
            .chars()
            .map(|c| match c {
                'O' | 'o' => '0',
                'l' | 'I' => '1',
                c => c,
            })
            .collect();
        is_digits(&fixed).then_some(fixed)
    } else {
        let rest = text[lead.len()..].trim().to_lowercase();
        ["dents", "dent", "x", "pcs"]
            .contains(&rest.as_str())
            .then_some(lead)
    };
    Err(Refusal::new(wanted).probably(meant))
}

/// A decimal from 0 of a sheet, with a decimal comma where the sheet has them.
pub fn figure(cell: Cell<'_>, decimal_comma: bool, wanted: &str) -> Read<Option<Decimal>> {
    match cell {
        Cell::Blank => Ok(None),
        Cell::Number(number) => bounded_number(number)
            .map(Some)
            .ok_or_else(|| Refusal::new(wanted)),
        Cell::Text(text) => {
            if let Some(thousands) = grouped_by_points(text, decimal_comma) {
                let expected = format!("{wanted}, with this file's decimal comma");
                return Err(Refusal::new(expected).probably(Some(thousands)));
            }
            let plain = with_point(text, decimal_comma);
            plain_decimal(&plain).map(Some).map_err(|meant| {
                if text.starts_with('-') {
                    Refusal::new(wanted)
                } else {
                    Refusal::new(wanted).probably(meant)
                }
            })
        }
        other => Err(not_a_number(other, wanted)),
    }
}

/// The same below zero too.
pub fn signed_figure(cell: Cell<'_>, decimal_comma: bool, wanted: &str) -> Read<Option<Decimal>> {
    let below = match cell {
        Cell::Number(number) if number < 0.0 => Cell::Number(-number),
        Cell::Text(text) if text.starts_with('-') => Cell::Text(text[1..].trim_start()),
        other => return figure(other, decimal_comma, wanted),
    };
    let figure = figure(below, decimal_comma, wanted)?;
    // A sign and nothing behind it is no figure.
    figure
        .map(|figure| Some(-figure))
        .ok_or_else(|| Refusal::new(wanted))
}

/// A workbook's number from 0, within the bounds that written figures have.
pub fn bounded_number(number: f64) -> Option<Decimal> {
    plain_decimal(&number_decimal(number)?.to_string()).ok()
}

/// `1.840` in a file of decimal commas is a thousand and more, and no figure below
/// two: the digits that were probably meant.
fn grouped_by_points(text: &str, decimal_comma: bool) -> Option<String> {
    let (first, others) = text.split_once('.').filter(|_| decimal_comma)?;
    let is_digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    let is_first = (1..=3).contains(&first.len()) && is_digits(first);
    let mut others = others.split('.');
    let are_groups = others.all(|group| group.len() == 3 && is_digits(group));
    (is_first && are_groups).then(|| text.replace('.', ""))
}

/// The text with a decimal comma between digits made a point.
pub fn with_point(text: &str, decimal_comma: bool) -> String {
    if !decimal_comma || text.contains('.') || text.matches(',').count() != 1 {
        return text.to_owned();
    }
    text.replace(',', ".")
}

/// A diameter in the unit of its column.
pub fn diameter(
    cell: Cell<'_>,
    unit: LengthUnit,
    decimal_comma: bool,
) -> Read<Option<Millimetres>> {
    let written = match cell {
        Cell::Blank => return Ok(None),
        Cell::Number(number) => number_text(number),
        Cell::Text(text) => text.to_owned(),
        other => return Err(not_a_number(other, "a diameter")),
    };
    length(&written, Some(unit), decimal_comma).map(Some)
}

/// `SIZE [mm|in]`: without a unit word the given unit, or a refusal where none is given.
fn length(text: &str, unit: Option<LengthUnit>, decimal_comma: bool) -> Read<Millimetres> {
    let figures: String = text
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .collect();
    let word = text[figures.len()..].trim().to_lowercase();
    if figures.is_empty() {
        return Err(Refusal::new(
            "a diameter above 0 and at most 600 mm, such as 55 or 2.5 in",
        ));
    }
    let unit = if word.is_empty() {
        unit.ok_or_else(|| Refusal::new("a size with mm or in"))?
    } else {
        LengthUnit::from_word(&word).ok_or_else(|| {
            let meant = match word.as_str() {
                "\"" | "inch" | "inches" | "''" => Some(format!("{figures} in")),
                "cm" => plain_decimal(&with_point(&figures, decimal_comma))
                    .ok()
                    .map(|cm| format!("{} mm", (cm * Decimal::TEN).normalize())),
                _ => None,
            };
            Refusal::new("mm or in").probably(meant)
        })?
    };
    let number = plain_decimal(&with_point(&figures, decimal_comma))
        .map_err(|meant| Refusal::new("a diameter such as 55 or 2.5 in").probably(meant))?;
    let diameter = unit.millimetres(number);
    if diameter.0.is_zero() || diameter.0 > Decimal::from(MAX_DIAMETER_MM) {
        return Err(Refusal::new("a diameter above 0 and at most 600 mm"));
    }
    Ok(diameter)
}

/// One dent size with how many: `55`, `62 x2`, `2.5 in x3`.
pub fn sized(text: &str, unit: Option<LengthUnit>, decimal_comma: bool) -> Read<Sized> {
    let text = text.trim();
    let (size, times) = match text.rsplit_once(['x', 'X', '×']) {
        Some((size, times)) if !size.trim().is_empty() => (size.trim(), Some(times.trim())),
        _ => (text, None),
    };
    let dents = match times {
        None => 1,
        Some(times) => whole_text(times, "how many after x, such as x2")?,
    };
    Ok(Sized {
        diameter: length(size, unit, decimal_comma)?,
        dents,
    })
}

/// A list of dent sizes parted by `;`, and every item that is none.
pub fn sizes(
    cell: Cell<'_>,
    unit: LengthUnit,
    decimal_comma: bool,
) -> (Vec<Sized>, Vec<(String, Refusal)>) {
    let text = match cell {
        Cell::Blank => String::new(),
        Cell::Number(number) => number_text(number),
        Cell::Text(text) => text.to_owned(),
        other => {
            let refusal = not_a_number(other, "a list of sizes such as 55; 62 x2");
            return (Vec::new(), vec![(other.shown().into_owned(), refusal)]);
        }
    };
    let (mut sizes, mut refused) = (Vec::new(), Vec::new());
    for part in text
        .split(';')
        .map(str::trim)
        .filter(|part| !part.is_empty())
    {
        match sized(part, Some(unit), decimal_comma) {
            Ok(sized) => sizes.push(sized),
            Err(refusal) => refused.push((part.to_owned(), refusal)),
        }
    }
    (sizes, refused)
}

/// A list of words parted by `;`.
pub fn word_list(cell: Cell<'_>) -> Read<Vec<String>> {
    match cell {
        Cell::NoValue(_) => Err(Refusal::new("a formula with a stored value")),
        Cell::Fault(_) => Err(Refusal::new("a list of words parted by `;`")),
        cell => Ok(cell
            .shown()
            .split(';')
            .map(str::trim)
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect()),
    }
}

/// Free text.
pub fn text(cell: Cell<'_>) -> Read<String> {
    match cell {
        Cell::NoValue(_) => Err(Refusal::new("a formula with a stored value")),
        Cell::Fault(_) => Err(Refusal::new("a text, not an error value")),
        cell => Ok(unguarded(&cell.shown()).to_owned()),
    }
}

/// The text without the `'` that our own files put before a character that a
/// spreadsheet would run.
#[must_use]
pub fn unguarded(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest,
        _ => text,
    }
}

/// Yes or no: blank, `no`, `0` or `yes`, `1`, `x`.
pub fn yes_no(cell: Cell<'_>) -> Read<bool> {
    let expected = "blank, no, 0 or yes, 1, x";
    match cell {
        Cell::Blank => Ok(false),
        Cell::Truth(truth) => Ok(truth),
        Cell::Number(0.0) => Ok(false),
        Cell::Number(1.0) => Ok(true),
        Cell::Text(text) => match words::fold(text).as_str() {
            "no" | "0" => Ok(false),
            "yes" | "1" | "x" => Ok(true),
            _ => Err(Refusal::new(expected)),
        },
        other => Err(not_a_number(other, expected)),
    }
}

/// One of a closed set of words, compared folded; a blank is none.
pub fn word<T: Copy>(
    cell: Cell<'_>,
    known: &[(&'static str, T)],
    find: impl Fn(&str) -> Option<T>,
) -> Read<Option<T>> {
    let all: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
    let text = match cell {
        Cell::Blank => return Ok(None),
        Cell::Text(text) => text,
        Cell::NoValue(_) => return Err(Refusal::new("a formula with a stored value")),
        _ => return Err(Refusal::new(one_of(&all))),
    };
    if let Some(value) = find(text) {
        return Ok(Some(value));
    }
    let folded = words::fold(text);
    let folded_known: Vec<String> = all.iter().map(|word| words::fold(word)).collect();
    let near = words::nearest(&folded, folded_known.iter().map(String::as_str));
    let meant = near.and_then(|near| all.iter().find(|word| words::fold(word) == near));
    Err(Refusal::new(one_of(&all)).probably(meant.map(|word| (*word).to_owned())))
}

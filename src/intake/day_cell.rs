//! Days and hours as people write them.

use super::cells::{self, Read, Refusal};
use super::table::Cell;
use crate::storm::{Moment, words};
use jiff::civil::{Date, Time};
use rust_decimal::Decimal;

/// How a day is written.
const DAY: &str = "a day as YYYY-MM-DD";

/// A day; a blank is none.
pub fn day(cell: Cell<'_>) -> Read<Option<Date>> {
    match cell {
        Cell::Blank => Ok(None),
        Cell::Date(iso) => written_day(iso.split('T').next().unwrap_or(iso)).map(Some),
        Cell::Text(text) => written_day(text).map(Some),
        Cell::NoValue(_) => Err(Refusal::new("a formula with a stored value")),
        _ => Err(Refusal::new(DAY)),
    }
}

/// Days parted by `;`, each one day or `DAY to DAY`.
pub fn stretches(cell: Cell<'_>) -> Read<Vec<(Date, Date)>> {
    if let Cell::Date(_) = cell {
        return Ok(day(cell)?.map(|day| (day, day)).into_iter().collect());
    }
    let mut all = Vec::new();
    for part in cells::word_list(cell)? {
        let stretch = match part.split_once(" to ") {
            Some((first, last)) => (written_day(first.trim())?, written_day(last.trim())?),
            None => {
                let day = written_day(&part)?;
                (day, day)
            }
        };
        if stretch.1 < stretch.0 {
            return Err(Refusal::new("days in their order: FIRST to LAST"));
        }
        all.push(stretch);
    }
    Ok(all)
}

/// A day, or a day and a time: `2026-06-15`, `2026-06-15 14:30`.
pub fn moment(text: &str) -> Read<Moment> {
    let text = text.trim();
    let (day, time) = match text.split_once(['T', ' ']) {
        Some((day, time)) => (day, Some(time.trim())),
        None => (text, None),
    };
    let day = written_day(day)?;
    let Some(time) = time else {
        return Ok(Moment { day, time: None });
    };
    match clock_time(time) {
        // A spreadsheet's day is midnight; nobody promises a car for then.
        Some(time) if time == Time::midnight() => Ok(Moment { day, time: None }),
        Some(time) => Ok(Moment {
            day,
            time: Some(time),
        }),
        None => Err(Refusal::new("a day, or a day and a time: YYYY-MM-DD HH:MM")),
    }
}

/// `14:30` or `14:30:00`; seconds go.
pub fn clock_time(text: &str) -> Option<Time> {
    let mut parts = text.split(':');
    let mut figure = |most: i8| -> Option<i8> {
        let part = parts.next()?;
        let digits = (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| part.parse().ok())?.filter(|n| *n <= most)
    };
    let (hour, minute) = (figure(23)?, figure(59)?);
    let rest: Vec<&str> = parts.collect();
    let seconds = match rest[..] {
        [] => true,
        [seconds] => {
            let whole = seconds.split('.').next();
            let whole = whole.and_then(|whole| whole.parse::<u8>().ok());
            whole.is_some_and(|whole| whole < 60)
        }
        _ => false,
    };
    (seconds && rest.iter().all(|rest| !rest.is_empty()))
        .then(|| Time::new(hour, minute, 0, 0).ok())
        .flatten()
}

/// `2026-06-15`, and nothing else.
fn written_day(text: &str) -> Read<Date> {
    if let Some(day) = iso_day(text) {
        return Ok(day);
    }
    Err(Refusal {
        expected: DAY.to_owned(),
        meant: probable_day(text),
    })
}

fn iso_day(text: &str) -> Option<Date> {
    let bytes = text.as_bytes();
    let shape = bytes.len() == 10
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            4 | 7 => *byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    if !shape {
        return None;
    }
    of_parts(&text[..4], &text[5..7], &text[8..])
}

fn of_parts(year: &str, month: &str, day: &str) -> Option<Date> {
    Date::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?).ok()
}

/// What a day in another order of year, month and day may mean: one reading,
/// or both where the figures allow two.
fn probable_day(text: &str) -> Option<String> {
    let text = text.split(['T', ' ']).next()?;
    let parts: Vec<&str> = text.split(['.', '/', '-']).collect();
    let [first, second, third] = parts[..] else {
        return None;
    };
    let figures = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if !(figures(first) && figures(second) && figures(third)) {
        return None;
    }
    let mut days = match (first.len(), third.len()) {
        (4, _) => vec![of_parts(first, second, third)],
        (_, 4) => vec![
            of_parts(third, second, first),
            of_parts(third, first, second),
        ],
        _ => Vec::new(),
    };
    days.dedup();
    let days: Vec<String> = days
        .into_iter()
        .flatten()
        .map(|day| day.to_string())
        .collect();
    (!days.is_empty()).then(|| days.join(" or "))
}

/// Hours of work; a blank is none.
pub fn hours(cell: Cell<'_>, decimal_comma: bool) -> Read<Option<Decimal>> {
    let wanted = "hours as a decimal, such as 7.5";
    let clock = match cell {
        Cell::Text(text) => clock_hours(text),
        // A spreadsheet's own time of day; its date part is no matter.
        Cell::Date(text) => text.split_once('T').and_then(|(_, time)| clock_hours(time)),
        _ => None,
    };
    if matches!(cell, Cell::Date(_)) || clock.is_some() {
        return Err(Refusal {
            expected: wanted.to_owned(),
            meant: clock,
        });
    }
    let hours = cells::figure(cell, decimal_comma, wanted)?;
    if hours.is_some_and(|hours| hours > Decimal::from(24)) {
        return Err(Refusal::new("at most 24 hours of a day"));
    }
    Ok(hours)
}

/// `7:30` as `7.5`.
fn clock_hours(text: &str) -> Option<String> {
    let mut parts = text.trim().split(':');
    let hours: u32 = parts.next()?.parse().ok()?;
    let minutes: u32 = parts.next()?.parse().ok().filter(|minutes| *minutes < 60)?;
    if hours > 99
        || parts
            .next()
            .is_some_and(|seconds| seconds.parse::<u32>().is_err())
    {
        return None;
    }
    let decimal = Decimal::from(hours) + Decimal::from(minutes) / Decimal::from(60);
    Some(decimal.round_dp(3).normalize().to_string())
}

/// A word list of trades and the like, each compared folded.
pub fn words_of<T: Copy>(cell: Cell<'_>, known: &[(&'static str, T)]) -> Read<Vec<T>> {
    let mut found = Vec::new();
    for word in cells::word_list(cell)? {
        let value = cells::word(Cell::Text(&word), known, |text| {
            let folded = words::fold(text);
            known
                .iter()
                .find(|(word, _)| words::fold(word) == folded)
                .map(|(_, value)| *value)
        })?;
        found.extend(value);
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_of_the_clock_is_one_to_the_second() {
        let time = |hour, minute| Time::new(hour, minute, 0, 0).ok();
        for (text, read) in [
            ("14:30", time(14, 30)),
            ("7:05", time(7, 5)),
            ("14:30:00", time(14, 30)),
            ("14:30:59.999", time(14, 30)),
            ("14:30:60", None),
            ("14:30:99999", None),
            ("14:30:xx", None),
            ("14:30:", None),
            ("14:30:00:00", None),
            ("24:00", None),
            ("14", None),
        ] {
            assert_eq!(clock_time(text), read, "{text}");
        }
    }
}

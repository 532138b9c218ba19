//! The plan as bars by person and day.

use crate::report::document::{Cell, Table};
use crate::report::picture::{Anchor, Picture, SHADES, shade};
use crate::report::plan_report::{PlanReport, day_text};
use std::collections::BTreeMap;

const WIDTH: f32 = 680.0;
const NAMES: f32 = 140.0;
const HIGH: f32 = 26.0;
const LETTER: f32 = 11.0;
/// Days in one picture: more of them leave no room for a figure.
const TOGETHER: usize = 14;
/// Room for a figure on its bar.
const FIGURE: f32 = 28.0;
/// Letters of a name that fit beside the bars.
const NAME_LETTERS: usize = 20;

/// A row a person, a column a day; a bar is as long as the part of the day
/// that is worked, with its hours in it. A day away is left open and ruled off.
#[must_use]
pub fn busy_by_day(report: &PlanReport<'_>) -> Vec<Picture> {
    let days = usize::try_from(report.made.plan.score.days).unwrap_or(0);
    let day = report.jobs.hours.day_minutes();
    let mut minutes: BTreeMap<(usize, usize), i64> = BTreeMap::new();
    for task in &report.made.plan.tasks {
        let mut from = task.start;
        while from < task.end {
            let index = from.div_euclid(day);
            let to = task.end.min((index + 1) * day);
            if report.jobs.is_here(task.worker, index)
                && let Ok(at) = usize::try_from(index)
            {
                *minutes.entry((task.worker, at)).or_default() += to - from;
            }
            from = to;
        }
    }
    let spans: Vec<(usize, usize)> = (0..days)
        .step_by(TOGETHER)
        .map(|from| (from, (from + TOGETHER).min(days)))
        .collect();
    spans
        .iter()
        .map(|(from, to)| picture(report, &minutes, *from, *to))
        .collect()
}

fn picture(
    report: &PlanReport<'_>,
    minutes: &BTreeMap<(usize, usize), i64>,
    from: usize,
    to: usize,
) -> Picture {
    let hours = &report.jobs.hours;
    let day = hours.day_minutes();
    let date = |at: usize| hours.date(i64::try_from(at).unwrap_or(0));
    let title = format!(
        "Hours of work by person and day, {} to {}",
        date(from),
        date(to - 1)
    );
    let mut table = Table::new(title.clone()).words("person", 0);
    for at in from..to {
        table = table.figures(&day_text(date(at)), 0);
    }
    let columns = u16::try_from(to - from).unwrap_or(1);
    let wide = (WIDTH - NAMES) / f32::from(columns.max(7));
    let mut picture = Picture {
        title,
        width: WIDTH,
        ..Picture::default()
    };
    for (column, at) in (0_u16..).zip(from..to) {
        let x = NAMES + f32::from(column) * wide + wide / 2.0;
        let text = day_text(date(at));
        let (weekday, rest) = text.split_once(' ').unwrap_or((&text, ""));
        picture.word((x, 12.0), Anchor::Middle, LETTER, weekday);
        picture.word(
            (x, 26.0),
            Anchor::Middle,
            LETTER,
            rest.get(5..).unwrap_or(rest),
        );
    }
    let mut worked = 0;
    for (row, (index, person)) in (0_u16..).zip(report.people.iter().enumerate()) {
        let y = 34.0 + f32::from(row) * (HIGH + 4.0);
        let name: String = person.name.chars().take(NAME_LETTERS).collect();
        picture.word((0.0, y + 17.0), Anchor::Start, LETTER + 1.0, name);
        let mut cells: Vec<Cell> = vec![person.name.as_str().into()];
        for (column, at) in (0_u16..).zip(from..to) {
            let x = NAMES + f32::from(column) * wide;
            let here = report.jobs.is_here(index, i64::try_from(at).unwrap_or(0));
            let done = minutes.get(&(index, at)).copied().unwrap_or(0);
            worked += done;
            if !here {
                picture.rule((x + 3.0, y + HIGH / 2.0), (x + wide - 5.0, y + HIGH / 2.0));
                cells.push("away".into());
                continue;
            }
            picture.bar((x, y), (wide - 2.0, HIGH), 0);
            let tone = shade(done.unsigned_abs(), day.unsigned_abs()).min(SHADES - 1);
            let long = (wide - 2.0) * done as f32 / day as f32;
            if done > 0 {
                picture.bar((x, y), (long, HIGH), tone);
            }
            let text = tenths(done);
            // On the bar where that is long enough, else behind it.
            let (at, on) = if long >= FIGURE {
                (x + 4.0, tone)
            } else {
                (x + long + 4.0, 0)
            };
            picture.word_on((at, y + 17.0), Anchor::Start, LETTER, on, text.clone());
            cells.push(text.into());
        }
        table.row(cells);
        picture.height = y + HIGH;
    }
    picture.alternative = format!(
        "A grid of {} people and {} days; {} hours of work in all.",
        report.people.len(),
        to - from,
        tenths(worked)
    );
    picture.table = table;
    picture
}

/// Hours to a tenth, half up.
fn tenths(minutes: i64) -> String {
    let tenths = (minutes + 3) / 6;
    format!("{}.{}", tenths / 10, tenths % 10)
}

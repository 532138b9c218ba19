//! The odds of the date: when all is done, which promises hold, how many cars
//! are finished when.

use super::{hail_text, sender_lines};
use crate::report::document::{Block, Document, Table};
use crate::report::forecast_report::{ForecastReport, day_and_date, percent};
use crate::report::forecast_words::{chance_said, forecast_notes, forecast_verdict, times};
use crate::report::picture::{Anchor, Picture};
use crate::report::plan_report::day_text;

/// What odds are and are not.
const ODDS_CAUTION: &str = "Odds are as good as the minutes, the log and the chances stated: they hold \
    for what was said here, and for nothing that was not. A promise to a payer or an owner is the lead's \
    own; hours, rest, overtime and pay are for local law and a licensed adviser.";

/// The page of a forecast.
#[must_use]
pub fn forecast_page(report: &ForecastReport<'_>) -> Document {
    let storm = report.plan.storm;
    let mut facts = vec![
        ("from", day_text(report.plan.jobs.hours.start())),
        ("hours", report.plan.jobs.hours.said()),
        ("people", report.plan.people.len().to_string()),
        ("cars", report.forecast.flow.cars.len().to_string()),
        ("gone through", times(report.done())),
    ];
    facts.extend(chance_said(report));
    let mut blocks = vec![Block::Facts(facts), Block::Text(forecast_verdict(report))];
    let mut table = Table::new("When all is done")
        .words("odds %", 0)
        .figures("working days", 0)
        .words("by the end of", 0);
    for (odds, day) in report.days() {
        if report.done() == 0 || report.forecast.flow.cars.is_empty() {
            continue;
        }
        let (days, date) = day_and_date(report, day);
        table.row(vec![odds.to_string().into(), days.into(), date.into()]);
    }
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    blocks.extend(forecast_notes(report).into_iter().map(Block::Text));
    promises(report, &mut blocks);
    fan(report, &mut blocks);
    busy(report, &mut blocks);
    blocks.push(Block::Caution {
        about: "the odds".to_owned(),
        text: ODDS_CAUTION.to_owned(),
    });
    Document {
        title: format!("{}: odds of the date{}", storm.name, hail_text(storm)),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

fn promises(report: &ForecastReport<'_>, blocks: &mut Vec<Block>) {
    let due = report.due();
    if due.is_empty() {
        return;
    }
    let mut table = Table::new("What is promised, and the odds that it holds")
        .words("promised for", 0)
        .figures("cars", 0)
        .figures("odds of all %", 0)
        .words("least sure", 1)
        .figures("its odds %", 1);
    for due in due {
        table.row(vec![
            day_text(due.day).into(),
            due.cars.to_string().into(),
            percent(due.all).into(),
            due.least.0.into(),
            percent(due.least.1).into(),
        ]);
    }
    blocks.push(Block::Table(table));
}

fn busy(report: &ForecastReport<'_>, blocks: &mut Vec<Block>) {
    let mut table = Table::new("How busy everyone is, on the mean")
        .words("person", 0)
        .figures("busy %", 0);
    for (person, busy) in report.plan.people.iter().zip(report.busy()) {
        let share = busy.map_or_else(String::new, |busy| format!("{:.0}", busy * 100.0));
        table.row(vec![person.name.as_str().into(), share.into()]);
    }
    blocks.push(Block::Table(table));
}

/// Days in one picture; of more only every second, third and so on.
const MOST_DAYS: usize = 24;
/// Rows of its table; of more only every second, third and so on.
const MOST_ROWS: usize = 60;
/// A column with room for a number behind its bar.
const ROOMY: f32 = 44.0;
const WIDTH: f32 = 680.0;
const LEFT: f32 = 44.0;
/// Room for the last number.
const RIGHT: f32 = 24.0;
const HIGH: f32 = 220.0;
const TOP: f32 = 18.0;
const LETTER: f32 = 10.0;

fn fan(report: &ForecastReport<'_>, blocks: &mut Vec<Block>) {
    let fan = report.forecast.replications.fan();
    let most = fan.last().map_or(0, |day| day.at_least[4]);
    if most == 0 {
        return;
    }
    let title = "Cars finished by the end of each working day".to_owned();
    let mut table = Table::new("At least so many cars finished by the end of the day, at odds of")
        .words("day", 0)
        .figures("95 %", 0)
        .figures("80 %", 0)
        .figures("50 %", 0)
        .figures("20 %", 1)
        .figures("5 %", 1);
    let mut picture = Picture {
        title,
        width: WIDTH,
        height: TOP + HIGH + 34.0,
        ..Picture::default()
    };
    let step = fan.len().div_ceil(MOST_DAYS);
    // The last day is always one of them.
    let shown: Vec<usize> = (0..fan.len())
        .filter(|at| (fan.len() - 1 - at).is_multiple_of(step))
        .collect();
    let columns = u16::try_from(shown.len().max(6)).unwrap_or(1);
    let wide = (WIDTH - LEFT - RIGHT) / f32::from(columns);
    let height = |cars: u32| HIGH * cars as f32 / most as f32;
    let bottom = TOP + HIGH;
    for quarter in 0_u16..=4 {
        let cars = most as f32 * f32::from(quarter) / 4.0;
        let y = bottom - HIGH * f32::from(quarter) / 4.0;
        picture.rule((LEFT, y), (WIDTH, y));
        picture.word(
            (LEFT - 6.0, y + 3.0),
            Anchor::End,
            LETTER,
            format!("{cars:.0}"),
        );
    }
    for (column, at) in (0_u16..).zip(&shown) {
        let of = fan[*at].at_least;
        let x = LEFT + f32::from(column) * wide;
        let bar = |picture: &mut Picture, low: u32, high: u32, inset: f32, shade: u8| {
            let (low, high) = (height(low), height(high));
            let tall = (high - low).max(1.0);
            picture.bar(
                (x + inset, bottom - high),
                (wide - 2.0 * inset, tall),
                shade,
            );
        };
        bar(&mut picture, of[0], of[4], wide * 0.25, 1);
        bar(&mut picture, of[1], of[3], wide * 0.25, 3);
        let y = bottom - height(of[2]);
        picture.rule((x + wide * 0.1, y), (x + wide * 0.9, y));
        // Behind its line where there is room, else above the bar.
        let (place, anchor) = if wide >= ROOMY {
            ((x + wide * 0.92, y - 3.0), Anchor::Start)
        } else {
            let top = bottom - height(of[4]);
            ((x + wide / 2.0, top - 5.0), Anchor::Middle)
        };
        picture.word(place, anchor, LETTER, of[2].to_string());
        let date = report
            .date(u32::try_from(*at + 1).unwrap_or(u32::MAX))
            .to_string();
        let middle = x + wide / 2.0;
        picture.word(
            (middle, bottom + 14.0),
            Anchor::Middle,
            LETTER,
            (at + 1).to_string(),
        );
        if wide >= 34.0 || column % 3 == 0 {
            let short = date.get(5..).unwrap_or(&date);
            picture.word((middle, bottom + 28.0), Anchor::Middle, LETTER, short);
        }
    }
    let mut before = None;
    for (at, day) in fan.iter().enumerate() {
        // Days on which nothing changes say nothing; the table of values has all.
        if before == Some(day) && at + 1 < fan.len() {
            continue;
        }
        before = Some(day);
        let date = report.date(u32::try_from(at + 1).unwrap_or(u32::MAX));
        let mut row = vec![day_text(date).into()];
        row.extend(day.at_least.iter().map(|cars| cars.to_string().into()));
        table.row(row);
    }
    if table.rows.len() > MOST_ROWS {
        let (all, step) = (table.rows.len(), table.rows.len().div_ceil(MOST_ROWS));
        let mut at = 0;
        table.rows.retain(|_| {
            at += 1;
            (all - at).is_multiple_of(step)
        });
    }
    picture.alternative = format!(
        "For each of {} working days a bar from what 95 of 100 replications reach to what 5 do, a darker \
         one from 80 to 20, and a line with its number at 50; up to {most} cars.",
        fan.len()
    );
    blocks.push(Block::Picture(picture));
    blocks.push(Block::Table(table));
}

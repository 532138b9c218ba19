//! Crews of other sizes: how long each takes and what it costs.

use super::{hail_text, sender_lines};
use crate::planning::forecast::CrewOdds;
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::forecast_report::percent;
use crate::report::forecast_words::times;
use crate::report::picture::{Anchor, Picture};
use crate::report::plan_report::day_text;
use crate::report::staff_report::{StaffReport, TRADES};

/// What a comparison of crews is and is not.
const STAFF_CAUTION: &str = "An estimate for deciding whom to ask, and no offer of work or of pay. Who may \
    work where and for how long, guarantees, lodging and overtime are for local law and a licensed adviser.";

/// The page of the crews.
#[must_use]
pub fn staff_page(report: &StaffReport<'_>) -> Document {
    let storm = report.plan.storm;
    let mut facts = vec![
        ("from", day_text(report.plan.jobs.hours.start())),
        ("people", report.plan.people.len().to_string()),
        (
            "each crew",
            format!("gone through {}", times(report.question.times)),
        ),
    ];
    if let Some(by) = report.by {
        facts.push((
            "by",
            format!("{} at {} %", day_text(by), report.question.odds),
        ));
    }
    let mut blocks = vec![Block::Facts(facts)];
    blocks.extend(report.verdict().into_iter().map(Block::Text));
    for (trade, crews) in report.staff.by_trade.iter().enumerate() {
        if report.staff.now.size[trade] == 0 && crews.iter().all(|crew| crew.busy[trade] == 0.0) {
            continue;
        }
        blocks.push(Block::Table(table(report, trade, crews)));
        blocks.extend(picture(report, trade, crews).map(Block::Picture));
    }
    blocks.extend(report.notes().into_iter().map(Block::Text));
    blocks.push(Block::Caution {
        about: "crews".to_owned(),
        text: STAFF_CAUTION.to_owned(),
    });
    Document {
        title: format!("{}: the crew to bring{}", storm.name, hail_text(storm)),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

fn table(report: &StaffReport<'_>, trade: usize, crews: &[CrewOdds]) -> Table {
    let currency = report.plan.storm.currency.code();
    let odds = report.by.map_or(String::new(), |by| {
        format!(", and the odds of being done by {}", day_text(by))
    });
    let mut table = Table::new(format!("People for {}{odds}", TRADES[trade]))
        .words("people", 0)
        .figures("working days", 1)
        .words(&format!("done at {} % by", report.question.odds), 0)
        .figures("odds %", 0)
        .figures(&format!("cost {currency}"), 0)
        .figures("busy %", 2);
    for crew in crews {
        let count = crew.size[trade];
        let now = if count == report.staff.now.size[trade] {
            ", now"
        } else {
            ""
        };
        let (days, date) = match report.day(crew) {
            Some((day, date)) => (day.to_string(), day_text(date)),
            None => ("not done".to_owned(), String::new()),
        };
        let odds = report.by.map_or_else(String::new, |_| percent(crew.odds));
        table.row(vec![
            format!("{count}{now}").into(),
            days.into(),
            date.into(),
            odds.into(),
            if report.question.has_costs {
                report.cost(crew).into()
            } else {
                Cell::default()
            },
            format!("{:.0}", crew.busy[trade] * 100.0).into(),
        ]);
    }
    table.without_empty_columns()
}

const WIDTH: f32 = 680.0;
const LEFT: f32 = 90.0;
const HIGH: f32 = 18.0;
const LETTER: f32 = 11.0;
/// Room for a cost behind the days, and for its figure.
const COSTS: f32 = 250.0;

/// Days on the left, the cost on the right, a row for every size of the crew.
fn picture(report: &StaffReport<'_>, trade: usize, crews: &[CrewOdds]) -> Option<Picture> {
    let days = |crew: &CrewOdds| report.day(crew).map(|(day, _)| day);
    let most_days = crews.iter().filter_map(days).max()?;
    let most_cost = crews.iter().map(|crew| crew.cost).fold(0.0, f64::max);
    let currency = report.plan.storm.currency.code();
    let costs = if report.question.has_costs {
        format!(", and cost in any case in {currency}")
    } else {
        String::new()
    };
    let mut picture = Picture {
        title: format!(
            "People for {}: working days at {} %{costs}",
            TRADES[trade], report.question.odds
        ),
        width: WIDTH,
        ..Picture::default()
    };
    let room = WIDTH - LEFT - COSTS - 40.0;
    let right = WIDTH - COSTS;
    for (row, crew) in (0_u16..).zip(crews) {
        let y = f32::from(row) * (HIGH + 5.0);
        let now = crew.size[trade] == report.staff.now.size[trade];
        let text = if now { ", now" } else { "" };
        let name = format!("{}{text}", crew.size[trade]);
        picture.word((LEFT - 8.0, y + 13.0), Anchor::End, LETTER, name);
        let shade = if now { 4 } else { 2 };
        let long = days(crew).map_or(0.0, |day| room * day as f32 / most_days as f32);
        if long > 0.0 {
            picture.bar((LEFT, y), (long, HIGH), shade);
        }
        let said = days(crew).map_or_else(|| "not done".to_owned(), |day| day.to_string());
        picture.word((LEFT + long + 5.0, y + 13.0), Anchor::Start, LETTER, said);
        if most_cost > 0.0 && report.question.has_costs {
            let long = (COSTS - 70.0) * (crew.cost / most_cost) as f32;
            picture.bar((right, y), (long.max(0.5), HIGH), if now { 3 } else { 1 });
            let at = (right + long + 5.0, y + 13.0);
            picture.word(at, Anchor::Start, LETTER, report.cost(crew));
        }
        picture.height = y + HIGH;
    }
    picture.alternative = format!(
        "A row for each number of people for {}: a bar of the working days, up to {most_days}, and one of the cost where it is known.",
        TRADES[trade]
    );
    Some(picture)
}

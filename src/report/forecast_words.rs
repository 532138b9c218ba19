//! What the odds of a date come to, in sentences, as a table and as JSON.

use super::forecast_report::{ForecastReport, percent};
use super::grid::{Grid, Kind, Value, columns};
use super::plain::wrap_into;
use super::plan_report::day_text;
use super::terminal::Width;
use crate::planning::forecast::{FAN, NoForecast};
use serde_json::json;

/// When all is done, in a sentence.
#[must_use]
pub fn forecast_verdict(report: &ForecastReport<'_>) -> String {
    let said: Vec<String> = report
        .days()
        .iter()
        .filter_map(|(odds, day)| {
            let day = (*day)?;
            Some(format!(
                "{odds} % by {} (day {day})",
                day_text(report.date(day))
            ))
        })
        .collect();
    if said.is_empty() {
        return "The crew can't finish the lot: nobody is left before it is done.".to_owned();
    }
    format!("Odds that the last car is finished: {}.", said.join(", "))
}

/// The odds in a few lines, under a storm's summary.
#[must_use]
pub fn forecast_summary(report: &ForecastReport<'_>, width: Width) -> String {
    let mut text = String::new();
    let said = format!(
        "{} `hailyard forecast` shows what they hang on.",
        forecast_verdict(report)
    );
    wrap_into(&mut text, &said, width, "  ");
    text
}

/// Why there is no forecast.
#[must_use]
pub fn no_forecast(why: NoForecast) -> String {
    match why {
        NoForecast::NoPlan => "No odds: there is no plan to go by.".to_owned(),
        NoForecast::TooMany { people } => format!(
            "No odds: {people} people, and at most {} can be dealt work.",
            crate::planning::forecast::MOST_PEOPLE
        ),
    }
}

/// What must be said beside the odds.
#[must_use]
pub fn forecast_notes(report: &ForecastReport<'_>) -> Vec<String> {
    let forecast = report.forecast;
    let mut said = Vec::new();
    if report.is_interrupted() {
        said.push(format!(
            "Interrupted: {} of {} replications were done, and these odds are of them.",
            report.done(),
            forecast.asked
        ));
    }
    for of in &forecast.stand_ins {
        let cars = cars_of(of.cars);
        let from = cars_of(of.from);
        said.push(match (report.stratum(of), of.of_whole_lot) {
            (Some(name), true) => format!(
                "{cars} of {name} not counted, and none of it is: each has the work of any of the {from} counted in the whole lot."
            ),
            (Some(name), false) => format!(
                "{cars} of {name} not counted: each has the work of any of its {from} counted so far."
            ),
            (None, _) => format!("{cars} not counted: each has the work of any of the {from} counted so far."),
        });
    }
    if forecast.unknown > 0 {
        said.push(format!(
            "{} not counted, and none is that they could be like: they are not in it.",
            cars_of(forecast.unknown)
        ));
    }
    match report.without_chance() {
        (Some(dealt), planned) if dealt == planned => said.push(format!(
            "Without any chance the counted cars take {dealt} working days, as planned."
        )),
        (Some(dealt), planned) => said.push(format!(
            "Without any chance the counted cars take {dealt} working days and by the plan {planned}: \
             the plan chooses who does what, here whoever is free takes the next car."
        )),
        (None, planned) => said.push(format!(
            "Without any chance not all is done, and by the plan it is in {planned} working days: the plan \
             chooses who does what, here whoever is free takes the next car."
        )),
    }
    let not_done = report.not_done();
    if not_done > 0.0 {
        said.push(format!(
            "Replications in which the crew has left before all is done: {} %. They are later than any day.",
            percent(not_done)
        ));
    }
    said
}

/// What chance there is, one source a line: what it is, and how much.
#[must_use]
pub fn chance_said(report: &ForecastReport<'_>) -> Vec<(&'static str, String)> {
    let terms = &report.forecast.terms;
    let learned = report.plan.jobs.paces.learned.as_ref();
    let mut said = Vec::new();
    let from = match learned {
        Some(learned) => format!("by {} logged tasks", learned.tasks),
        None => "stated".to_owned(),
    };
    if terms.standard > 0.0 {
        said.push((
            "standard",
            format!("the whole of it ± {:.1} %, {from}", terms.standard * 100.0),
        ));
    }
    if terms.others.own > 0.0 {
        said.push((
            "people",
            format!(
                "one from the next ± {:.1} %, {from}",
                terms.others.own * 100.0
            ),
        ));
    }
    if terms.task > 0.0 {
        said.push((
            "tasks",
            format!("each ± {:.1} %, {from}", terms.task * 100.0),
        ));
    }
    let odds = |odds: f64| format!("{} %", odds * 100.0);
    if terms.weather > 0.0 {
        said.push(("weather", format!("closes {} of days", odds(terms.weather))));
    }
    if terms.absent > 0.0 {
        said.push((
            "absent",
            format!("{} of everybody's days", odds(terms.absent)),
        ));
    }
    if terms.growth > 0.0 && terms.growth_mean > 0.0 {
        said.push((
            "growth",
            format!(
                "{} of stripped cars, by {} % of their dent minutes on the mean",
                odds(terms.growth),
                terms.growth_mean * 100.0
            ),
        ));
    }
    if terms.late > 0.0 {
        said.push((
            "late parts",
            format!(
                "{} of cars that wait for some, by {} working days on the mean",
                odds(terms.late),
                terms.late_days
            ),
        ));
    }
    if said.is_empty() {
        said.push(("chance", "none".to_owned()));
    }
    said
}

/// `1 car`, `2 cars`.
fn cars_of(cars: usize) -> String {
    match cars {
        1 => "1 car".to_owned(),
        cars => format!("{cars} cars"),
    }
}

/// `forecast.csv`: cars finished by the end of each working day.
#[must_use]
pub fn forecast_grid<'a>(report: &ForecastReport<'_>) -> Grid<'a> {
    let rows = report.forecast.replications.fan().into_iter().zip(1_u32..);
    let rows = rows.map(|(fan, day)| {
        let mut row = vec![
            Value::count(Some(u64::from(day))),
            Value::text(report.date(day).to_string()),
        ];
        row.extend(fan.at_least.map(|cars| Value::count(Some(u64::from(cars)))));
        row
    });
    Grid {
        columns: columns(&[
            ("day", Kind::Count),
            ("date", Kind::Text),
            ("cars_95", Kind::Count),
            ("cars_80", Kind::Count),
            ("cars_50", Kind::Count),
            ("cars_20", Kind::Count),
            ("cars_5", Kind::Count),
        ]),
        rows: rows.collect(),
    }
}

/// The odds among a storm's sums.
#[must_use]
pub fn forecast_sums_json(report: &ForecastReport<'_>) -> serde_json::Value {
    let days = report.days();
    json!({
        "replications": report.done(),
        "interrupted": report.is_interrupted(),
        "not_done": report.not_done(),
        "days": days.iter().map(|(odds, day)| json!({
            "odds": odds,
            "days": day,
            "date": day.map(|day| report.date(day).to_string()),
        })).collect::<Vec<_>>(),
    })
}

/// The odds as JSON.
#[must_use]
pub fn forecast_json(report: &ForecastReport<'_>) -> serde_json::Value {
    let forecast = report.forecast;
    let days: Vec<serde_json::Value> = report
        .days()
        .iter()
        .map(|(odds, day)| {
            json!({
                "odds": odds,
                "days": day,
                "date": day.map(|day| report.date(day).to_string()),
                "minutes": forecast.minute(*odds),
            })
        })
        .collect();
    let fan: Vec<serde_json::Value> = forecast
        .replications
        .fan()
        .iter()
        .zip(1_u32..)
        .map(|(fan, day)| {
            let mut row = json!({"day": day, "date": report.date(day).to_string()});
            for (odds, cars) in FAN.iter().zip(fan.at_least) {
                row[format!("cars_{odds}")] = json!(cars);
            }
            row
        })
        .collect();
    let due: Vec<serde_json::Value> = report
        .due()
        .iter()
        .map(|due| {
            json!({
                "due": due.day.to_string(),
                "cars": due.cars,
                "odds_of_all": due.all,
                "least": {"stock": due.least.0, "odds": due.least.1},
            })
        })
        .collect();
    let busy: Vec<serde_json::Value> = report
        .plan
        .people
        .iter()
        .zip(report.busy())
        .map(|(person, busy)| json!({"person": person.name, "busy": busy}))
        .collect();
    let stand_ins: Vec<serde_json::Value> = forecast
        .stand_ins
        .iter()
        .map(|of| {
            json!({
                "stratum": report.stratum(of),
                "cars": of.cars,
                "drawn_from": of.from,
                "of_whole_lot": of.of_whole_lot,
            })
        })
        .collect();
    let (dealt, planned) = report.without_chance();
    let chance: serde_json::Map<String, serde_json::Value> = chance_said(report)
        .into_iter()
        .map(|(what, said)| (what.to_owned(), json!(said)))
        .collect();
    json!({
        "format": 1,
        "storm": report.plan.storm.name,
        "from": report.plan.jobs.hours.start().to_string(),
        "replications": report.done(),
        "asked": forecast.asked,
        "interrupted": report.is_interrupted(),
        "days": days,
        "not_done": report.not_done(),
        "without_chance": dealt,
        "planned": planned,
        "due": due,
        "fan": fan,
        "busy": busy,
        "uncounted": stand_ins,
        "uncounted_unknown": forecast.unknown,
        "chance": chance,
        "ends": forecast.replications.ends.iter().map(|end| end.is_finite().then_some(*end)).collect::<Vec<_>>(),
    })
}

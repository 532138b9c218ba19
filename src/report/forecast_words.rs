//! What the odds of a date come to, in sentences, as a table and as JSON.

use super::forecast_report::{ForecastReport, percent};
use super::grid::{Grid, Kind, Value, columns};
use super::plain::wrap_into;
use super::plan_report::{PlanReport, day_text};
use super::plan_tables::plan_sums_json;
use super::terminal::Width;
use crate::planning::forecast::{FAN, LAST_DAY, LotCar, NoForecast, StandIn};
use serde_json::json;

/// When all is done, in a sentence.
#[must_use]
pub fn forecast_verdict(report: &ForecastReport<'_>) -> String {
    let forecast = report.forecast;
    if forecast.flow.cars.is_empty() {
        return match forecast.unknown {
            0 => "Nothing is left to do.".to_owned(),
            cars => format!(
                "No odds: {} not counted, and none is that they could be like.",
                cars_of(cars)
            ),
        };
    }
    if report.done() == 0 {
        return "Interrupted before the first replication: no odds.".to_owned();
    }
    let said: Vec<String> = report
        .days()
        .iter()
        .map(|(odds, day)| match day {
            Some(day) => format!("{odds} % by {} (day {day})", day_text(report.date(*day))),
            None => format!("{odds} % at no time"),
        })
        .collect();
    let of = match forecast.unknown {
        0 => String::new(),
        cars => format!(
            " of those that could be reckoned, without {},",
            cars_of(cars)
        ),
    };
    format!(
        "Odds that the last car{of} is finished: {}.",
        said.join(", ")
    )
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

/// That there are no odds, as JSON.
#[must_use]
pub fn no_forecast_json(why: NoForecast, plan: &PlanReport<'_>) -> serde_json::Value {
    json!({
        "format": 1,
        "storm": plan.storm.name,
        "possible": false,
        "why_not": no_forecast(why),
        "plan": plan_sums_json(plan),
    })
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
    let stratum = |of: &StandIn| report.stratum(of);
    said.extend(uncounted_notes(
        &forecast.stand_ins,
        forecast.unknown,
        stratum,
    ));
    if report.done() > 0 && report.done() < FEW {
        said.push(format!(
            "Gone through {}: too few times for odds that a promise could rest on.",
            times(report.done())
        ));
    }
    let days = |days: u32| match days {
        1 => "1 working day".to_owned(),
        days => format!("{days} working days"),
    };
    match report.without_chance() {
        _ if forecast.flow.cars.is_empty() => {}
        (Some(dealt), planned) if dealt == planned => said.push(format!(
            "Without any chance the counted cars take {}, as planned.",
            days(dealt)
        )),
        (dealt, planned) => said.push(format!(
            "Without any chance the counted cars {}, and by the plan {}: the plan chooses who does what, here \
             whoever is free takes the next car.",
            dealt.map_or("are not all finished".to_owned(), |dealt| format!("take {}", days(dealt))),
            days(planned)
        )),
    }
    if !forecast.broken.is_empty() {
        let stocks: Vec<String> = forecast
            .broken
            .iter()
            .map(|job| report.car(LotCar::Counted(*job)))
            .collect();
        said.push(format!(
            "Promised, kept by the plan, and late here even without any chance: {}. Who follows the plan keeps them \
             more often than these odds say.",
            stocks.join(", ")
        ));
    }
    let not_done = report.not_done();
    if not_done > 0.0 {
        said.push(format!(
            "Replications in which not all is ever finished, since whoever could has left or it would take more \
             than {LAST_DAY} working days: {} %. They are later than any day.",
            percent(not_done)
        ));
    }
    said
}

/// Fewer replications than these are no odds.
const FEW: usize = 100;
/// Fewer counted cars than these say little of others.
const SMALL: usize = 5;

/// What stands for cars that nobody has counted.
#[must_use]
pub fn uncounted_notes<'a>(
    stand_ins: &[StandIn],
    unknown: usize,
    stratum: impl Fn(&StandIn) -> Option<&'a str>,
) -> Vec<String> {
    let mut said = Vec::new();
    for of in stand_ins {
        let cars = cars_of(of.cars);
        let name = stratum(of).map_or(String::new(), |name| format!(" of {name}"));
        let from = match of.from {
            1 => "of the one car counted".to_owned(),
            from => format!("of any of the {from} counted"),
        };
        let where_from = if of.of_whole_lot && !name.is_empty() {
            " in the whole lot, since none of these is"
        } else if name.is_empty() {
            " so far"
        } else {
            " of them so far"
        };
        let mut text = format!("{cars}{name} not counted: each has the work {from}{where_from}.");
        if of.from < SMALL {
            text.push_str(
                " So few say little of the others, and how little is not in the odds: count more.",
            );
        }
        said.push(text);
    }
    if unknown > 0 {
        said.push(format!(
            "{} not counted, and none is that they could be like: they are not in it.",
            cars_of(unknown)
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
            "time standard",
            format!("all of it ± {:.1} %, {from}", terms.standard * 100.0),
        ));
    }
    if terms.others.own > 0.0 {
        said.push((
            "paces",
            format!(
                "one person from the next ± {:.1} %, {from}",
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
    let odds = |odds: f64| format!("{} %", plain(odds * 100.0));
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
                plain(terms.growth_mean * 100.0)
            ),
        ));
    }
    if terms.late > 0.0 {
        said.push((
            "late parts",
            format!(
                "{} of cars that wait for some, by {} working days on the mean",
                odds(terms.late),
                plain(terms.late_days)
            ),
        ));
    }
    if said.is_empty() {
        said.push(("chance", "none".to_owned()));
    }
    said
}

/// A figure of storm.toml as it stands there.
fn plain(figure: f64) -> String {
    // Six decimals are more than any has, and a float's last digits none of it.
    let text = format!("{figure:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `once`, `2 times`.
#[must_use]
pub fn times(times: usize) -> String {
    match times {
        1 => "once".to_owned(),
        times => format!("{times} times"),
    }
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
        "possible": true,
        "from": report.plan.jobs.hours.start().to_string(),
        "replications": report.done(),
        "asked": forecast.asked,
        "interrupted": report.is_interrupted(),
        "days": days,
        "not_done": report.not_done(),
        "without_chance": dealt,
        "planned": planned,
        "late_without_chance": forecast.broken.iter().map(|job| report.car(LotCar::Counted(*job))).collect::<Vec<_>>(),
        "due": due,
        "fan": fan,
        "busy": busy,
        "uncounted": stand_ins,
        "uncounted_unknown": forecast.unknown,
        "chance": chance,
        "ends": forecast.replications.ends.iter().map(|end| end.is_finite().then_some(*end)).collect::<Vec<_>>(),
    })
}

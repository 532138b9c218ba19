//! A bare problem as JSON, without calendars, and a plan of it: for anyone who
//! wants to set this planner beside another.

use super::problem::{Minute, PlanCar, PlanProblem, Trades, Work, Worker};
use rust_decimal::Decimal;
use serde::Deserialize;
use std::collections::HashSet;

/// Bounds of a file that nobody has checked.
const MOST_CARS: usize = 100_000;
const MOST_PEOPLE: usize = 2_000;
const MOST_PANELS: usize = 200;
const MOST_MINUTES: Minute = 10_000_000;
/// Tasks times people: everyone's time for every task is kept.
const MOST_PAIRS: usize = 10_000_000;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawInstance {
    hands_per_car: usize,
    bays: Option<usize>,
    people: Vec<RawPerson>,
    cars: Vec<RawCar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawPerson {
    name: String,
    trades: Vec<String>,
    speed: serde_json::Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCar {
    stock: String,
    arrives: Minute,
    strip: Minute,
    panels: Vec<Minute>,
    fit: Minute,
    fit_not_before: Minute,
    finish: Minute,
    // Part of the format, and of no weight in a bare problem.
    #[serde(rename = "due")]
    _due: Option<Minute>,
}

/// Reads a problem.
///
/// # Errors
/// Says what is wrong with it.
pub fn read_instance(text: &str) -> Result<PlanProblem, String> {
    let raw: RawInstance = serde_json::from_str(text).map_err(|error| error.to_string())?;
    for (what, found, most) in [
        ("cars", raw.cars.len(), MOST_CARS),
        ("people", raw.people.len(), MOST_PEOPLE),
    ] {
        if found > most {
            return Err(format!("{found} {what}; expected at most {most}"));
        }
    }
    let tasks: usize = raw.cars.iter().map(|car| car.panels.len() + 3).sum();
    if tasks.saturating_mul(raw.people.len()) > MOST_PAIRS {
        return Err(format!(
            "{tasks} tasks for {} people; expected at most {MOST_PAIRS} of the one times the other",
            raw.people.len()
        ));
    }
    if raw.hands_per_car == 0 {
        return Err("hands_per_car: found 0; expected at least 1".to_owned());
    }
    let workers = raw
        .people
        .into_iter()
        .map(worker)
        .collect::<Result<Vec<Worker>, String>>()?;
    let mut seen = HashSet::new();
    let cars = raw
        .cars
        .into_iter()
        .map(|car| {
            if !seen.insert(car.stock.clone()) {
                return Err(format!("car {}: expected a stock once", car.stock));
            }
            plan_car(car)
        })
        .collect::<Result<Vec<PlanCar>, String>>()?;
    Ok(PlanProblem {
        day: None,
        workers,
        cars,
        bays: raw.bays,
        release: false,
        hands: raw.hands_per_car,
    })
}

fn worker(raw: RawPerson) -> Result<Worker, String> {
    let mut trades = Trades::default();
    for trade in &raw.trades {
        trades = trades.and(match trade.as_str() {
            "dents" => Trades::DENTS,
            "strip" => Trades::STRIP,
            "finish" => Trades::FINISH,
            other => {
                return Err(format!(
                    "{}: found the trade `{other}`; expected dents, strip or finish",
                    raw.name
                ));
            }
        });
    }
    let speed = raw.speed.to_string();
    let speed = speed
        .parse::<Decimal>()
        .ok()
        .filter(|speed| *speed > Decimal::ZERO && *speed <= Decimal::from(100))
        .filter(|speed| speed.normalize().scale() <= 6)
        .ok_or_else(|| {
            format!(
                "{}: found the speed {speed}; expected a plain decimal above 0",
                raw.name
            )
        })?;
    Ok(Worker {
        name: raw.name,
        trades,
        speed,
        days: None,
    })
}

fn plan_car(raw: RawCar) -> Result<PlanCar, String> {
    let all = [
        raw.arrives,
        raw.strip,
        raw.fit,
        raw.fit_not_before,
        raw.finish,
    ];
    let sound = |minutes: &Minute| (0..=MOST_MINUTES).contains(minutes);
    if let Some(bad) = all
        .iter()
        .chain(&raw.panels)
        .find(|minutes| !sound(minutes))
    {
        return Err(format!(
            "car {}: found {bad}; expected whole minutes from 0 to {MOST_MINUTES}",
            raw.stock
        ));
    }
    if raw.panels.len() > MOST_PANELS {
        return Err(format!(
            "car {}: expected at most {MOST_PANELS} panels",
            raw.stock
        ));
    }
    let work = |minutes: Minute| Work {
        minutes: Decimal::from(minutes),
        only: None,
    };
    Ok(PlanCar {
        stock: raw.stock,
        arrives: raw.arrives,
        strip: work(raw.strip),
        panels: raw.panels.into_iter().map(work).collect(),
        fit: work(raw.fit),
        fit_not_before: raw.fit_not_before,
        finish: work(raw.finish),
        in_bay: false,
        due: None,
        weight: 1,
    })
}

//! The odds of the date.

mod calibration;
mod cases;
mod command;
mod draws;
mod identity;
mod seen;
mod staff;
mod stretches;
mod sums;
mod yardstick;

use hailyard::planning::forecast::{
    CarChance, ChanceTerms, DayChance, DealOrder, Drawn, Flow, PaceChance, Run, Stretch,
};
use hailyard::planning::{Day, PlanCar, PlanProblem, Trades, Work, Worker};
use rust_decimal::Decimal;
use serde_json::Value;
use std::collections::HashSet;
use std::path::PathBuf;

fn text(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/forecast")
        .join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn json(name: &str) -> Value {
    serde_json::from_str(&text(name)).expect("JSON")
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|one| one.as_f64().expect("a number"))
        .collect()
}

fn exact(value: &Value) -> Decimal {
    value.to_string().parse().expect("a number")
}

fn work(value: &Value) -> Work {
    Work {
        minutes: exact(value),
        only: None,
    }
}

/// A problem as the independent simulator writes one.
fn problem(instance: &Value) -> PlanProblem {
    let list = |key: &str| instance[key].as_array().expect("a list").clone();
    let whole = |value: &Value| value.as_f64().map(|number| number as i64);
    let trade = |word: &Value| match word.as_str() {
        Some("dents") => Trades::DENTS,
        Some("strip") => Trades::STRIP,
        _ => Trades::FINISH,
    };
    PlanProblem {
        day: whole(&instance["day"]),
        workers: list("people")
            .iter()
            .map(|person| Worker {
                name: person["name"].as_str().unwrap_or("").to_owned(),
                trades: person["trades"]
                    .as_array()
                    .expect("trades")
                    .iter()
                    .fold(Trades::default(), |all, word| all.and(trade(word))),
                speed: exact(&person["speed"]),
                days: person["days"].as_array().map(|days| {
                    let days = days.iter().map(|day| day.as_i64().expect("a day"));
                    days.collect::<Vec<Day>>()
                }),
            })
            .collect(),
        cars: list("cars")
            .iter()
            .map(|car| PlanCar {
                stock: car["stock"].as_str().unwrap_or("").to_owned(),
                arrives: whole(&car["arrives"]).unwrap_or(0),
                strip: work(&car["strip"]),
                panels: car["panels"]
                    .as_array()
                    .expect("panels")
                    .iter()
                    .map(work)
                    .collect(),
                fit: work(&car["fit"]),
                fit_not_before: whole(&car["fit_not_before"]).unwrap_or(0),
                finish: work(&car["finish"]),
                ..PlanCar::default()
            })
            .collect(),
        bays: instance["bays"].as_u64().map(|bays| bays as usize),
        release: instance["release"].as_bool().unwrap_or(false),
        hands: instance["hands"]
            .as_u64()
            .or(instance["hands_per_car"].as_u64())
            .expect("hands") as usize,
    }
}

/// Cars and panels as they are listed.
fn as_listed(problem: &PlanProblem) -> DealOrder {
    DealOrder {
        cars: (0..problem.cars.len()).collect(),
        panels: problem
            .cars
            .iter()
            .map(|car| (0..car.panels.len()).collect())
            .collect(),
        prefers: vec![[0, 1, 2]; problem.workers.len()],
    }
}

/// A lot of lots.json, with the chance that truth.py drew its storms from.
struct Lot {
    problem: PlanProblem,
    flow: Flow,
    terms: ChanceTerms,
}

/// All 40; without a log, so that everybody moves with the standard.
fn lots() -> Vec<Lot> {
    let lots = json("lots.json");
    let lots = lots.as_array().expect("lots").iter();
    lots.map(|value| {
        let problem = problem(value);
        let of = |key: &str| value["chance"][key].as_f64().expect("a number");
        Lot {
            flow: Flow::of(&problem, &as_listed(&problem)),
            problem,
            terms: ChanceTerms {
                log: None,
                standard: of("standard_error"),
                people: Vec::new(),
                others: PaceChance {
                    with_standard: 1.0,
                    own: 0.0,
                },
                task: of("spread"),
                weather: of("weather"),
                absent: of("absent"),
                growth: of("growth"),
                growth_mean: of("growth_mean"),
                growth_shape: of("growth_shape"),
                late: of("parts_late"),
                late_days: of("parts_late_days"),
            },
        }
    })
    .collect()
}

/// Chance that says what it is told.
#[derive(Debug, Clone, Default)]
struct Told {
    /// By car: strip, every panel with minutes, fit, finish.
    factors: Vec<Vec<f64>>,
    growth: Vec<f64>,
    late: Vec<f64>,
    closed: HashSet<Day>,
    absent: HashSet<(u64, Day)>,
}

struct ToldCar<'a> {
    factors: std::slice::Iter<'a, f64>,
    growth: f64,
    late: f64,
}

impl Told {
    fn car(&self, car: usize) -> ToldCar<'_> {
        ToldCar {
            factors: self.factors[car].iter(),
            growth: self.growth.get(car).copied().unwrap_or(1.0),
            late: self.late.get(car).copied().unwrap_or(0.0),
        }
    }
}

impl CarChance for ToldCar<'_> {
    fn late(&mut self) -> f64 {
        self.late
    }
    fn which(&mut self, _: usize) -> usize {
        0
    }
    fn growth(&mut self) -> f64 {
        self.growth
    }
    fn factor(&mut self) -> f64 {
        *self.factors.next().expect("a factor for every task")
    }
}

impl DayChance for Told {
    fn is_closed(&mut self, day: Day) -> bool {
        self.closed.contains(&day)
    }
    fn is_absent(&mut self, person: u64, day: Day) -> bool {
        self.absent.contains(&(person, day))
    }
}

/// What came of one replication: the last finish, every car's, every stretch.
struct Came {
    end: Option<f64>,
    car_ends: Vec<f64>,
    stretches: Vec<Stretch>,
}

/// One replication under told chance; paces by worker.
fn replicate(flow: &Flow, told: &Told, paces: &[f64]) -> Came {
    let mut run = Run::of(flow);
    let people = flow.people.iter();
    let mut drawn = Drawn {
        pace: people
            .map(|person| paces[person.worker] / person.speed)
            .collect(),
        ..Drawn::default()
    };
    drawn.draw(flow, |rank| told.car(flow.cars[rank].car));
    let mut stretches = Vec::new();
    let end = run.go(&mut drawn, &mut told.clone(), &mut |one| {
        stretches.push(one)
    });
    Came {
        end,
        car_ends: run.ends.clone(),
        stretches,
    }
}

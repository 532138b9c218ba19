//! Explicit draws, and when an independent simulator (truth.py) says that every
//! car is finished: sixteen cases worked on paper there, sixteen large ones.

use super::{Told, as_listed, json, numbers, problem, replicate};
use hailyard::planning::forecast::Flow;
use serde_json::Value;

#[test]
fn every_case_ends_as_the_other_simulator_says() {
    let cases = json("cases.json");
    let cases = cases.as_array().expect("cases");
    assert_eq!(cases.len(), 32);
    for case in cases {
        let what = case["what"].as_str().expect("a name");
        let problem = problem(&case["instance"]);
        let flow = Flow::of(&problem, &as_listed(&problem));
        let draws = &case["draws"];
        let pairs = draws["absent"].as_array().expect("pairs");
        let factors = draws["factors"].as_array().expect("cars");
        let told = Told {
            factors: factors
                .iter()
                .zip(&problem.cars)
                .map(|(of_car, car)| {
                    // Of panels without minutes there is no task to ask for.
                    let all = numbers(of_car);
                    let is_work = |at: &usize| {
                        *at == 0 || *at > car.panels.len() || !car.panels[at - 1].minutes.is_zero()
                    };
                    (0..all.len()).filter(is_work).map(|at| all[at]).collect()
                })
                .collect(),
            growth: numbers(&draws["growth"]),
            late: numbers(&draws["parts_late"]),
            closed: numbers(&draws["closed_days"])
                .iter()
                .map(|day| *day as i64)
                .collect(),
            absent: pairs
                .iter()
                .map(|pair| {
                    let pair = numbers(pair);
                    (pair[0] as u64, pair[1] as i64)
                })
                .collect(),
        };
        let came = replicate(&flow, &told, &numbers(&draws["pace"]));
        same(came.end, &case["end"], what);
        let ends = case["car_ends"].as_array().expect("cars");
        for (rank, car) in flow.cars.iter().enumerate() {
            let end = Some(came.car_ends[rank]).filter(|end| end.is_finite());
            same(end, &ends[car.car], &format!("{what}, car {}", car.car));
        }
    }
}

/// The file has six decimals.
fn same(end: Option<f64>, said: &Value, what: &str) {
    match (end, said.as_f64()) {
        (None, None) => {}
        (Some(end), Some(said)) if (end - said).abs() < 2e-6 => {}
        (end, said) => panic!("{what}: {end:?}, and the other simulator {said:?}"),
    }
}

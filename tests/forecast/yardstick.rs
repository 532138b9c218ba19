//! 300 cars, 14 people, stated factors: three programs (SimPy 4.1.2, a plain
//! event loop, a compiled one) give the same finish minutes.

use super::{Told, json, numbers, replicate, text};
use hailyard::planning::forecast::{DealOrder, Flow};
use hailyard::planning::read_instance;

#[test]
fn twenty_replications_end_when_three_other_programs_say() {
    let problem = read_instance(&text("yardstick/storm300.json")).expect("sound");
    let order = DealOrder::longest_first(&problem);
    let stated = json("yardstick/factors20.json");
    let stocks: Vec<&str> = stated["cars"]
        .as_array()
        .expect("stocks")
        .iter()
        .map(|stock| stock.as_str().expect("text"))
        .collect();
    let dealt: Vec<&str> = order
        .cars
        .iter()
        .map(|car| problem.cars[*car].stock.as_str())
        .collect();
    assert_eq!(dealt, stocks);
    for (rank, panels) in stated["panels"]
        .as_array()
        .expect("panels")
        .iter()
        .enumerate()
    {
        let panels: Vec<usize> = numbers(panels).iter().map(|at| *at as usize).collect();
        assert_eq!(order.panels[order.cars[rank]], panels, "{}", stocks[rank]);
    }
    let flow = Flow::of(&problem, &order);
    let paces = vec![1.0; problem.workers.len()];
    let rows = text("yardstick/finish20.csv");
    let minutes = rows.lines().skip(1).map(|row| {
        let minute = row.split(',').nth(1).expect("three columns");
        minute.parse::<f64>().expect("a number")
    });
    let replications = stated["replications"].as_array().expect("replications");
    assert_eq!(replications.len(), 20);
    for (factors, minute) in replications.iter().zip(minutes) {
        let mut told = Told {
            factors: vec![Vec::new(); problem.cars.len()],
            ..Told::default()
        };
        for (rank, of_car) in factors.as_array().expect("cars").iter().enumerate() {
            told.factors[order.cars[rank]] = numbers(of_car);
        }
        let came = replicate(&flow, &told, &paces);
        let end = came.end.expect("all are finished");
        // They agree with each other to 1e-6 minutes; the file has six decimals.
        approx::assert_abs_diff_eq!(end, minute, epsilon = 1e-5);
    }
}

//! What holds of every replication whatever is drawn: published identities.
//!
//! - Little 1961 (Operations Research 9:383), exact from empty to empty: the
//!   cars in the lot, summed over time, are the time that each is in it, summed
//!   over cars.
//! - PERT (Malcolm, Roseboom, Clark and Fazar 1959, Operations Research 7:646):
//!   of work one after the other, means and variances of independent times add up.

use super::{as_listed, lots};
use hailyard::planning::forecast::{
    Chance, ChanceTerms, Drawn, Flow, PaceChance, Replicate, Run, Watch, replicate,
};
use hailyard::planning::{PlanCar, PlanProblem, Trades, Work, Worker};
use rust_decimal::Decimal;

/// Left, a step function of time: up by one when a car arrives, down when what
/// is seen of it as its last stretch of work ends. Right, what the replication
/// says of each car. Every lot with its own absence, weather, bays, late parts.
#[test]
fn cars_in_the_lot_over_time_are_the_time_of_each_over_cars() {
    let (mut seen, mut empty) = (0, 0);
    for (at, lot) in lots().iter().enumerate() {
        let mut run = Run::of(&lot.flow);
        let mut drawn = Drawn::default();
        for replication in 0..20 {
            let mut chance = Chance::of(&lot.terms, at as u64, replication);
            let people = lot.flow.people.iter();
            drawn.pace = people
                .map(|person| chance.pace(person.key) / person.speed)
                .collect();
            drawn.draw(&lot.flow, |rank| chance.of_car(lot.flow.cars[rank].key));
            let mut leaves = vec![f64::NEG_INFINITY; lot.flow.cars.len()];
            let end = run.go(&mut drawn, &mut chance, &mut |stretch| {
                let car = &mut leaves[stretch.task.rank as usize];
                *car = car.max(stretch.to);
            });
            seen += 1;
            let Some(end) = end else {
                // Cars that stay for ever: it never is empty again.
                continue;
            };
            empty += 1;
            let mut steps: Vec<(f64, i32)> = leaves.iter().map(|time| (*time, -1)).collect();
            steps.extend(lot.flow.cars.iter().map(|car| (car.arrives, 1)));
            steps.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (mut area, mut cars, mut from) = (0.0, 0, 0.0);
            for (time, step) in steps {
                area += f64::from(cars) * (time - from);
                from = time;
                cars += step;
                assert!(cars >= 0, "a car left before it came");
            }
            assert_eq!((cars, from), (0, end));
            let of_cars = lot.flow.cars.iter().zip(&run.ends);
            let times: f64 = of_cars.map(|(car, end)| end - car.arrives).sum();
            approx::assert_relative_eq!(area, times, max_relative = 1e-12);
        }
    }
    assert!(seen == 800 && empty >= 780, "{empty} of {seen}");
}

const STRIP: f64 = 95.0;
const PANELS: [f64; 6] = [40.0, 75.0, 60.0, 110.0, 35.0, 80.0];
const FIT: f64 = 70.0;
const FINISH: f64 = 45.0;
/// Paces of the one for dents, the one for strip and fit, the one for finish.
const SPEEDS: [f64; 3] = [1.25, 0.8, 1.0];
const TIMES: usize = 20_000;

/// One car, one person for each trade: all its tasks come one after the other.
fn one_after_the_other() -> Flow {
    let work = |minutes: f64| Work {
        minutes: Decimal::try_from(minutes).expect("a number"),
        only: None,
    };
    let worker = |(trades, speed): (&Trades, f64)| Worker {
        name: String::new(),
        trades: *trades,
        speed: Decimal::try_from(speed).expect("a number"),
        days: None,
    };
    let problem = PlanProblem {
        day: None,
        workers: Trades::ALL.iter().zip(SPEEDS).map(worker).collect(),
        cars: vec![PlanCar {
            strip: work(STRIP),
            panels: PANELS.map(work).to_vec(),
            fit: work(FIT),
            finish: work(FINISH),
            ..PlanCar::default()
        }],
        bays: None,
        release: false,
        hands: 1,
    };
    Flow::of(&problem, &as_listed(&problem))
}

/// Minutes of each task at its person's pace.
fn minutes() -> Vec<f64> {
    let others = [STRIP / SPEEDS[1], FIT / SPEEDS[1], FINISH / SPEEDS[2]];
    let panels = PANELS.map(|minutes| minutes / SPEEDS[0]);
    panels.into_iter().chain(others).collect()
}

fn ends(terms: &ChanceTerms) -> Vec<f64> {
    let how = Replicate {
        terms,
        seed: 1959,
        times: TIMES,
    };
    replicate(&one_after_the_other(), how, &Watch::default()).ends
}

/// Mean, variance and fourth central moment.
fn moments(values: &[f64]) -> (f64, f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let power = |power| {
        let powers = values.iter().map(|value| (value - mean).powi(power));
        powers.sum::<f64>() / count
    };
    (mean, power(2), power(4))
}

/// A factor of mean 1 whose log has deviation s has the variance e^(s²) - 1.
#[test]
fn means_and_variances_of_tasks_add_up_to_those_of_the_end() {
    const SPREAD: f64 = 0.3;
    let ends = ends(&ChanceTerms {
        task: SPREAD,
        ..ChanceTerms::default()
    });
    let (mean, variance, _) = moments(&ends);
    let of_factor = (SPREAD * SPREAD).exp_m1();
    let of_sum: f64 = minutes().iter().map(|one| one * one * of_factor).sum();
    // Cumulants add up too. The excess of a lognormal is w⁴ + 2w³ + 3w² - 6,
    // w = e^(s²) (Johnson, Kotz and Balakrishnan 1994, chapter 14).
    let w = (SPREAD * SPREAD).exp();
    let excess = w.powi(4) + 2.0 * w.powi(3) + 3.0 * w * w - 6.0;
    let fourth: f64 = minutes().iter().map(|one| one.powi(4)).sum::<f64>();
    let cumulant = fourth * of_factor * of_factor * excess;
    let count = TIMES as f64;
    // 4 standard errors each.
    let of_mean = (of_sum / count).sqrt();
    let of_variance = ((cumulant + 2.0 * of_sum * of_sum) / count).sqrt();
    let total: f64 = minutes().iter().sum();
    approx::assert_abs_diff_eq!(mean, total, epsilon = 4.0 * of_mean);
    approx::assert_abs_diff_eq!(variance, of_sum, epsilon = 4.0 * of_variance);
}

/// What all tasks share doesn't cancel: with the standard's log off by N(0, b²)
/// the end is T times a lognormal of median 1, so for a sum T of mean t and
/// variance v the mean is t·e^(b²/2), the variance (t² + v)·e^(2b²) - t²·e^(b²).
#[test]
fn what_tasks_share_multiplies_their_sum() {
    const SPREAD: f64 = 0.3;
    const STANDARD: f64 = 0.12;
    let ends = ends(&ChanceTerms {
        task: SPREAD,
        standard: STANDARD,
        others: PaceChance {
            with_standard: 1.0,
            own: 0.0,
        },
        ..ChanceTerms::default()
    });
    let (mean, variance, fourth) = moments(&ends);
    let of_factor = (SPREAD * SPREAD).exp_m1();
    let v: f64 = minutes().iter().map(|one| one * one * of_factor).sum();
    let t: f64 = minutes().iter().sum();
    let b = STANDARD * STANDARD;
    let of_end = (t * t + v) * (2.0 * b).exp() - t * t * b.exp();
    let count = TIMES as f64;
    let of_mean = (of_end / count).sqrt();
    let of_variance = ((fourth - variance * variance) / count).sqrt();
    approx::assert_abs_diff_eq!(mean, t * (b / 2.0).exp(), epsilon = 4.0 * of_mean);
    approx::assert_abs_diff_eq!(variance, of_end, epsilon = 4.0 * of_variance);
}

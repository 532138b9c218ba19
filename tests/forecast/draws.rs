//! Draws are keyed: whoever else is drawn, in whatever order, on however many
//! threads. And they are distributed as they are said to be.
//!
//! Tolerances are 4 standard errors, of which the comment beside says whence
//! they are. A fit of a whole distribution is judged by Kolmogorov's statistic,
//! √n·D, above 1.95 in one of a thousand (Massey 1951, Journal of the American
//! Statistical Association 46:68), or by χ² at a level of 1 in 1,000, against the
//! distributions of the `statrs` crate, which shares no code with the draws.

use super::{Lot, as_listed, lots};
use hailyard::planning::forecast::{
    CarChance, Chance, ChanceTerms, DayChance, Drawn, Flow, PaceChance, Replicate, Replications,
    Watch, replicate,
};
use hailyard::planning::{Trades, Worker};
use rust_decimal::Decimal;
use statrs::distribution::{ChiSquared, ContinuousCDF, Gamma, Normal};
use std::sync::atomic::Ordering;
use std::time::Duration;

const COUNT: u64 = 40_000;

fn terms() -> ChanceTerms {
    ChanceTerms {
        log: None,
        standard: 0.12,
        people: vec![
            PaceChance {
                with_standard: 0.3,
                own: 0.05,
            },
            PaceChance {
                with_standard: 1.0,
                own: 0.15,
            },
        ],
        others: PaceChance {
            with_standard: 1.0,
            own: 0.0,
        },
        task: 0.3,
        weather: 0.08,
        absent: 0.03,
        growth: 0.15,
        growth_mean: 0.2,
        growth_shape: 2.0,
        late: 0.1,
        late_days: 3.0,
    }
}

fn of_lot(lot: &Lot, times: usize, watch: &Watch) -> Replications {
    let how = Replicate {
        terms: &lot.terms,
        seed: 11,
        times,
    };
    // Half of the cars are promised, so that all that is counted is compared.
    let dates = [2.0 * lot.flow.day, 4.0 * lot.flow.day];
    let mut flow = lot.flow.clone();
    for (rank, car) in flow.cars.iter_mut().enumerate() {
        car.due = (rank % 2 == 0).then(|| dates[rank / 2 % 2]);
    }
    replicate(&flow, how, watch)
}

fn on_threads<T: Send>(threads: usize, what: impl FnOnce() -> T + Send) -> T {
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .expect("threads");
    pool.install(what)
}

/// Written out, a float is every bit of itself.
fn written(all: &Replications) -> String {
    format!("{all:?}")
}

#[test]
fn replications_are_the_same_on_any_number_of_threads() {
    for lot in lots().iter().take(6) {
        let [one, two, three] = [1, 2, 3]
            .map(|threads| on_threads(threads, || written(&of_lot(lot, 150, &Watch::default()))));
        assert!(one == two && two == three);
    }
}

#[test]
fn fewer_replications_are_the_first_of_more() {
    let lots = lots();
    let more = of_lot(&lots[2], 203, &Watch::default());
    for times in [1, 15, 16, 17, 100] {
        let fewer = of_lot(&lots[2], times, &Watch::default());
        assert_eq!(fewer.ends, more.ends[..times]);
        assert_eq!(fewer.by_day, more.by_day[..times]);
    }
}

#[test]
fn who_stops_before_it_begins_gets_nothing() {
    let watch = Watch::default();
    watch.stop.store(true, Ordering::Relaxed);
    let none = of_lot(&lots()[0], 100, &watch);
    assert_eq!(written(&none), written(&Replications::default()));
}

/// What comes back of what was stopped is what so many would have been, in
/// everything that is counted. On one thread it is all that was done.
#[test]
fn what_was_stopped_is_the_first_part_of_the_whole() {
    let lot = &lots()[3];
    for threads in [1, 2, 3] {
        let watch = Watch::default();
        let stopped = std::thread::scope(|scope| {
            let watch = &watch;
            scope.spawn(move || {
                while watch.done.load(Ordering::Relaxed) < 200 {
                    std::thread::sleep(Duration::from_millis(1));
                }
                watch.stop.store(true, Ordering::Relaxed);
            });
            // More than any machine does in a minute.
            on_threads(threads, || of_lot(lot, 4_000_000, watch))
        });
        let (count, done) = (stopped.count(), watch.done.load(Ordering::Relaxed));
        assert!(count <= done && done < 4_000_000, "{count} of {done}");
        assert!(threads > 1 || count == done, "{count} of {done}");
        let asked = of_lot(lot, count, &Watch::default());
        assert_eq!(written(&stopped), written(&asked));
    }
}

/// Everything that is drawn of somebody or something, as one would ask for it.
fn of_person(chance: &mut Chance<'_>, key: u64) -> (f64, Vec<bool>) {
    let pace = chance.pace(key);
    (
        pace,
        (0..60).map(|day| chance.is_absent(key, day)).collect(),
    )
}

fn of_car(chance: &Chance<'_>, key: u64) -> Vec<f64> {
    let mut car = chance.of_car(key);
    let first = [car.which(7) as f64, car.growth(), car.late()];
    first
        .into_iter()
        .chain((0..8).map(|_| car.factor()))
        .collect()
}

#[test]
fn draws_hang_on_what_they_are_for_and_not_on_what_else_is_drawn() {
    let few = terms();
    let more = ChanceTerms {
        people: [few.people.clone(), vec![PaceChance::default(); 3]].concat(),
        ..few.clone()
    };
    for replication in 0..200 {
        let mut one = Chance::of(&few, 5, replication);
        let days: Vec<bool> = (0..60).map(|day| one.is_closed(day)).collect();
        let people: Vec<_> = (0..2).map(|key| of_person(&mut one, key)).collect();
        let cars: Vec<_> = (0..5).map(|key| of_car(&one, key)).collect();
        // Backwards, with more people and more cars, and twice.
        let mut other = Chance::of(&more, 5, replication);
        for key in (0..40).rev() {
            let of_this = of_car(&other, key);
            let known = cars.get(key as usize);
            assert!(known.is_none_or(|known| *known == of_this));
        }
        for _ in 0..2 {
            for key in (0..5).rev() {
                let of_this = of_person(&mut other, key);
                let known = people.get(key as usize);
                assert!(known.is_none_or(|known| *known == of_this));
            }
        }
        for day in (0..60).rev() {
            assert_eq!(other.is_closed(day), days[day as usize]);
        }
        // Another seed, replication, person, car or day has draws of its own.
        let pace = one.pace(1);
        for (seed, replication) in [(6, replication), (5, replication + 1)] {
            let mut third = Chance::of(&few, seed, replication);
            assert_ne!(third.pace(1), pace);
            assert_ne!(of_car(&third, 0), cars[0]);
            assert_ne!(of_person(&mut third, 0), people[0]);
        }
        assert_ne!(cars[0], cars[1]);
    }
}

/// A person more, in the flow: all others and all cars are drawn as before.
#[test]
fn somebody_more_leaves_the_work_and_everybody_else_as_they_were() {
    let lot = &lots()[4];
    let mut problem = lot.problem.clone();
    problem.workers.push(Worker {
        name: "One more".to_owned(),
        trades: Trades::DENTS,
        speed: Decimal::from(2),
        days: None,
    });
    let larger = Flow::of(&problem, &as_listed(&problem));
    // First in the order of dealing, yet the last key.
    assert_eq!(larger.people[0].key, lot.flow.people.len() as u64);
    let draw = |flow: &Flow, replication| {
        let chance = Chance::of(&lot.terms, 9, replication);
        let mut drawn = Drawn::default();
        drawn.draw(flow, |rank| chance.of_car(flow.cars[rank].key));
        format!("{:?} {:?}", drawn.cars, drawn.panels)
    };
    for replication in 0..50 {
        assert_eq!(draw(&lot.flow, replication), draw(&larger, replication));
    }
    for person in &lot.flow.people {
        let mut same = larger.people.iter();
        assert!(same.any(|other| other.key == person.key && other.worker == person.worker));
    }
}

#[test]
fn without_chance_nothing_is_drawn() {
    let none = ChanceTerms::default();
    let mut chance = Chance::of(&none, 1, 2);
    assert_eq!(chance.pace(0), 1.0);
    for day in 0..500 {
        assert!(!chance.is_closed(day) && !chance.is_absent(1, day));
    }
    let mut car = chance.of_car(3);
    assert_eq!((car.late(), car.growth(), car.factor()), (0.0, 1.0, 1.0));
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let (of_a, of_b) = (mean(a), mean(b));
    let products = a.iter().zip(b).map(|(a, b)| (a - of_a) * (b - of_b));
    products.sum::<f64>() / a.len() as f64
}

/// √n·D against a distribution.
fn kolmogorov(values: &[f64], distribution: &impl ContinuousCDF<f64, f64>) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    let count = values.len() as f64;
    let off = values.iter().enumerate().map(|(at, value)| {
        let said = distribution.cdf(*value);
        (said - at as f64 / count).max((at + 1) as f64 / count - said)
    });
    off.fold(0.0, f64::max) * count.sqrt()
}

/// Whether counts are no wonder where these were expected.
fn fits(counts: &[f64], expected: &[f64]) -> bool {
    let squares = counts.iter().zip(expected);
    let squares: f64 = squares.map(|(is, of)| (is - of) * (is - of) / of).sum();
    let free = ChiSquared::new(counts.len() as f64 - 1.0).expect("sound");
    squares < free.inverse_cdf(0.999)
}

/// A share p of n has the standard error √(p·(1 - p) / n).
fn assert_share(count: usize, of: usize, probability: f64) {
    let error = (probability * (1.0 - probability) / of as f64).sqrt();
    let share = count as f64 / of as f64;
    approx::assert_abs_diff_eq!(share, probability, epsilon = 4.0 * error);
}

#[test]
fn factors_are_lognormal_with_mean_one() {
    let terms = terms();
    let of_replication = |replication| {
        let chance = Chance::of(&terms, 21, replication);
        let mut car = chance.of_car(replication % 5);
        [car.factor(), car.factor()]
    };
    let pairs: Vec<[f64; 2]> = (0..COUNT).map(of_replication).collect();
    let factors: Vec<f64> = pairs.iter().flatten().copied().collect();
    let count = factors.len() as f64;
    // The variance of a factor is e^(s²) - 1.
    let variance = (terms.task * terms.task).exp_m1();
    approx::assert_abs_diff_eq!(
        mean(&factors),
        1.0,
        epsilon = 4.0 * (variance / count).sqrt()
    );
    let logs: Vec<f64> = factors.iter().map(|factor| factor.ln()).collect();
    // A deviation s of n normal numbers has the standard error s / √(2n).
    approx::assert_abs_diff_eq!(
        covariance(&logs, &logs).sqrt(),
        terms.task,
        epsilon = 4.0 * terms.task / (2.0 * count).sqrt()
    );
    let log = Normal::new(-terms.task * terms.task / 2.0, terms.task).expect("sound");
    assert!(kolmogorov(&logs, &log) < 1.95);
    // One after the other are independent: a correlation of n has 1 / √n.
    let (first, second): (Vec<f64>, Vec<f64>) = pairs
        .iter()
        .map(|pair| (pair[0].ln(), pair[1].ln()))
        .unzip();
    let correlation = covariance(&first, &second) / (terms.task * terms.task);
    approx::assert_abs_diff_eq!(correlation, 0.0, epsilon = 4.0 / (COUNT as f64).sqrt());
}

#[test]
fn paces_move_with_the_standard_as_far_as_is_said() {
    let terms = terms();
    let logs: Vec<Vec<f64>> = (0..4)
        .map(|person| {
            let of = |replication| Chance::of(&terms, 22, replication).pace(person).ln();
            (0..COUNT).map(of).collect()
        })
        .collect();
    // Of whom nothing is known, all move alike.
    assert_eq!(logs[2], logs[3]);
    let standard = terms.standard * terms.standard;
    let known = [terms.people[0], terms.people[1], terms.others];
    let variance = |of: PaceChance| of.with_standard.powi(2) * standard + of.own * of.own;
    let count = COUNT as f64;
    for (one, of_one) in known.iter().enumerate() {
        let deviation = variance(*of_one).sqrt();
        let normal = Normal::new(0.0, deviation).expect("sound");
        assert!(kolmogorov(&logs[one], &normal) < 1.95);
        approx::assert_abs_diff_eq!(
            covariance(&logs[one], &logs[one]).sqrt(),
            deviation,
            epsilon = 4.0 * deviation / (2.0 * count).sqrt()
        );
        for (other, of_other) in known.iter().enumerate().take(one) {
            let shared = of_one.with_standard * of_other.with_standard * standard;
            // A covariance c of numbers with variances a and b: √((a·b + c²) / n).
            let error = variance(*of_one) * variance(*of_other) + shared * shared;
            approx::assert_abs_diff_eq!(
                covariance(&logs[one], &logs[other]),
                shared,
                epsilon = 4.0 * (error / count).sqrt()
            );
        }
    }
}

#[test]
fn cars_grow_by_a_gamma_number() {
    let terms = terms();
    let growths: Vec<f64> = (0..COUNT)
        .map(|replication| Chance::of(&terms, 23, replication).of_car(3).growth())
        .collect();
    let grown: Vec<f64> = growths.iter().filter(|one| **one != 1.0).copied().collect();
    let added: Vec<f64> = grown.iter().map(|one| one - 1.0).collect();
    assert_share(grown.len(), growths.len(), terms.growth);
    // Shape k and rate k / mean: the mean squared is mean²·(1 + 1/k).
    let (shape, of) = (terms.growth_shape, terms.growth_mean);
    let second = terms.growth * of * of * (1.0 + 1.0 / shape);
    let whole = 1.0 + of * terms.growth;
    let variance = second - (of * terms.growth).powi(2);
    approx::assert_abs_diff_eq!(
        mean(&growths),
        whole,
        epsilon = 4.0 * (variance / COUNT as f64).sqrt()
    );
    let gamma = Gamma::new(shape, shape / of).expect("sound");
    assert!(kolmogorov(&added, &gamma) < 1.95);
    // Its variance v = mean²/k; the excess is 6/k, so v is off by
    // v·√((2 + 6/k) / n).
    let v = of * of / shape;
    let error = v * ((2.0 + 6.0 / shape) / added.len() as f64).sqrt();
    approx::assert_abs_diff_eq!(covariance(&added, &added), v, epsilon = 4.0 * error);
}

#[test]
fn parts_are_late_by_a_geometric_number_of_days_from_one() {
    let terms = terms();
    let late = |terms: &ChanceTerms| -> Vec<f64> {
        (0..COUNT)
            .map(|replication| Chance::of(terms, 24, replication).of_car(8).late())
            .filter(|days| *days != 0.0)
            .collect()
    };
    let days = late(&terms);
    assert_share(days.len(), COUNT as usize, terms.late);
    // Geometric with p = 1 / mean: the variance is (1 - p) / p².
    let p = 1.0 / terms.late_days;
    let count = days.len() as f64;
    let error = ((1.0 - p) / (p * p) / count).sqrt();
    approx::assert_abs_diff_eq!(mean(&days), terms.late_days, epsilon = 4.0 * error);
    let of_day = |day: f64| days.iter().filter(|days| **days == day).count() as f64;
    let mut counts: Vec<f64> = (1..10).map(|day| of_day(f64::from(day))).collect();
    counts.push(count - counts.iter().sum::<f64>());
    let mut expected: Vec<f64> = (0..9).map(|day| count * p * (1.0 - p).powi(day)).collect();
    expected.push(count * (1.0 - p).powi(9));
    assert!(fits(&counts, &expected), "{counts:?} {expected:?}");
    // A mean of one day is one day always.
    let one = late(&ChanceTerms {
        late_days: 1.0,
        ..terms
    });
    assert!(!one.is_empty() && one.iter().all(|days| *days == 1.0));
}

/// Each day and each person by themselves: two at once as often as the product.
#[test]
fn days_are_lost_as_often_as_is_said() {
    let terms = terms();
    const DAYS: i64 = 40;
    let (mut closed, mut absent, mut both_days, mut both_people) = (0, 0, 0, 0);
    let rounds = 4_000;
    for replication in 0..rounds {
        let mut chance = Chance::of(&terms, 25, replication);
        for day in 0..DAYS {
            let next = chance.is_closed(day + 1);
            closed += usize::from(chance.is_closed(day));
            both_days += usize::from(chance.is_closed(day) && next);
            let one = chance.is_absent(0, day);
            absent += usize::from(one);
            both_people += usize::from(one && chance.is_absent(1, day));
        }
    }
    let all = rounds as usize * DAYS as usize;
    assert_share(closed, all, terms.weather);
    assert_share(absent, all, terms.absent);
    // Pairs that share a day are a little alike: twice the variance at most.
    assert_share(both_days, all, terms.weather * terms.weather);
    assert_share(both_people, all, terms.absent * terms.absent);
}

#[test]
fn an_uncounted_car_is_any_of_its_pool_as_likely() {
    let terms = terms();
    for of in [1, 2, 7, 60] {
        let mut counts = vec![0.0; of];
        for replication in 0..COUNT {
            counts[Chance::of(&terms, 26, replication).of_car(1).which(of)] += 1.0;
        }
        let expected = vec![COUNT as f64 / of as f64; of];
        assert!(of == 1 || fits(&counts, &expected), "{counts:?}");
    }
}

//! Whether the odds hold, on storms that another program drew and went through
//! (truth.py: rules, random numbers and work logs of its own): 25 of each of 40
//! lots, four times over.
//!
//! A forecast of n replications leaves n + 1 places for what then happens. If
//! forecast and storm come of the same chance each place is as likely, whatever
//! n is (a rank among exchangeable numbers; ties, which are lots never finished,
//! are broken at random: Hamill 2001, Monthly Weather Review 129:550). So 39
//! replications test nearly as well as 2,000, and the 32nd of them is exceeded by
//! one storm in five. Every storm has a forecast of its own, so that places are
//! independent and counts are binomial.
//!
//! | storms | forecast | places uniform | 80 % minutes hold | 80 % day holds |
//! |---|---|---|---|---|
//! | as they are said to be | without a log | yes | 80.1 % | 87.5 % |
//! | people off by 15 % | with a log of 30 tasks | yes | 79.3 % | 87.2 % |
//! | 15 % more work, tasks differ 1.6 times as much | without a log | no | 61.9 % | 76.3 % |
//! | likewise, and people off by 15 % | with a log of 30 tasks | yes | 81.5 % | 88.7 % |
//!
//! These are what the tests print; the standard error is 1.3 points, in the third
//! row 1.5. More replications, a multiple of ten less 1, change none by more.

use super::{Lot, lots, text};
use hailyard::crew::{LoggedTask, learn};
use hailyard::planning::forecast::{
    Chance, ChanceTerms, Replicate, Watch, day_that_holds, holds, replicate,
};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, Normal};

/// Replications of a forecast.
const TIMES: usize = 39;
const STORMS: usize = 1_000;
/// Each kind of fault is found in one of a thousand sets of forecasts that have
/// none.
const LEVEL: f64 = 0.001;

/// A storm as it went, and the ratios that its log has: person, minutes taken
/// over those of the standard at the person's stated speed.
struct Went {
    lot: usize,
    end: f64,
    /// The working day of the end, from 1, by the other program.
    day: f64,
    log: Vec<(usize, f64)>,
}

fn cells(row: &str) -> Vec<f64> {
    // Where a lot is never finished there is no end.
    let cell = |cell: &str| cell.parse().unwrap_or(f64::INFINITY);
    row.split(',').map(cell).collect()
}

fn storms(ends: &str, log: Option<&str>) -> Vec<Went> {
    let rows = text(ends);
    let rows = rows.lines().skip(1).map(cells);
    let mut storms: Vec<Went> = rows
        .map(|row| Went {
            lot: row[1] as usize,
            end: row[2],
            day: row[3],
            log: Vec::new(),
        })
        .collect();
    assert_eq!(storms.len(), STORMS);
    for row in log.map(text).unwrap_or_default().lines().skip(1).map(cells) {
        storms[row[0] as usize].log.push((row[1] as usize, row[2]));
    }
    storms
}

/// The lot with the paces that a log teaches. People are still dealt work in the
/// order of their stated speeds, as in the storms.
fn with_log(lot: &Lot, log: &[(usize, f64)]) -> Lot {
    let stated: Vec<f64> = (0..lot.flow.people.len())
        .map(|worker| {
            let people = &lot.flow.people;
            let person = people.iter().find(|person| person.worker == worker);
            person.expect("everybody").speed
        })
        .collect();
    let tasks: Vec<LoggedTask> = log
        .iter()
        .map(|&(person, ratio)| LoggedTask {
            person,
            standard: 60.0,
            logged: ratio * 60.0 / stated[person],
            speed: stated[person],
        })
        .collect();
    let learned = learn(stated.len(), &tasks, lot.terms.task).expect("a log");
    let mut flow = lot.flow.clone();
    for person in &mut flow.people {
        person.speed /= learned.expected_factor(person.worker);
    }
    Lot {
        problem: lot.problem.clone(),
        flow,
        terms: lot.terms.clone().with_log(&learned),
    }
}

/// How forecasts did over 1,000 storms.
#[derive(Debug, Default)]
struct Judged {
    /// Storms by the tenth of the places that they came in.
    bins: [u32; 10],
    /// Mean and variance of the place, as a part of all.
    mean: f64,
    variance: f64,
    /// Storms over by the minute that was to hold in 80 of 100.
    minutes: u32,
    /// Likewise by the day; and how many had such a day.
    days: u32,
    with_day: u32,
}

fn judge(name: &str, storms: &[Went], forecast: impl Fn(usize) -> Vec<f64>) -> Judged {
    let lots = lots();
    let mut judged = Judged::default();
    let places = (TIMES + 1) as f64;
    let (mut sum, mut squares) = (0.0, 0.0);
    for (at, storm) in storms.iter().enumerate() {
        let ends = forecast(at);
        assert_eq!(ends.len(), TIMES);
        let sooner = ends.partition_point(|end| *end < storm.end);
        let same = ends.partition_point(|end| *end <= storm.end) - sooner;
        let roll = u128::from(ChaCha8Rng::seed_from_u64(at as u64).next_u64());
        let place = sooner + ((roll * (same as u128 + 1)) >> 64) as usize;
        judged.bins[place * 10 / (TIMES + 1)] += 1;
        let part = (place as f64 + 0.5) / places;
        sum += part;
        squares += part * part;
        let minute = holds(&ends, 80).unwrap_or(f64::INFINITY);
        judged.minutes += u32::from(storm.end <= minute);
        // No day is no promise.
        let day = lots[storm.lot].flow.day;
        if let Some(said) = day_that_holds(&ends, 80, day) {
            judged.with_day += 1;
            judged.days += u32::from(storm.day <= f64::from(said));
        }
    }
    let count = storms.len() as f64;
    judged.mean = sum / count;
    judged.variance = squares / count - judged.mean * judged.mean;
    println!("{name}: {judged:?}");
    judged
}

/// What each forecast says, its minutes in order.
fn forecast(lot: &Lot, seed: usize) -> Vec<f64> {
    let how = Replicate {
        terms: &lot.terms,
        seed: seed as u64,
        times: TIMES,
    };
    replicate(&lot.flow, how, &Watch::default()).in_order()
}

/// Counts of 1,000 storms that are no wonder at this probability.
fn band(probability: f64, level: f64) -> std::ops::RangeInclusive<u32> {
    let storms = Binomial::new(probability, STORMS as u64).expect("sound");
    let at = |level| u32::try_from(storms.inverse_cdf(level)).expect("small");
    at(level / 2.0)..=at(1.0 - level / 2.0)
}

impl Judged {
    /// What is wrong with places that should be uniform.
    fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        // All ten at once (Bonferroni).
        let of_bin = band(0.1, LEVEL / 10.0);
        for (tenth, count) in self.bins.iter().enumerate() {
            if !of_bin.contains(count) {
                faults.push(format!("{count} in tenth {tenth}, not {of_bin:?}"));
            }
        }
        let within = band(0.8, LEVEL);
        if !within.contains(&self.minutes) {
            faults.push(format!("{} in 80 %, not {within:?}", self.minutes));
        }
        // Of k places as likely, (2 i + 1) / 2 k, the mean is 1/2, the variance
        // 1/12 - 1/12 k²; of a uniform number the squared distance to the mean
        // has the variance 1/80 - 1/144.
        let normal = Normal::standard().inverse_cdf(1.0 - LEVEL / 2.0);
        let places = (TIMES + 1) as f64;
        let variance = (1.0 - 1.0 / (places * places)) / 12.0;
        let count = STORMS as f64;
        let off = (self.mean - 0.5) / (variance / count).sqrt();
        let wide = (self.variance - variance) / ((1.0 / 80.0 - 1.0 / 144.0) / count).sqrt();
        if off.abs() > normal {
            faults.push(format!("mean place {}: {off} standard errors", self.mean));
        }
        if wide.abs() > normal {
            faults.push(format!(
                "variance {}: {wide} standard errors",
                self.variance
            ));
        }
        faults
    }

    /// Days are rounded up, so they should hold more often than their minutes.
    fn day_holds_in(&self) -> f64 {
        assert!(self.with_day >= 990, "{self:?}");
        f64::from(self.days) / f64::from(self.with_day)
    }
}

/// Both kinds of storms have the same lots, so the same forecasts.
#[test]
fn without_a_log_the_odds_hold_as_far_as_chance_is_what_it_is_said_to_be() {
    let lots = lots();
    let truths = storms("truths.csv", None);
    let others = storms("other_truth.csv", None);
    let forecasts: Vec<Vec<f64>> = truths
        .iter()
        .enumerate()
        .map(|(seed, storm)| forecast(&lots[storm.lot], seed))
        .collect();
    let judged = judge("truths", &truths, |at| forecasts[at].clone());
    assert_eq!(judged.faults(), Vec::<String>::new());
    assert!(judged.day_holds_in() >= 0.8, "{judged:?}");
    // Work takes 15 % more than the standard, whose error was said to have a
    // deviation of 5 to 15 %, and tasks differ 1.6 times as much. Nothing tells
    // the forecast, so it must fall short, and these checks must find it: 61 % of
    // storms instead of 80 %. A share of 1,000 has a standard error of 1.5 points,
    // the bars lie 4 of them away.
    let judged = judge("other truth", &others, |at| forecasts[at].clone());
    assert!(judged.faults().len() > 3, "{judged:?}");
    assert!((550..=675).contains(&judged.minutes), "{judged:?}");
    assert!((0.7..0.8).contains(&judged.day_holds_in()), "{judged:?}");
}

fn with_a_log_the_odds_hold(ends: &str, log: &str) {
    let lots = lots();
    let storms = storms(ends, Some(log));
    let judged = judge(ends, &storms, |at| {
        let storm = &storms[at];
        forecast(&with_log(&lots[storm.lot], &storm.log), at)
    });
    assert_eq!(judged.faults(), Vec::<String>::new());
    assert!(judged.day_holds_in() >= 0.8, "{judged:?}");
}

/// 30 tasks by people who differ from their stated speeds by 15 %. The bars are
/// those of known chance.
#[test]
fn with_a_log_the_odds_hold_to_what_can_be_seen_in_a_thousand_storms() {
    with_a_log_the_odds_hold("logged.csv", "logs.csv");
}

/// The log tells that work takes 15 % more, and how tasks differ.
#[test]
fn a_log_brings_back_odds_that_did_not_hold() {
    with_a_log_the_odds_hold("other_logged.csv", "other_logs.csv");
}

/// What a log teaches, on logs of the model itself: m with a deviation of 0.10,
/// people of 0.15, tasks of 0.25. The pace of a person, and the mean of all the
/// crew's on the scale of logs, should be below the 32nd of 39 draws in 80 of 100.
///
/// Variances taken as known once they are estimated make a short log too sure:
/// people are then found not to differ at all in one of six logs of 30 tasks, and
/// over 20,000 logs (standard error 0.3 points) the bound holds in
///
/// | tasks | people | one person | the crew |
/// |---|---|---|---|
/// | 10 | 4 | 72.3 % | 75.3 % |
/// | 30 | 4 | 74.9 % | 78.4 % |
/// | 300 | 6 | 79.1 % | 79.8 % |
///
/// So they are drawn with the rest, and it holds as the bars below have it.
#[test]
fn a_short_log_leaves_open_how_much_people_differ() {
    let mut roll = ChaCha8Rng::seed_from_u64(30);
    // Box and Muller 1958, so that it shares nothing with the sampler in use.
    let mut unit = move || (roll.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
    let mut normal = move || {
        let radius = (-2.0 * (1.0 - unit()).ln()).sqrt();
        (radius * (std::f64::consts::TAU * unit()).cos(), unit())
    };
    const LOGS: usize = 2_000;
    const SIGMA: f64 = 0.25;
    for (tasks, people) in [(10, 4), (30, 4), (300, 6)] {
        let (mut person_within, mut crew_within) = (0, 0);
        for seed in 0..LOGS {
            let m = 0.10 * normal().0;
            let logs: Vec<f64> = (0..people).map(|_| m + 0.15 * normal().0).collect();
            let log: Vec<LoggedTask> = (0..tasks)
                .map(|_| {
                    let (error, who) = normal();
                    let person = (who * people as f64) as usize;
                    LoggedTask {
                        person,
                        standard: 50.0,
                        logged: 50.0 * (logs[person] + SIGMA * error).exp(),
                        speed: 1.0,
                    }
                })
                .collect();
            let learned = learn(people, &log, SIGMA).expect("a log");
            let terms = ChanceTerms::default().with_log(&learned);
            // How far what is to be expected is off, as drawn and as it is.
            let drawn: Vec<Vec<f64>> = (0..TIMES)
                .map(|time| {
                    let chance = Chance::of(&terms, seed as u64, time as u64);
                    (0..people)
                        .map(|person| chance.pace(person as u64).ln())
                        .collect()
                })
                .collect();
            let truth: Vec<f64> = (0..people)
                .map(|person| {
                    let said = learned.expected_factor(person).ln();
                    logs[person] + SIGMA * SIGMA / 2.0 - said
                })
                .collect();
            let within = |truth: f64, of: &dyn Fn(&Vec<f64>) -> f64| {
                let below = drawn.iter().filter(|draw| of(draw) < truth).count();
                u32::from(below < 32)
            };
            for person in 0..people {
                person_within += within(truth[person], &|draw| draw[person]);
            }
            crew_within += within(truth.iter().sum(), &|draw| draw.iter().sum());
        }
        let person = f64::from(person_within) / (LOGS * people) as f64;
        let crew = f64::from(crew_within) / LOGS as f64;
        println!("{tasks} tasks, {people} people: {person:.3}, {crew:.3}");
        // A share of 2,000 has a standard error of 0.9 points; people of one log
        // are no independent ones, so theirs is no better.
        assert!((0.77..=0.86).contains(&person), "{person}");
        assert!((0.77..=0.86).contains(&crew), "{crew}");
    }
}

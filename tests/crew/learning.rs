//! What the work log teaches, against a fit by another program (`data/learning`,
//! statsmodels 0.15.0), published examples, and arithmetic by hand.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hailyard::crew::{Learned, LoggedTask, PersonMean, PersonVariation, learn, shrink};
use serde_json::Value;

const LOG: &str = include_str!("../data/learning/log.csv");
const ANSWERS: &str = include_str!("../data/learning/answers.json");

/// A task whose log ratio is `y`, of a person of stated speed 1.
fn task(person: usize, y: f64) -> LoggedTask {
    LoggedTask {
        person,
        standard: 40.0,
        logged: 40.0 * y.exp(),
        speed: 1.0,
    }
}

/// Tasks of several people, by their log ratios.
fn tasks(people: &[&[f64]]) -> Vec<LoggedTask> {
    let of_one = |(person, ys): (usize, &&[f64])| -> Vec<LoggedTask> {
        ys.iter().map(|&y| task(person, y)).collect()
    };
    people.iter().enumerate().flat_map(of_one).collect()
}

fn learned(people: &[&[f64]], spread: f64) -> Learned {
    learn(people.len(), &tasks(people), spread).expect("has tasks")
}

/// The answers, the people's names in their order, and the log.
fn reference() -> (Value, Vec<String>, Vec<LoggedTask>) {
    let answers: Value = serde_json::from_str(ANSWERS).expect("JSON");
    let people = answers["tasks"].as_object().expect("people");
    let names: Vec<String> = people.keys().cloned().collect();
    let mut reader = csv::Reader::from_reader(LOG.as_bytes());
    let row = |row: Result<(String, f64, f64), csv::Error>| {
        let (name, standard, logged) = row.expect("a row");
        let person = names.iter().position(|known| *known == name);
        LoggedTask {
            person: person.expect("in the answers"),
            standard,
            logged,
            speed: 1.0,
        }
    };
    let tasks = reader.deserialize().map(row).collect();
    (answers, names, tasks)
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn a_general_statistics_package_fits_the_same() {
    let (answers, names, tasks) = reference();
    let log = learn(names.len(), &tasks, 0.5).expect("has tasks");
    let close = |ours: f64, theirs: &Value| {
        assert_abs_diff_eq!(ours, number(theirs), epsilon = 1e-6);
    };
    assert_eq!(log.tasks, 193);
    assert_eq!(log.person_variation, PersonVariation::Estimated);
    assert!(!log.sigma_is_given);
    close(log.mean, &answers["m"]);
    close(log.mean_error, &answers["m_standard_error"]);
    close(log.sigma_person, &answers["sigma_person"]);
    close(log.sigma, &answers["sigma"]);
    for (at, name) in names.iter().enumerate() {
        let person = &log.people[at];
        assert_eq!(Some(person.tasks as u64), answers["tasks"][name].as_u64());
        let own = person.mean_log_ratio.expect("has tasks");
        close(own, &answers["mean_log_ratio"][name]);
        close(person.effect, &answers["blup"][name]);
        close(log.speed(1.0, at), &answers["speed"][name]);
        close(log.expected_factor(at), &answers["expected_factor"][name]);
    }
    let sum: f64 = log.people.iter().map(|person| person.effect).sum();
    assert_abs_diff_eq!(sum, 0.0, epsilon = 1e-12);
}

/// As the reference says: no number of tasks at which the log begins to count.
#[test]
fn one_task_counts_a_little_and_58_count_nearly_in_full() {
    let (_, names, tasks) = reference();
    let log = learn(names.len(), &tasks, 0.5).expect("has tasks");
    let kept = |count: usize| {
        let mut people = log.people.iter();
        let person = people.find(|person| person.tasks == count);
        person.expect("somebody").shrinkage
    };
    assert_abs_diff_eq!(kept(1), 0.36, epsilon = 0.005);
    assert_abs_diff_eq!(kept(58), 0.97, epsilon = 0.005);
}

/// Somebody of stated speed s who needs 1/s of the minutes is as good as
/// stated: what is learned is the same as at speed 1, and is shown times s.
#[test]
fn effects_are_distances_from_the_stated_speed() {
    let (_, names, plain) = reference();
    let stated = [1.4, 1.0, 0.8, 1.25, 0.5, 2.0, 0.75];
    let faster = |task: &LoggedTask| LoggedTask {
        logged: task.logged / stated[task.person],
        speed: stated[task.person],
        ..*task
    };
    let tasks: Vec<LoggedTask> = plain.iter().map(faster).collect();
    let at_one = learn(names.len(), &plain, 0.5).expect("has tasks");
    let log = learn(names.len(), &tasks, 0.5).expect("has tasks");
    for (person, stated) in stated.into_iter().enumerate() {
        let expected = stated * at_one.speed(1.0, person);
        assert_relative_eq!(log.speed(stated, person), expected, epsilon = 1e-10);
        let expected = at_one.expected_factor(person);
        assert_relative_eq!(log.expected_factor(person), expected, epsilon = 1e-10);
    }
}

/// Hits of 18 players in their first 45 at bats (Efron and Morris 1975, JASA
/// 70:311; 1977, Scientific American 236(5):119).
const HITS: [f64; 18] = [
    18.0, 17.0, 16.0, 15.0, 14.0, 14.0, 13.0, 12.0, 11.0, 11.0, 10.0, 10.0, 10.0, 10.0, 10.0, 9.0,
    8.0, 7.0,
];

/// The averages, their mean, the variance of one by chance ȳ(1 − ȳ)/45, and S,
/// the sum of squares about the mean.
fn batting() -> (Vec<f64>, f64, f64, f64) {
    let averages: Vec<f64> = HITS.iter().map(|hits| hits / 45.0).collect();
    let mean = averages.iter().sum::<f64>() / 18.0;
    let chance = mean * (1.0 - mean) / 45.0;
    let squares = averages.iter().map(|own| (own - mean).powi(2)).sum();
    (averages, mean, chance, squares)
}

/// Efron and Morris 1977: the shrinking factor is .212 around the mean .265.
///
/// Theirs is the estimate of James and Stein with a known variance V of each
/// average: c = 1 − (k − 3)·V/S, k = 18. Our formulas have τ²/(τ² + V) in its
/// place, so they must give their figures at the τ² that belongs to their c:
/// by hand ȳ = 215/810 = .26543, V = .0043329, S = 166.944/2025 = .082442,
/// c = 1 − 15 × .0043329/.082442 = .2117, and .400 becomes
/// .26543 + .2117 × .13457 = .2939.
#[test]
fn batting_averages_shrink_as_published() {
    let (averages, _, chance, squares) = batting();
    let factor = 1.0 - 15.0 * chance / squares;
    let between = chance * factor / (1.0 - factor);
    let of_one = |&own: &f64| PersonMean {
        tasks: 1,
        mean_log_ratio: own,
    };
    let people: Vec<PersonMean> = averages.iter().map(of_one).collect();
    let shrunk = shrink(&people, between.sqrt(), chance.sqrt()).expect("has tasks");
    assert_abs_diff_eq!(shrunk.mean, 0.265, epsilon = 0.0005);
    // c·(y − ȳ) + ȳ by hand, to three digits.
    let by_hand = [
        0.294, 0.289, 0.285, 0.280, 0.275, 0.275, 0.270, 0.266, 0.261, 0.261, 0.256, 0.256, 0.256,
        0.256, 0.256, 0.252, 0.247, 0.242,
    ];
    for (player, expected) in shrunk.people.iter().zip(by_hand) {
        assert_abs_diff_eq!(player.shrinkage, 0.212, epsilon = 0.0005);
        assert_abs_diff_eq!(shrunk.mean + player.effect, expected, epsilon = 0.0005);
    }
}

/// REML on the same averages is not quite James and Stein: it finds
/// τ² + V = S/(k − 1), hence a factor 1 − (k − 1)·V/S = .107. Theirs is larger
/// by the (k − 3)/(k − 1) that makes up for S being an estimate (Morris 1983,
/// JASA 78:47); with few people REML stays nearer to the stated speed.
///
/// It is also the log in which everybody has one task: σ must be given.
#[test]
fn one_task_each_has_the_spread_for_sigma() {
    let (averages, mean, chance, squares) = batting();
    let each: Vec<LoggedTask> = averages
        .iter()
        .enumerate()
        .map(|(p, &y)| task(p, y))
        .collect();
    let log = learn(18, &each, chance.sqrt()).expect("has tasks");
    assert!(log.sigma_is_given);
    assert_abs_diff_eq!(log.mean, mean, epsilon = 1e-12);
    assert_abs_diff_eq!(log.sigma, chance.sqrt(), epsilon = 1e-12);
    let between = (squares / 17.0 - chance).sqrt();
    assert_abs_diff_eq!(log.sigma_person, between, epsilon = 1e-10);
    let factor = 1.0 - 17.0 * chance / squares;
    assert_abs_diff_eq!(log.people[0].shrinkage, factor, epsilon = 1e-10);
    // The mean's variance is that of 18 averages that scatter by S/17.
    assert_abs_diff_eq!(
        log.mean_error,
        (squares / 17.0 / 18.0).sqrt(),
        epsilon = 1e-10
    );

    // More chance than there is scatter: all of it is chance.
    let log = learn(18, &each, 0.1).expect("has tasks");
    assert_eq!(log.person_variation, PersonVariation::WithinChance);
    assert_eq!((log.sigma_person, log.people[0].effect), (0.0, 0.0));
}

/// Davies 1947, yield of dyestuff in six batches of five; here in thousands,
/// for the log ratios.
///
/// A balanced layout has REML in closed form: σ² = MSW, τ² = (MSB − MSW)/n,
/// the mean's variance MSB/N. The batch means 1505, 1528, 1564, 1498, 1600 and
/// 1470 are off 1527.5 by squares of 506.25, 0.25, 1332.25, 870.25, 5256.25 and
/// 3306.25, together 11,271.5: MSB = 5 × 11,271.5 / (6 − 1) = 11,271.5. Within,
/// MSW = 58,830/24 = 2451.25. So τ² = 8820.25/5 = 1764.05, τ = 42.00, σ = 49.51, and the mean's
/// error √(11,271.5/30) = 19.38. R's `lme4` prints the same for its `Dyestuff`.
#[test]
fn a_balanced_layout_has_the_answer_of_the_analysis_of_variance() {
    let log = learned(
        &[
            &[1.545, 1.440, 1.440, 1.520, 1.580],
            &[1.540, 1.555, 1.490, 1.560, 1.495],
            &[1.595, 1.550, 1.605, 1.510, 1.560],
            &[1.445, 1.440, 1.595, 1.465, 1.545],
            &[1.595, 1.630, 1.515, 1.635, 1.625],
            &[1.520, 1.455, 1.450, 1.480, 1.445],
        ],
        0.5,
    );
    assert_abs_diff_eq!(log.mean, 1.5275, epsilon = 1e-12);
    assert_relative_eq!(
        log.mean_error.powi(2),
        11_271.5e-6 / 30.0,
        max_relative = 1e-10
    );
    assert_relative_eq!(log.sigma_person.powi(2), 1764.05e-6, max_relative = 1e-10);
    assert_relative_eq!(log.sigma.powi(2), 2451.25e-6, max_relative = 1e-10);
    // 5τ²/(5τ² + σ²) = 8820.25/11,271.5; the fifth batch is 72.5 above.
    let kept = 8820.25 / 11_271.5;
    assert_relative_eq!(log.people[4].effect, kept * 0.0725, max_relative = 1e-10);
    // τ²(1 − s) = 1764.05 × 2451.25/11,271.5 = 383.63; s²·MSB/30 =
    // 0.61236 × 375.72 = 230.08; their sum 613.71.
    assert_relative_eq!(
        log.people[4].effect_error.powi(2),
        613.71e-6,
        max_relative = 1e-4
    );
    // If m is held, only the first of the two is left.
    let (effect, error) = log.effect_given_mean(4, 1.5);
    assert_relative_eq!(effect, kept * 0.1, max_relative = 1e-10);
    assert_relative_eq!(error.powi(2), 383.63e-6, max_relative = 1e-4);
}

/// Box and Tiao 1973, made so that MSB is below MSW: τ = 0, and then σ² is
/// the variance about the plain mean. R's `lme4` prints 3.7157 for σ, 5.6656
/// for the mean and 0.6784 for its error (`Dyestuff2`; here in tens).
#[test]
fn no_more_than_chance_is_no_difference() {
    let log = learned(
        &[
            &[0.7298, 0.3846, 0.2434, 0.9566, 0.7990],
            &[0.5220, 0.6556, 0.0608, 1.1788, -0.0892],
            &[0.0110, 1.0386, 1.3434, 0.5510, 0.8166],
            &[0.2212, 0.4852, 0.7092, 0.9288, 0.4980],
            &[0.0282, 0.9014, 0.4458, 0.9446, 0.7198],
            &[0.1722, 0.4782, 0.8106, 0.0758, 0.3758],
        ],
        0.5,
    );
    assert_eq!(log.person_variation, PersonVariation::WithinChance);
    assert_eq!(log.sigma_person, 0.0);
    assert_abs_diff_eq!(log.sigma, 0.37157, epsilon = 5e-6);
    assert_abs_diff_eq!(log.mean, 0.56656, epsilon = 5e-6);
    assert_abs_diff_eq!(log.mean_error, 0.06784, epsilon = 5e-6);
    let nobody = |person: &hailyard::crew::LearnedPerson| person.effect == 0.0;
    assert!(log.people.iter().all(nobody));
    assert_eq!(log.speed(1.3, 2), 1.3);
}

#[test]
fn a_log_of_one_task_moves_the_standard_and_nobody() {
    let log = learn(3, &[task(1, 0.3)], 0.25).expect("has a task");
    assert_eq!((log.tasks, log.people.len()), (1, 3));
    assert_eq!(log.person_variation, PersonVariation::OnePerson);
    assert!(log.sigma_is_given);
    assert_eq!((log.sigma_person, log.sigma), (0.0, 0.25));
    assert_abs_diff_eq!(log.mean, 0.3, epsilon = 1e-12);
    assert_eq!(log.mean_error, 0.25);
    assert_eq!(
        (log.people[0].mean_log_ratio, log.people[0].effect),
        (None, 0.0)
    );
    let expected = (0.3_f64 + 0.25 * 0.25 / 2.0).exp();
    assert_relative_eq!(log.expected_factor(0), expected, max_relative = 1e-12);
}

/// 0.1, 0.2, 0.6 about 0.3: squares 0.04 + 0.01 + 0.09 = 0.14, over 2 = 0.07.
#[test]
fn one_person_alone_is_the_standard() {
    let log = learned(&[&[0.1, 0.2, 0.6]], 0.5);
    assert_eq!(log.person_variation, PersonVariation::OnePerson);
    assert!(!log.sigma_is_given);
    assert_abs_diff_eq!(log.mean, 0.3, epsilon = 1e-12);
    assert_abs_diff_eq!(log.sigma * log.sigma, 0.07, epsilon = 1e-12);
    assert_abs_diff_eq!(log.mean_error, (0.07_f64 / 3.0).sqrt(), epsilon = 1e-12);
    assert_eq!(log.people[0].effect, 0.0);
    // With two tasks one degree of freedom is left: too few to tell σ.
    assert!(learned(&[&[0.1, 0.2]], 0.5).sigma_is_given);
}

#[test]
fn a_person_without_tasks_is_as_stated() {
    let (_, names, tasks) = reference();
    let log = learn(names.len() + 1, &tasks, 0.5).expect("has tasks");
    let new = &log.people[names.len()];
    assert_eq!((new.tasks, new.mean_log_ratio), (0, None));
    assert_eq!((new.effect, new.effect_error), (0.0, log.sigma_person));
    assert_eq!(log.speed(0.9, names.len()), 0.9);
    assert_eq!(
        log.effect_given_mean(names.len(), 7.0),
        (0.0, log.sigma_person)
    );
}

/// A log filled in from the standard's own minutes. Equal up to the rounding
/// of the logarithms counts as equal.
#[test]
fn equal_ratios_leave_no_spread() {
    let log = learned(&[&[0.2, 0.2, 0.2], &[0.2, 0.2]], 0.5);
    assert_eq!(log.person_variation, PersonVariation::WithinChance);
    assert_eq!(
        (log.sigma_person, log.sigma, log.mean_error),
        (0.0, 0.0, 0.0)
    );
    assert_abs_diff_eq!(log.mean, 0.2, epsilon = 1e-12);

    // Each person equal to themselves: means 0.1, 0.2, 0.6 each count once.
    let log = learned(&[&[0.1; 4], &[0.2; 2], &[0.6; 3], &[]], 0.5);
    assert_eq!(log.sigma, 0.0);
    assert_abs_diff_eq!(log.mean, 0.3, epsilon = 1e-12);
    assert_abs_diff_eq!(log.sigma_person, 0.07_f64.sqrt(), epsilon = 1e-12);
    assert_abs_diff_eq!(log.people[2].effect, 0.3, epsilon = 1e-12);
    // That is where REML goes as they become equal.
    let nearly = learned(&[&[0.1, 0.1, 0.1, 0.1 + 1e-6], &[0.2; 2], &[0.6; 3]], 0.5);
    assert_abs_diff_eq!(nearly.sigma_person, log.sigma_person, epsilon = 1e-6);
    assert!(nearly.sigma > 0.0 && nearly.sigma < 1e-6);
}

/// Sums go in the order of the log, so another order may change the last
/// digits by rounding, and no more.
#[test]
fn the_order_of_the_log_is_of_no_account() {
    let (_, names, mut tasks) = reference();
    let log = learn(names.len(), &tasks, 0.5).expect("has tasks");
    for turn in 0..4 {
        tasks.reverse();
        tasks.rotate_left(17 + turn);
        let other = learn(names.len(), &tasks, 0.5).expect("has tasks");
        assert_relative_eq!(log.mean, other.mean, max_relative = 1e-12);
        assert_relative_eq!(log.sigma_person, other.sigma_person, max_relative = 1e-12);
        assert_relative_eq!(log.sigma, other.sigma, max_relative = 1e-12);
        for (one, other) in log.people.iter().zip(&other.people) {
            assert_abs_diff_eq!(one.effect, other.effect, epsilon = 1e-12);
        }
    }
}

/// Even numbers from 0 to below 1 (Knuth's MMIX generator, the upper bits).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> f64 {
        let product = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = product.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// −2 ln REML of both variances, straight from the reference's README.
fn minus_two_reml(people: &[Vec<f64>], sigma_person: f64, sigma: f64) -> f64 {
    let (between, within) = (sigma_person.powi(2), sigma.powi(2));
    let of_one = |ys: &Vec<f64>| {
        let n = ys.len() as f64;
        let mean = ys.iter().sum::<f64>() / n;
        let squares: f64 = ys.iter().map(|y| (y - mean).powi(2)).sum();
        (n, mean, squares, within + n * between)
    };
    let terms: Vec<_> = people.iter().map(of_one).collect();
    let weights: f64 = terms.iter().map(|(n, _, _, variance)| n / variance).sum();
    let weighted: f64 = terms
        .iter()
        .map(|(n, own, _, variance)| n * own / variance)
        .sum();
    let m = weighted / weights;
    let of_one = |(n, own, squares, variance): &(f64, f64, f64, f64)| {
        let fit = squares / within + n * (own - m).powi(2) / variance;
        (n - 1.0) * within.ln() + variance.ln() + fit
    };
    weights.ln() + terms.iter().map(of_one).sum::<f64>()
}

/// Of random uneven logs, no other pair of deviations is more likely.
#[test]
fn no_other_deviations_are_more_likely() {
    let mut chance = Chance(1);
    for _ in 0..100 {
        let apart = chance.next();
        let of_one = |chance: &mut Chance| -> Vec<f64> {
            let own = apart * chance.next();
            let count = 1 + (chance.next() * chance.next() * 20.0) as usize;
            (0..count).map(|_| own + 0.5 * chance.next()).collect()
        };
        let mut people: Vec<Vec<f64>> = (0..6).map(|_| of_one(&mut chance)).collect();
        people.push(vec![0.1, 0.3, 0.2]);
        let slices: Vec<&[f64]> = people.iter().map(Vec::as_slice).collect();
        let log = learned(&slices, 0.5);
        let least = minus_two_reml(&people, log.sigma_person, log.sigma);
        let near = [0.0, 0.9, 0.999, 1.0, 1.001, 1.1].map(|by| by * log.sigma_person);
        let far = (0..40).map(|step| 0.001 * 1.3_f64.powi(step));
        for sigma_person in near.into_iter().chain(far) {
            for by in [0.3, 0.5, 0.7, 0.9, 0.999, 1.0, 1.001, 1.1, 1.4, 2.0] {
                let other = minus_two_reml(&people, sigma_person, by * log.sigma);
                assert!(least <= other + 1e-9, "{least} {other} {people:?}");
            }
        }
    }
}

/// Three people with many tasks are equal, one with two is 0.5 off: the curve
/// rises from τ = 0 before it falls lower, so a descent from there would stop
/// at once, and nobody would differ.
#[test]
fn a_rise_from_zero_hides_no_lower_place() {
    let about = |mean: f64, tasks: usize| -> Vec<f64> {
        let sides = [mean - 0.2, mean + 0.2];
        sides.into_iter().cycle().take(tasks).collect()
    };
    let people = [
        about(0.0, 12),
        about(0.0, 30),
        about(-0.5, 2),
        about(0.0, 20),
    ];
    let slices: Vec<&[f64]> = people.iter().map(Vec::as_slice).collect();
    let log = learned(&slices, 0.5);
    assert_eq!(log.person_variation, PersonVariation::Estimated);
    // At τ = 0 the best σ² is about the plain mean m = −1/64: 64 × 0.2² within
    // and 2 × 0.5² − 64·m² between, over 63.
    let alone = ((64.0 * 0.04 + 0.5 - 1.0 / 64.0) / 63.0_f64).sqrt();
    let at_zero = minus_two_reml(&people, 0.0, alone);
    assert!(minus_two_reml(&people, 0.01, alone) > at_zero);
    assert!(minus_two_reml(&people, log.sigma_person, log.sigma) < at_zero - 0.4);
}

/// Whatever comes in: finite numbers come out, or nothing.
#[test]
fn hostile_logs_give_finite_answers() {
    let finite = |log: &Learned| {
        let whole = [log.mean, log.mean_error, log.sigma_person, log.sigma];
        assert!(whole.iter().all(|value| value.is_finite()), "{log:?}");
        for (at, person) in log.people.iter().enumerate() {
            let (effect, error) = log.effect_given_mean(at, log.mean);
            let own = [person.effect, person.effect_error, effect, error];
            assert!(own.iter().all(|value| value.is_finite()), "{log:?}");
            assert!((0.0..=1.0).contains(&person.shrinkage), "{log:?}");
            for factor in [log.speed(1.0, at), log.expected_factor(at)] {
                assert!(factor.is_finite() && factor > 0.0, "{log:?}");
            }
        }
    };
    let wild = [
        1e-300,
        1e300,
        0.0,
        -1.0,
        f64::NAN,
        f64::INFINITY,
        f64::MIN_POSITIVE,
        f64::MAX,
    ];
    let mut chance = Chance(2);
    for _ in 0..2000 {
        let mildness = chance.next();
        let one = |_: usize| {
            let mut minutes = || {
                if chance.next() < mildness {
                    5.0 + (chance.next() * 4.0).floor()
                } else {
                    wild[(chance.next() * 8.0) as usize]
                }
            };
            let (standard, logged, speed) = (minutes(), minutes(), minutes());
            let person = (chance.next() * 5.0) as usize;
            LoggedTask {
                person,
                standard,
                logged,
                speed,
            }
        };
        let tasks: Vec<LoggedTask> = (0..8).map(one).collect();
        for spread in [0.25, 0.0, -1.0, 1e-9, 1e300, f64::NAN, f64::INFINITY] {
            // The fifth person is out of range.
            learn(4, &tasks, spread).iter().for_each(finite);
        }
    }
    assert_eq!(learn(0, &[task(0, 0.1)], 0.25), None);
    assert_eq!(learn(2, &[], 0.25), None);
    assert_eq!(shrink(&[PersonMean::default()], 0.1, 0.2), None);
}

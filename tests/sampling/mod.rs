//! Totals of a lot from a sample, against published examples and another
//! program (R `survey` 4.1, by the worked examples of the design).

mod command;
mod coverage;
mod folder;
mod lot_files;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hailyard::sampling::{
    Figure, Stratum, estimate_ratio, estimate_total, more_to_count, quantile_975, satterthwaite,
};

fn stratum(name: &str, cars: u64, values: &[f64]) -> Stratum {
    Stratum {
        name: name.to_owned(),
        cars,
        values: values.to_vec(),
    }
}

/// An invented lot; the money of the counted cars, and their values as helper.
fn lot() -> (Vec<Stratum>, Vec<Vec<f64>>) {
    let strata = vec![
        stratum(
            "sedan",
            120,
            &[1840.0, 2210.0, 1395.0, 2650.0, 1980.0, 1725.0],
        ),
        stratum(
            "suv",
            140,
            &[3120.0, 2475.0, 3890.0, 2760.0, 3345.0, 2990.0, 4105.0],
        ),
        stratum("pickup", 40, &[2210.0, 3480.0, 2895.0]),
    ];
    let helpers = vec![
        vec![14000.0, 18500.0, 9000.0, 22000.0, 16500.0, 13000.0],
        vec![
            27000.0, 19500.0, 34000.0, 24000.0, 29500.0, 23000.0, 36000.0,
        ],
        vec![21000.0, 38000.0, 30500.0],
    ];
    (strata, helpers)
}

#[track_caller]
fn holds(figure: &Figure, total: f64, error: f64, df: f64, interval: (f64, f64)) {
    assert_abs_diff_eq!(figure.total, total, epsilon = 6e-5);
    assert_abs_diff_eq!(figure.error.expect("an error"), error, epsilon = 6e-5);
    assert_abs_diff_eq!(figure.df, df);
    let (low, high) = figure.interval.expect("an interval");
    assert_abs_diff_eq!(low, interval.0, epsilon = 6e-5);
    assert_abs_diff_eq!(high, interval.1, epsilon = 6e-5);
}

/// R `survey`: the figures are printed to four places.
#[test]
fn the_worked_lot_is_that_of_a_survey_package() {
    let (strata, helpers) = lot();
    let estimate = estimate_total(&strata);
    holds(
        &estimate.whole,
        804_166.666_7,
        39_267.125_1,
        13.0,
        (719_335.200_4, 888_998.132_9),
    );
    let by_stratum = [236_000.0, 453_700.0, 114_466.666_667];
    for (of, total) in estimate.strata.iter().zip(by_stratum) {
        assert_relative_eq!(
            of.figure.expect("counted").total,
            total,
            max_relative = 1e-9
        );
    }
    // V_h: 422,978,000; 919,593,666.667; 199,335,444.444.
    let variances = [422_978_000.0, 919_593_666.666_667, 199_335_444.444_444];
    for (of, variance) in estimate.strata.iter().zip(variances) {
        let error = of.figure.and_then(|figure| figure.error).expect("an error");
        assert_relative_eq!(error * error, variance, max_relative = 1e-9);
    }
    assert_abs_diff_eq!(
        satterthwaite(&strata).expect("some"),
        12.093_493,
        epsilon = 5e-7
    );
    let ratio = estimate_ratio(&strata, &helpers, 6_600_000.0).expect("a ratio");
    assert_abs_diff_eq!(ratio.helper, 6_913_333.333_3, epsilon = 6e-5);
    assert_abs_diff_eq!(ratio.ratio, 0.116_321_118_611, epsilon = 6e-13);
    holds(
        &ratio.whole,
        767_719.382_8,
        12_098.984_6,
        13.0,
        (741_581.115_8, 793_857.649_9),
    );
}

/// Cars above 3,400: a part of the lot by the same formulas, 0 outside it.
#[test]
fn parts_of_a_lot_foot_to_the_whole() {
    let (strata, _) = lot();
    let part = |of: &dyn Fn(f64) -> f64| {
        let mut part = strata.clone();
        for stratum in &mut part {
            for value in &mut stratum.values {
                *value = of(*value);
            }
        }
        estimate_total(&part).whole
    };
    let count = part(&|value| f64::from(value > 3400.0));
    assert_abs_diff_eq!(count.total, 53.3333, epsilon = 5e-5);
    assert_abs_diff_eq!(count.error.expect("an error"), 28.24496, epsilon = 5e-6);
    let money = part(&|value| if value > 3400.0 { value } else { 0.0 });
    assert_abs_diff_eq!(money.total, 206_300.0, epsilon = 1e-6);
    assert_abs_diff_eq!(
        money.error.expect("an error"),
        110_101.794_6,
        epsilon = 6e-5
    );
    let rest = part(&|value| if value > 3400.0 { 0.0 } else { value });
    let whole = estimate_total(&strata).whole;
    assert_relative_eq!(money.total + rest.total, whole.total, max_relative = 1e-12);
}

/// One van of nine is counted: it is collapsed with the stratum before it, for
/// the variance only.
#[test]
fn one_counted_car_of_several_is_collapsed() {
    let (mut strata, _) = lot();
    strata.push(stratum("van", 9, &[3050.0]));
    let estimate = estimate_total(&strata);
    holds(
        &estimate.whole,
        831_616.666_7,
        40_295.673_6,
        14.0,
        (745_191.042_4, 918_042.290_9),
    );
    assert_eq!(estimate.strata[3].with, [2, 3]);
    let van = estimate.strata[3].figure.expect("counted");
    assert_eq!((van.total, van.error), (27_450.0, None));
    // Alone with strata that are counted in full it has no partner.
    let alone = [
        stratum("whole", 2, &[5.0, 7.0]),
        stratum("van", 9, &[3050.0]),
    ];
    let estimate = estimate_total(&alone);
    assert_eq!(estimate.whole.total, 12.0 + 27_450.0);
    assert_eq!(
        (estimate.whole.error, estimate.whole.interval),
        (None, None)
    );
    // Several in a row join one group, and the next one with them: a, b, c.
    let row = [
        stratum("a", 5, &[3.0]),
        stratum("b", 6, &[4.0]),
        stratum("w", 1, &[9.0]),
        stratum("c", 7, &[5.0, 8.0]),
        stratum("d", 8, &[1.0, 2.0]),
    ];
    let estimate = estimate_total(&row);
    assert_eq!(estimate.strata[0].with, [0, 1, 3]);
    assert!(estimate.strata[4].with.is_empty());
    // z = 15, 24, 17.5, 28; mean 21.125; squares 37.515625 + 8.265625 + 13.140625 +
    // 47.265625 = 106.1875; V = (1 - 4/18) 4/3 x 106.1875; of d: 64 (1 - 2/8) 0.5 / 2.
    let variance = (1.0 - 4.0 / 18.0) * 4.0 / 3.0 * 106.1875 + 64.0 * 0.75 * 0.25;
    assert_relative_eq!(
        estimate.whole.error.expect("an error").powi(2),
        variance,
        max_relative = 1e-12
    );
    // 4 + 1 + 2 counted in three groups; the whole stratum is one of them.
    assert_abs_diff_eq!(estimate.whole.df, 4.0);
}

#[test]
fn all_cars_counted_leave_no_error_and_none_counted_no_figure() {
    let (strata, _) = lot();
    let whole: Vec<Stratum> = strata
        .iter()
        .map(|stratum| Stratum {
            cars: stratum.counted(),
            ..stratum.clone()
        })
        .collect();
    let estimate = estimate_total(&whole).whole;
    assert_eq!((estimate.total, estimate.error), (43_070.0, Some(0.0)));
    assert_eq!(estimate.interval, Some((43_070.0, 43_070.0)));
    let mut some = strata.clone();
    some.push(stratum("van", 9, &[]));
    let estimate = estimate_total(&some);
    assert_eq!(estimate.missing, [3]);
    assert_eq!(estimate.strata[3].figure, None);
    assert_relative_eq!(estimate.whole.total, 804_166.666_667, max_relative = 1e-9);
    // A known helper total is of all strata, so there is no ratio.
    let mut helpers = lot().1;
    helpers.push(Vec::new());
    assert_eq!(estimate_ratio(&some, &helpers, 7e6), None);
    assert_eq!(estimate_total(&[]).whole.total, 0.0);
}

/// The low end is never below what is counted already: 100, 0 and 0 of ten.
#[test]
fn the_low_end_is_no_less_than_what_is_there() {
    let estimate = estimate_total(&[stratum("lot", 10, &[100.0, 0.0, 0.0])]).whole;
    // 333.3 with s 57.7: error 278.9, t(2) 4.30.
    assert_eq!(estimate.interval.expect("an interval").0, 100.0);
    let below = estimate_total(&[stratum("lot", 10, &[100.0, -1.0, 0.0])]).whole;
    assert!(below.interval.expect("an interval").0 < 0.0);
}

/// The design's table of how many more to count.
#[test]
fn how_many_more_to_count_is_neymans_allocation() {
    let (strata, _) = lot();
    let total = estimate_total(&strata).whole.total;
    for (wanted, counts, reach) in [
        (0.10, [6, 9, 3], 0.096_545),
        (0.05, [17, 27, 9], 0.049_522),
        (0.02, [54, 86, 26], 0.019_994),
    ] {
        let found = more_to_count(&strata, &strata, total, wanted).expect("an allocation");
        assert_eq!(found.counts, counts);
        assert_abs_diff_eq!(found.reach, reach, epsilon = 5e-7);
    }
    // Caps: N 10 and 200, S 500 and 40 of two counted each (their values differ
    // by S √2), 100,000 in all, ± 2 %: all ten, and 49.
    let root = 2.0_f64.sqrt();
    let capped = [
        stratum("a", 10, &[0.0, 500.0 * root]),
        stratum("b", 200, &[0.0, 40.0 * root]),
    ];
    let found = more_to_count(&capped, &capped, 100_000.0, 0.02).expect("an allocation");
    assert_eq!(found.counts, [10, 49]);
    assert_abs_diff_eq!(found.reach, 0.019_885, epsilon = 5e-7);
    assert_eq!(found.more(&capped), [8, 47]);
}

/// So many values with this mean and variance: a pair off the mean, the rest on it.
fn sample(count: usize, mean: f64, variance: f64) -> Vec<f64> {
    let off = ((count as f64 - 1.0) * variance / 2.0).sqrt();
    let mut values = vec![mean; count - 2];
    values.extend([mean - off, mean + off]);
    values
}

/// Lohr, Sampling: Design and Analysis, the 1992 census of agriculture: a
/// stratified sample of counties (acres by region), its total, standard error
/// and interval with 296 degrees of freedom; a simple random sample of 300.
#[test]
fn lohrs_acres_come_out_as_printed() {
    let strata: Vec<Stratum> = [
        ("NC", 1054, 103, 300_504.155_3, 29_618_183_543.29),
        ("NE", 220, 21, 97_629.809_5, 7_647_472_708.16),
        ("S", 1382, 135, 211_315.044_4, 53_587_487_856.19),
        ("W", 422, 41, 662_295.512_2, 396_185_950_266.26),
    ]
    .into_iter()
    .map(|(name, cars, count, mean, variance)| stratum(name, cars, &sample(count, mean, variance)))
    .collect();
    let whole = estimate_total(&strata).whole;
    assert_abs_diff_eq!(whole.total, 909_736_035.0, epsilon = 100.0);
    assert_abs_diff_eq!(whole.error.expect("an error"), 50_417_248.0, epsilon = 1.0);
    assert_abs_diff_eq!(whole.df, 296.0);
    let (low, high) = whole.interval.expect("an interval");
    assert_abs_diff_eq!(low, 810_514_350.0, epsilon = 100.0);
    assert_abs_diff_eq!(high, 1_008_957_721.0, epsilon = 100.0);
    let simple = [stratum(
        "all",
        3078,
        &sample(300, 297_897.046_7, 344_551.894_8_f64.powi(2)),
    )];
    let whole = estimate_total(&simple).whole;
    assert_abs_diff_eq!(whole.total, 916_927_110.0, epsilon = 1.0);
    assert_abs_diff_eq!(whole.error.expect("an error"), 58_169_381.0, epsilon = 1.0);
}

/// Freese, Elementary Forest Sampling (USDA Handbook 232): 20 plots of 100, with
/// the correction for a finite population, and the root of the variance taken
/// right (the page's 0.734 is the standard error of the mean).
#[test]
fn freeses_plots_come_out() {
    let plots = [
        10.0, 9.0, 10.0, 9.0, 11.0, 16.0, 11.0, 7.0, 12.0, 12.0, 11.0, 3.0, 5.0, 11.0, 14.0, 8.0,
        13.0, 12.0, 20.0, 10.0,
    ];
    let whole = estimate_total(&[stratum("wood", 100, &plots)]).whole;
    assert_abs_diff_eq!(whole.total, 1_070.0, epsilon = 1e-9);
    // s² 13.4842; 100 x √(0.8 x 13.4842 / 20).
    assert_abs_diff_eq!(whole.error.expect("an error"), 73.4, epsilon = 0.05);
}

/// Student's t, from the tables of any textbook: (df, t).
#[test]
fn the_quantile_is_that_of_the_tables() {
    for (df, t) in [
        (1.0, 12.706_204_736),
        (2.0, 4.302_652_730),
        (13.0, 2.160_368_656),
        (30.0, 2.042_272_456),
        (1e9, 1.959_963_985),
    ] {
        assert_abs_diff_eq!(quantile_975(df).expect("a quantile"), t, epsilon = 2e-9);
    }
    assert_abs_diff_eq!(
        quantile_975(12.093_493).expect("one"),
        2.176_946,
        epsilon = 5e-7
    );
    for none in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(quantile_975(none), None);
    }
}

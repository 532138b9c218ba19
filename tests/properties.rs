//! Properties on random storms, against a tiny model written from the rules
//! alone, in whole numbers, without any of the code under test.

mod model;
mod storms;

use hailyard::intake::{InMemory, Severity, read_storm};
use hailyard::pricing::{PricedStorm, price_storm};
use hailyard::rates::Rates;
use hailyard::storm::{Group, Storm};
use hailyard::totals::{By, StormTotals};
use model::Model;
use storms::{Draw, RandomStorm};

/// Reads and prices the files of a storm; they must be without an error.
#[track_caller]
fn priced(files: &InMemory) -> (Storm, Rates, PricedStorm) {
    let intake = read_storm(files, None);
    let errors: Vec<String> = intake
        .problems
        .sorted()
        .into_iter()
        .filter(|problem| problem.severity == Severity::Error)
        .map(ToString::to_string)
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let (storm, rates) = intake.storm.expect("a storm");
    let priced = price_storm(&storm, &rates);
    (storm, rates, priced)
}

/// Minor units per car: the six groups, total, owner's and payer's part.
fn figures(storm: &Storm, priced: &PricedStorm) -> Vec<Vec<i128>> {
    priced
        .cars
        .iter()
        .map(|car| {
            let units = |money: hailyard::money::Money| money.minor_units(storm.currency);
            let mut row: Vec<i128> = Group::ALL
                .into_iter()
                .map(|group| units(car.ledger.sum(group).known))
                .collect();
            row.push(units(car.total().known));
            row.push(car.owner_pays.map_or(0, units));
            row.push(car.payer_pays.map_or(0, units));
            row.push(i128::from(car.total().open));
            row
        })
        .collect()
}

#[test]
fn every_car_equals_the_model_to_the_cent() {
    for seed in 1..=1_500 {
        let random = RandomStorm::new(&mut Draw::new(seed));
        let (storm, _, priced) = priced(&random.files());
        let expected = Model::price(&random);
        assert_eq!(
            figures(&storm, &priced),
            expected,
            "seed {seed}\n{}",
            random.text()
        );
    }
}

#[test]
fn everything_foots() {
    for seed in 2_001..=2_300 {
        let random = RandomStorm::new(&mut Draw::new(seed));
        let (storm, _, priced) = priced(&random.files());
        for car in &priced.cars {
            let lines: hailyard::money::Money = car
                .ledger
                .lines()
                .iter()
                .filter_map(|line| line.amount)
                .sum();
            assert_eq!(lines, car.total().known);
            if let (Some(owner), Some(payer)) = (car.owner_pays, car.payer_pays) {
                assert_eq!(owner + payer, car.total().known);
            }
        }
        let totals = StormTotals::of(&storm, &priced).expect("totals");
        let whole = totals.storm().expect("the storm's row").clone();
        let parts: [fn(By) -> bool; 3] = [
            |by| matches!(by, By::Payer(_)),
            |by| matches!(by, By::Body(_)),
            |by| matches!(by, By::Panel(_)),
        ];
        for of in parts {
            let rows = || totals.rows.iter().filter(|row| of(row.by));
            for group in 0..6 {
                let sum: hailyard::money::Money = rows().map(|row| row.groups[group].known).sum();
                assert_eq!(sum, whole.groups[group].known, "seed {seed}");
            }
            assert_eq!(rows().map(|row| row.dents).sum::<u64>(), whole.dents);
            assert_eq!(rows().map(|row| row.oversize).sum::<u64>(), whole.oversize);
            assert_eq!(rows().map(|row| row.panels).sum::<u64>(), whole.panels);
        }
    }
}

#[test]
fn row_order_file_split_and_layout_change_nothing() {
    for seed in 3_001..=3_400 {
        let mut draw = Draw::new(seed);
        let random = RandomStorm::new(&mut draw);
        let (storm, _, first) = priced(&random.files());
        let expected = figures(&storm, &first);
        let (storm, _, shuffled) = priced(&random.files_shuffled(&mut draw));
        assert_eq!(
            figures(&storm, &shuffled),
            expected,
            "seed {seed}: order and split"
        );
        for layout in ["dents", "cars"] {
            let (storm, _, other) = priced(&random.files_as(layout));
            assert_eq!(figures(&storm, &other), expected, "seed {seed}: {layout}");
        }
    }
}

/// With grids that rise along bands and classes, `largest` or `each` (under
/// `predominant` a dent more may move the panel into another column), no limit
/// and an open last band: one dent more never makes the dents cheaper, nor
/// does aluminium where only aluminium has an uplift. A removal more never
/// makes R&I cheaper where one that includes another is not cheaper than it.
#[test]
fn more_or_harder_is_never_cheaper_where_no_rule_says_so() {
    for seed in 4_001..=4_400 {
        let mut draw = Draw::new(seed);
        let random = RandomStorm::rising(&mut draw);
        let (storm, _, before) = priced(&random.files());
        let more = random.with_one_dent_more(&mut draw);
        let (_, _, after) = priced(&more.files());
        let harder = random.all_aluminium();
        let (_, _, hard) = priced(&harder.files());
        let removed = random.with_one_removal_more(&mut draw);
        if let Some(removed) = removed {
            let (_, _, removed) = priced(&removed.files());
            for (before, after) in before.cars.iter().zip(&removed.cars) {
                let sum = |car: &hailyard::pricing::PricedCar| {
                    car.ledger.known([Group::Removal, Group::Parts])
                };
                assert!(sum(after) >= sum(before), "seed {seed}: a removal");
            }
        }
        for car in 0..storm.cars.len() {
            let dents = |priced: &PricedStorm| priced.cars[car].ledger.sum(Group::Dents).known;
            assert!(
                dents(&after) >= dents(&before),
                "seed {seed}: a dent more\n{}",
                random.text()
            );
            assert!(
                dents(&hard) >= dents(&before),
                "seed {seed}: aluminium\n{}",
                random.text()
            );
        }
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let pool = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("a pool")
    };
    let (one, three) = (pool(1), pool(3));
    for seed in 5_001..=5_100 {
        let random = RandomStorm::new(&mut Draw::new(seed));
        let (storm, rates, _) = priced(&random.files());
        let lines = |priced: &PricedStorm| {
            let cars: Vec<_> = priced
                .cars
                .iter()
                .map(|car| car.ledger.lines().to_vec())
                .collect();
            cars
        };
        let a = one.install(|| price_storm(&storm, &rates));
        let b = three.install(|| price_storm(&storm, &rates));
        assert_eq!(lines(&a), lines(&b));
        assert_eq!(figures(&storm, &a), figures(&storm, &b));
    }
}

#[test]
fn the_owners_together_never_pass_the_event_maximum() {
    let mut reached = 0;
    for seed in 6_001..=6_300 {
        let random = RandomStorm::new(&mut Draw::new(seed));
        let (storm, rates, priced) = priced(&random.files());
        for (payer, terms) in rates.terms.iter().enumerate() {
            let Some(most) = terms.deductible_event_max else {
                continue;
            };
            let owners: hailyard::money::Money = storm
                .cars
                .iter()
                .zip(&priced.cars)
                .filter(|(car, _)| car.vehicle.payer == payer)
                .filter_map(|(_, priced)| priced.owner_pays)
                .sum();
            assert!(owners <= most, "seed {seed}");
            reached += usize::from(owners == most && !most.is_zero());
        }
    }
    assert!(reached > 20, "the maximum was reached {reached} times");
}

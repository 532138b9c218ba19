//! Properties of pricing on random storms, whole: files in, bills out. First
//! among them that every bill equals that of a tiny independent model.

pub mod files;
mod footing;
pub mod layouts;
pub mod model;
mod monotone;
mod pay;
pub mod plain;
pub mod random_cards;
pub mod ratio;
mod received;
mod rounding;
pub mod sheets;
pub mod storms;
mod terms;
pub mod toml;

use files::{all, bills, price};
use hailyard::pricing::{Basis, Item, PricedStorm};
use hailyard::rates::Rates;
use hailyard::storm::{Group, Storm};
use plain::Lot;
use proptest::collection::vec;
use proptest::prelude::any;
use proptest::prop_assert_eq;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseResult, TestError, TestRng, TestRunner};
use sheets::one_sheet;
use std::cell::RefCell;
use std::collections::BTreeMap;
use storms::{Dice, lot};

/// Tries a property on so many storms of at most so many cars, the same ones
/// at every run. A storm that fails is shrunk and shown as its files.
#[track_caller]
fn check(cases: u32, most_cars: u32, property: impl Fn(&Lot, &mut Dice<'_>) -> TestCaseResult) {
    let config = Config {
        cases,
        failure_persistence: None,
        max_shrink_iters: 20_000,
        ..Config::default()
    };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let most = 400 + 100 * most_cars as usize;
    let outcome = runner.run(&vec(any::<u16>(), most / 4..=most), |rolls| {
        let mut dice = Dice::new(&rolls);
        let lot = lot(&mut dice, most_cars);
        property(&lot, &mut dice)
    });
    match outcome {
        Ok(()) => {}
        Err(TestError::Abort(reason)) => panic!("{reason}"),
        Err(TestError::Fail(reason, rolls)) => {
            let lot = lot(&mut Dice::new(&rolls), most_cars);
            let files = all(&lot, one_sheet(&lot));
            let shown = files
                .iter()
                .map(|(path, text)| format!("== {path}\n{text}"));
            panic!("{reason}\n{}", shown.collect::<String>());
        }
    }
}

/// Lines, status, total, who pays, dents and referrals of every car; and the
/// storms reach every rule, so that being equal means something.
#[test]
fn every_car_equals_the_model_to_the_cent() {
    let reached = RefCell::new(BTreeMap::<&str, u32>::new());
    check(1_500, 6, |lot, _| {
        let (storm, rates, priced) = price(all(lot, one_sheet(lot)))?;
        prop_assert_eq!(bills(&storm, &rates, &priced), model::price(lot));
        for rule in rules(lot, &storm, &rates, &priced) {
            *reached.borrow_mut().entry(rule).or_default() += 1;
        }
        Ok(())
    });
    let reached = reached.into_inner();
    assert_eq!(reached.len(), 28, "{reached:#?}");
    assert!(reached.values().all(|times| *times >= 40), "{reached:#?}");
}

/// The rules that had a say in a storm, once for each time.
fn rules(lot: &Lot, storm: &Storm, rates: &Rates, priced: &PricedStorm) -> Vec<&'static str> {
    let mut rules: Vec<&'static str> = Vec::new();
    for (car, done) in storm.cars.iter().zip(&priced.cars) {
        let terms = &rates.terms[car.vehicle.payer];
        rules.push(done.status.word());
        rules.extend(done.total_loss.map(|flag| flag.word()));
        rules.extend(done.ledger.lines().iter().map(|line| match line.basis {
            Basis::Band { hours: None, .. } => "a grid in money",
            Basis::Band { .. } => "a grid in hours",
            Basis::Each { .. } => "an oversize step",
            Basis::Quote { .. } => "dents above all steps",
            Basis::PercentOf { .. } => "an uplift",
            Basis::Held { .. } => "a limit that holds",
            Basis::Referred { reason, .. } => reason.word(),
            Basis::Labour { .. } => "a removal",
            Basis::In { .. } => "a removal in another",
            Basis::Card { .. } if line.group == Group::Parts => "parts",
            Basis::Card { .. } => "an extra",
            Basis::Agreed { .. } if matches!(line.item, Item::Agreed(_)) => "an agreed line",
            Basis::Agreed { .. } => "an open line agreed",
            Basis::PercentOff { .. } => "a discount",
            Basis::UpTo { .. } => "a minimum",
            Basis::TaxOn { .. } => "a tax",
        }));
        let own = car.vehicle.deductible.or(terms.deductible);
        if let (Some(own), Some(owner)) = (own, done.owner_pays)
            && owner < own.min(done.total().known)
        {
            let partly = !owner.is_zero();
            rules.push(if partly {
                "the car that crosses"
            } else {
                "a car past"
            });
        }
    }
    for car in &lot.cars {
        let card = lot.card_of(car);
        rules.extend(car.panels.iter().filter_map(|count| {
            let (by_class, _) = model::sorted(card, count);
            let most = by_class.iter().max().filter(|most| **most > 0)?;
            let tied = by_class.iter().filter(|dents| *dents == most).count() > 1;
            (tied && card.mixed == "predominant").then_some("a tie")
        }));
    }
    rules.extend(priced.tiers.iter().flatten().map(|_| "a lot tier"));
    rules
}

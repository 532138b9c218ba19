//! That being equal means something: the lots reach every rule, and what is
//! compared can differ.

use super::both::both;
use super::lots::{Kind, STORM, enough, lot};
use super::sheet::{Look, write};
use super::tables;
use crate::properties::model::{Priced, priced};
use crate::properties::plain::Lot;
use crate::properties::ratio::Ratio;
use crate::properties::storms::Dice;
use std::collections::BTreeMap;

/// The rules that had a say in a lot, once for each time.
fn rules(lot: &Lot, priced: &[Priced]) -> Vec<String> {
    let mut rules = Vec::new();
    let mut say = |rule: &str| rules.push(rule.to_owned());
    for (car, done) in lot.cars.iter().zip(priced) {
        let payer = &lot.payers[car.payer];
        say(done.status);
        say(done.flag);
        let own = car.deductible.or(payer.deductible);
        let part = own.map(|own| own.min(done.total));
        let partly = part.is_some_and(|part| done.owner < part);
        let nothing = done.owner.is_zero();
        match (partly, nothing) {
            (true, false) => say("the car that crosses the event maximum"),
            (true, true) => say("a car past the event maximum"),
            _ => {}
        }
        for line in &done.lines {
            let free = line.amount == Some(Ratio::ZERO) && line.group == "removal";
            let first = line.item.split(' ').next().expect("a word");
            match (line.group, first, line.amount) {
                ("removal", ..) if free => say("a removal in another"),
                ("removal", ..) => say("a removal"),
                ("parts" | "extra", ..) if !line.panel.is_empty() => say("parts, extras of panels"),
                ("parts" | "extra", ..) => say(line.group),
                (_, "discount", _) if payer.discounts.is_empty() => say("a lot tier alone"),
                (_, _, None) => say(&format!("{first} by quote")),
                _ => say(first),
            }
        }
    }
    rules
}

#[test]
fn the_lots_reach_every_rule() {
    let mut reached = BTreeMap::<String, u32>::new();
    for seed in [6, 7] {
        let kind = Kind {
            odd: 30,
            payers: 3,
            uncounted: true,
            ..Kind::plain(seed, 400)
        };
        let rolls = enough(&kind);
        let lot = lot(&kind, &mut Dice::new(&rolls));
        for rule in rules(&lot, &priced(&lot)) {
            *reached.entry(rule).or_default() += 1;
        }
    }
    reached.remove("");
    let crosses = reached.remove("the car that crosses the event maximum");
    assert!(crosses >= Some(2), "{crosses:?} {reached:#?}");
    assert_eq!(reached.len(), 23, "{reached:#?}");
    assert!(reached.values().all(|times| *times >= 10), "{reached:#?}");
}

/// What is compared can differ: one dent more in one row, and the files are others.
#[test]
fn a_single_dent_is_seen() {
    let kind = Kind::plain(1, 300);
    let rolls = enough(&kind);
    let mut dice = Dice::new(&rolls);
    let made = lot(&kind, &mut dice);
    let (mut lot, files) = write(&kind, &Look::PLAIN, &made, &mut dice);
    let car = &mut lot.cars[211];
    car.panels[0].sized[3] += 1;
    let priced = priced(&lot);
    let found = both(&files, &[]);
    assert_ne!(found.text("cars.csv"), tables::cars(&lot, &priced));
    assert_ne!(
        found.text("totals.csv"),
        tables::totals(&lot, STORM, &priced)
    );
}

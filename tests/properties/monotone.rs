//! More work never costs less, on cards where that can be asked for.

use super::check;
use super::files::{all, price};
use super::model;
use super::plain::Lot;
use super::ratio::Ratio;
use super::sheets::one_sheet;
use super::storms::{Dice, SOME_PANELS};
use hailyard::money::Money;
use hailyard::pricing::Item;
use hailyard::storm::Group;
use proptest::prop_assert;
use proptest::test_runner::TestCaseError;

/// A storm whose cards let work be compared:
///
/// * cells rise, or stay, along the bands and along the classes;
/// * no limit, no count above a grid, no agreed amount;
/// * an uplift that asks for a metal asks for aluminium alone;
/// * what includes other removals is included by none, and takes an hour more
///   than all that it includes, counted once per panel where they can be.
fn tame(lot: &Lot) -> Lot {
    let mut lot = lot.clone();
    lot.agreed.clear();
    let panels = u32::try_from(SOME_PANELS.len()).expect("a few");
    for card in &mut lot.cards {
        card.limits.clear();
        card.removal_rate = card.removal_rate + Ratio::whole(10);
        for grid in &mut card.grids {
            for band in 0..grid.cells.len() {
                for class in 0..card.sizes.len() {
                    let below = band.checked_sub(1).map(|band| grid.cells[band][class]);
                    let left = class.checked_sub(1).map(|class| grid.cells[band][class]);
                    let cell = &mut grid.cells[band][class];
                    *cell = below.into_iter().chain(left).fold(*cell, Ord::max);
                }
            }
            if let Some(last) = grid.bands.last_mut() {
                last.1 = None;
            }
        }
        for uplift in &mut card.uplifts {
            if !uplift.metal.is_empty() {
                uplift.metal = vec!["aluminium"];
            }
        }
        let known = card.removals.clone();
        let named = |code: &&str| known.iter().find(|removal| removal.code == *code);
        for removal in &mut card.removals {
            removal
                .includes
                .retain(|code| named(code).is_some_and(|r| r.includes.is_empty()));
            let included = removal.includes.iter().filter_map(named);
            let hours = included.map(|other| {
                let most = other.hours.iter().map(|(_, hours)| *hours);
                let times = if other.per_panel { panels } else { 1 };
                most.fold(Ratio::ZERO, Ord::max) * Ratio::whole(times)
            });
            if !removal.includes.is_empty() {
                removal.hours = vec![("other", Ratio::whole(1) + hours.sum())];
            }
        }
    }
    lot
}

/// Per car, what stands in a group before discount and minimum.
fn sums(lot: &Lot, group: Group) -> Result<Vec<Money>, TestCaseError> {
    let (_, _, priced) = price(all(lot, one_sheet(lot)))?;
    let cars = priced.cars.iter().map(|car| {
        let lines = car.ledger.lines().iter().filter(|line| {
            line.group == group && !matches!(line.item, Item::Discount | Item::Minimum)
        });
        lines.filter_map(|line| line.amount).sum()
    });
    Ok(cars.collect())
}

/// A car with a counted panel, and the panel.
fn somewhere(lot: &Lot, dice: &mut Dice<'_>) -> Option<(usize, usize)> {
    let rows = super::sheets::rows(lot);
    (!rows.is_empty()).then(|| dice.pick(&rows))
}

/// One dent more, in the predominant class where only that class gives the
/// column (another may move the column to a cheaper one), else in any, or
/// too big for all.
#[test]
fn one_dent_more_never_costs_less() {
    check(600, 2, |lot, dice| {
        let lot = tame(lot);
        let Some((car, panel)) = somewhere(&lot, dice) else {
            return Ok(());
        };
        let mut more = lot.clone();
        let card = lot.card_of(&lot.cars[car]);
        let count = &mut more.cars[car].panels[panel];
        let (by_class, _) = model::sorted(card, count);
        let class = match card.mixed {
            "predominant" => model::predominant(&by_class),
            _ => dice.below(u32::try_from(by_class.len()).expect("four")) as usize,
        };
        match dice.below(4) {
            0 => count.measured.push((Ratio::dec(599, 0), 1)),
            1 => count.measured.push((card.sizes[class].1, 1)),
            _ => count.sized[class] += 1,
        }
        let (before, after) = (sums(&lot, Group::Dents)?, sums(&more, Group::Dents)?);
        prop_assert!(after[car] >= before[car], "{before:?} {after:?}");
        Ok(())
    });
}

#[test]
fn aluminium_never_costs_less_than_steel_where_only_it_has_uplifts() {
    check(600, 2, |lot, dice| {
        let mut steel = tame(lot);
        let Some((car, panel)) = somewhere(&steel, dice) else {
            return Ok(());
        };
        steel.cars[car].panels[panel].metal = "steel";
        let mut aluminium = steel.clone();
        aluminium.cars[car].panels[panel].metal = "aluminium";
        let before = sums(&steel, Group::Dents)?;
        let after = sums(&aluminium, Group::Dents)?;
        prop_assert!(after[car] >= before[car], "{before:?} {after:?}");
        Ok(())
    });
}

#[test]
fn one_removal_more_never_costs_less() {
    check(600, 2, |lot, dice| {
        let lot = tame(lot);
        let Some((car, panel)) = somewhere(&lot, dice) else {
            return Ok(());
        };
        let removals = &lot.card_of(&lot.cars[car]).removals;
        if removals.is_empty() {
            return Ok(());
        }
        let codes: Vec<&'static str> = removals.iter().map(|removal| removal.code).collect();
        let code = dice.pick(&codes);
        let mut more = lot.clone();
        let listed = &mut more.cars[car].panels[panel].remove;
        listed.retain(|known| *known != code);
        listed.push(code);
        let (before, after) = (sums(&lot, Group::Removal)?, sums(&more, Group::Removal)?);
        prop_assert!(after[car] >= before[car], "{before:?} {after:?}");
        Ok(())
    });
}

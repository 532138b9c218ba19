//! Random rate cards.

use super::plain::{Card, Extra, Grid, Limit, Removal, Uplift, Words};
use super::ratio::Ratio;
use super::storms::{ACCESSES, BODIES, Dice, METALS, SOME_PANELS, size_names};

/// A sound card.
pub fn card(dice: &mut Dice<'_>, places: u32) -> Card {
    let names = size_names(dice);
    card_of(dice, places, &names)
}

/// A sound card with these size classes.
pub fn card_of(dice: &mut Dice<'_>, places: u32, names: &[&'static str]) -> Card {
    let mut upto = Ratio::dec(1_000, 2);
    let mut grow = |dice: &mut Dice<'_>| {
        upto = upto + Ratio::dec(1 + dice.below(800), 2);
        upto
    };
    let sizes: Vec<_> = names.iter().map(|name| (*name, grow(dice))).collect();
    let steps = (0..dice.below(3))
        .map(|_| (grow(dice), dice.fine_amount(places)))
        .collect();
    Card {
        half_even: dice.once_in(2),
        mixed: dice.pick(&["predominant", "largest", "each"]),
        compound: dice.once_in(2),
        hour_rate: dice.fine_amount(places),
        removal_rate: dice.fine_amount(places),
        grids: grids(dice, places, sizes.len()),
        sizes,
        steps,
        uplifts: (0..dice.below(5))
            .map(|index| uplift(dice, index))
            .collect(),
        limits: (0..dice.below(4))
            .map(|_| Limit {
                panels: panels(dice, 2),
                amount: dice.fine_amount(places) * Ratio::whole(1 + dice.below(2)),
                refers: dice.once_in(3),
            })
            .collect(),
        conventional: (0..dice.below(4))
            .map(|_| (panels(dice, 3), dice.fine_amount(places)))
            .collect(),
        removals: removals(dice, places),
        extras: ["cover film", "cavity fill", "last wash"]
            .into_iter()
            .filter_map(|name| {
                dice.maybe(2, |dice| Extra {
                    name,
                    per_panel: dice.once_in(2),
                    amount: dice.fine_amount(places),
                })
            })
            .collect(),
    }
}

/// Some panels, or once in `n` none named.
fn panels(dice: &mut Dice<'_>, n: u32) -> Words {
    match dice.once_in(n) {
        true => Vec::new(),
        false => dice.some_of(&SOME_PANELS, 4),
    }
}

fn grids(dice: &mut Dice<'_>, places: u32, classes: usize) -> Vec<Grid> {
    let all = dice.below(3);
    let without_panels = dice.below(all + 1);
    (0..=all)
        .map(|index| {
            let hours = dice.once_in(3);
            let mut from = 1;
            let bands: Vec<(u32, Option<u32>)> = (0..=dice.below(4))
                .map(|_| {
                    let first = from;
                    from += 1 + match dice.below(3) {
                        0 => 0,
                        1 => dice.below(5),
                        _ => dice.below(30),
                    };
                    (first, Some(from - 1))
                })
                .collect();
            let cells = bands.iter().map(|_| {
                let cell = |_| match hours {
                    true => Ratio::dec(dice.below(900), 2),
                    false => dice.fine_amount(places),
                };
                (0..classes).map(cell).collect()
            });
            let cells = cells.collect();
            let mut grid = Grid {
                panels: Vec::new(),
                hours,
                bands,
                cells,
            };
            if index != without_panels {
                grid.panels = dice.some_of(&SOME_PANELS, 3);
            }
            if let (Some(last), false) = (grid.bands.last_mut(), dice.once_in(4)) {
                last.1 = None;
            }
            grid
        })
        .collect()
}

fn uplift(dice: &mut Dice<'_>, index: u32) -> Uplift {
    let condition = |dice: &mut Dice<'_>, all: &[&'static str]| {
        dice.maybe(3, |dice| dice.some_of(all, all.len() - 1))
            .unwrap_or_default()
    };
    let most = dice.pick(&[100, 100, 1_000]);
    Uplift {
        name: ["hard metal", "no way in", "tall", "edge"][index as usize].to_owned(),
        percent: dice.percent(most),
        on: dice.some_of(&["dents", "oversize"], 2),
        metal: condition(dice, &METALS),
        access: condition(dice, &ACCESSES),
        panels: condition(dice, &SOME_PANELS),
        bodies: condition(dice, &BODIES),
    }
}

fn removals(dice: &mut Dice<'_>, places: u32) -> Vec<Removal> {
    // Byte order is neither theirs nor that of letters alone.
    let mut codes = ["b-seal", "Clip row", "a-lamp", "Trim", "lining", "Z"];
    dice.shuffle(&mut codes);
    let count = dice.below(6) as usize;
    let mut removals: Vec<Removal> = (0..count)
        .map(|index| Removal {
            code: codes[index],
            hours: hours(dice),
            per_panel: dice.once_in(2),
            parts: dice.maybe(2, |dice| dice.fine_amount(places)),
            // Only codes that come after it, so that there is no ring.
            includes: dice.some(&codes[index + 1..count.max(index + 1)], 2),
            auto: (0..dice.below(3))
                .map(|_| (dice.some_of(&SOME_PANELS, 4), 1 + dice.below(25)))
                .collect(),
        })
        .collect();
    dice.shuffle(&mut removals);
    removals
}

fn hours(dice: &mut Dice<'_>) -> Vec<(&'static str, Ratio)> {
    let mut hours = vec![("other", Ratio::dec(dice.below(500), 2))];
    if dice.once_in(2) {
        let bodies = dice.some(&BODIES[1..], 4);
        hours.extend(
            bodies
                .into_iter()
                .map(|body| (body, Ratio::dec(dice.below(500), 2))),
        );
    }
    hours
}

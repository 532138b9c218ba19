//! Rate cards for big lots: one of the usual kind, with every rule on it, and
//! random ones with so many classes.

use crate::properties::plain::{Card, Extra, Grid, Limit, Removal, Uplift};
use crate::properties::ratio::Ratio;
use crate::properties::storms::Dice;

/// Names of size classes, smallest first.
pub const CLASSES: [&str; 7] = ["pea", "bean", "olive", "plum", "peach", "melon", "gourd"];

/// A card on which every rule of pricing has a say, with these classes.
/// Limits go up by 4 mm from 14; the ladder's two steps lie above.
pub fn usual(dice: &mut Dice<'_>, names: &[&'static str]) -> Card {
    // To half a hundredth, which is finer than most currencies.
    let amount = |dice: &mut Dice<'_>, units: u32| {
        Ratio::dec(10 * (units + dice.below(units)) + dice.pick(&[0, 0, 5]), 3)
    };
    let classes = u32::try_from(names.len()).expect("a few");
    let upto = |class: u32| Ratio::whole(14 + 4 * class);
    let bands: Vec<(u32, Option<u32>)> = [1, 5, 10, 20, 35, 55, 80, 110, 150, 200]
        .windows(2)
        .map(|pair| (pair[0], Some(pair[1] - 1)))
        .chain([(200, None)])
        .collect();
    let cells = |dice: &mut Dice<'_>, bands: u32| -> Vec<Vec<Ratio>> {
        (0..bands)
            .map(|band| {
                (0..classes)
                    .map(|class| amount(dice, 3_000 + 1_500 * band + 600 * class))
                    .collect()
            })
            .collect()
    };
    let grids = vec![
        Grid {
            panels: Vec::new(),
            hours: false,
            cells: cells(dice, 10),
            bands,
        },
        Grid {
            panels: vec!["rail-l", "rail-r", "cowl"],
            hours: false,
            bands: vec![(1, Some(2)), (3, Some(9)), (10, Some(60))],
            cells: cells(dice, 3),
        },
    ];
    Card {
        half_even: false,
        mixed: "predominant",
        compound: false,
        hour_rate: Ratio::whole(64),
        removal_rate: Ratio::dec(5_835, 2),
        sizes: names.iter().copied().zip((0..).map(upto)).collect(),
        grids,
        steps: vec![
            (upto(classes), amount(dice, 3_000)),
            (upto(classes + 6), amount(dice, 5_000)),
        ],
        uplifts: uplifts(),
        limits: vec![
            limit(vec!["hood", "decklid"], 240, false),
            limit(vec!["roof"], 400, true),
            limit(Vec::new(), 300, false),
        ],
        conventional: vec![
            (vec!["roof", "rail-l"], Ratio::whole(915)),
            (vec!["hood"], Ratio::whole(710)),
        ],
        removals: removals(),
        extras: vec![
            Extra {
                name: "cavity wax",
                per_panel: true,
                amount: Ratio::dec(650, 2),
            },
            Extra {
                name: "wash",
                per_panel: false,
                amount: Ratio::whole(21),
            },
        ],
    }
}

fn limit(panels: Vec<&'static str>, amount: u32, refers: bool) -> Limit {
    Limit {
        panels,
        amount: Ratio::whole(amount),
        refers,
    }
}

fn uplifts() -> Vec<Uplift> {
    let uplift = |name: &str, thousandths: u32| Uplift {
        name: name.to_owned(),
        percent: Ratio::dec(thousandths, 3),
        on: vec!["dents", "oversize"],
        metal: Vec::new(),
        access: Vec::new(),
        panels: Vec::new(),
        bodies: Vec::new(),
    };
    vec![
        Uplift {
            metal: vec!["aluminium"],
            ..uplift("soft metal", 25_000)
        },
        Uplift {
            on: vec!["dents"],
            panels: vec!["roof"],
            bodies: vec!["suv", "van", "pickup"],
            ..uplift("tall roof", 12_500)
        },
        Uplift {
            access: vec!["braced", "glue"],
            metal: vec!["aluminium", "high-strength"],
            ..uplift("no way in", 7_125)
        },
    ]
}

fn removals() -> Vec<Removal> {
    let removal = |code: &'static str, hundredths: u32| Removal {
        code,
        hours: vec![("other", Ratio::dec(hundredths, 2))],
        per_panel: false,
        parts: None,
        includes: Vec::new(),
        auto: Vec::new(),
    };
    vec![
        Removal {
            parts: Some(Ratio::dec(1_415, 2)),
            includes: vec!["antenna"],
            hours: vec![
                ("other", Ratio::dec(320, 2)),
                ("suv", Ratio::dec(380, 2)),
                ("sedan", Ratio::dec(265, 2)),
            ],
            auto: vec![(vec!["roof"], 20), (vec!["rail-l", "rail-r"], 12)],
            ..removal("headliner", 0)
        },
        removal("antenna", 15),
        Removal {
            per_panel: true,
            parts: Some(Ratio::dec(305, 2)),
            auto: vec![(vec!["door-fl", "door-fr"], 15)],
            ..removal("Trim", 45)
        },
        Removal {
            per_panel: true,
            includes: vec!["Trim"],
            ..removal("seal", 33)
        },
        removal("a-lamp", 50),
    ]
}

/// The same card with every grid in hours.
pub fn in_hours(mut card: Card) -> Card {
    for grid in &mut card.grids {
        grid.hours = true;
        for cell in grid.cells.iter_mut().flatten() {
            // Some hours of three decimals, below 3, one in the place of another amount.
            *cell = (*cell * Ratio::new(7, 400)).round(3, false);
        }
    }
    card
}

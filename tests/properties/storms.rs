//! Random small storms. Every choice is one roll, and a roll of 0 is the
//! plainest choice, so that what shrinks the rolls shrinks the storm.

use super::model;
use super::plain::{Agreed, Car, Count, GROUPS, Lot, Payer, SIZES, Tax, TotalLoss};
use super::random_cards::card;
use super::ratio::Ratio;

/// Panels that cars of these storms have; a few, so that cards meet them.
pub const SOME_PANELS: [&str; 7] = [
    "hood", "cowl", "roof", "fender-l", "rail-r", "door-rl", "rocker-r",
];
pub const BODIES: [&str; 8] = [
    "other", "sedan", "hatch", "wagon", "coupe", "suv", "van", "pickup",
];
pub const METALS: [&str; 3] = ["steel", "aluminium", "high-strength"];
pub const ACCESSES: [&str; 3] = ["open", "braced", "glue"];

/// Rolls, and how many of them are used up. After the last, all are 0.
pub struct Dice<'a> {
    rolls: std::slice::Iter<'a, u16>,
}

impl<'a> Dice<'a> {
    pub fn new(rolls: &'a [u16]) -> Dice<'a> {
        Dice {
            rolls: rolls.iter(),
        }
    }

    /// How many rolls are left.
    pub fn left(&self) -> usize {
        self.rolls.len()
    }

    /// From 0 to below `end`.
    pub fn below(&mut self, end: u32) -> u32 {
        let roll = self.rolls.next().copied().unwrap_or(0);
        (u32::from(roll) * end) >> 16
    }

    /// True once in `n`, and never where rolls are 0.
    pub fn once_in(&mut self, n: u32) -> bool {
        self.below(n) == n - 1
    }

    pub fn pick<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(u32::try_from(all.len()).expect("a short list")) as usize]
    }

    /// Some of them, at most `most`, in their own order.
    pub fn some<T: Copy>(&mut self, all: &[T], most: usize) -> Vec<T> {
        let mut left: Vec<usize> = (0..all.len()).collect();
        let most = u32::try_from(most.min(all.len())).expect("a short list");
        let mut chosen: Vec<usize> = (0..self.below(most + 1))
            .map(|_| left.remove(self.below(u32::try_from(left.len()).expect("short")) as usize))
            .collect();
        chosen.sort_unstable();
        chosen.into_iter().map(|index| all[index]).collect()
    }

    /// The same, at least one.
    pub fn some_of<T: Copy>(&mut self, all: &[T], most: usize) -> Vec<T> {
        let first = self.pick(all);
        let some = self.some(all, most);
        if some.is_empty() { vec![first] } else { some }
    }

    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for end in (1..list.len()).rev() {
            let other = self.below(u32::try_from(end + 1).expect("a short list")) as usize;
            list.swap(end - other, end);
        }
    }

    /// An amount of whole minor units.
    pub fn amount(&mut self, places: u32) -> Ratio {
        Ratio::dec(self.below(60_000), places)
    }

    /// An amount of a card, which may be finer than the currency: often by half a unit.
    pub fn fine_amount(&mut self, places: u32) -> Ratio {
        let more = self.pick(&[0, 0, 0, 50, 25, 75, 1, 99]);
        self.amount(places) + Ratio::dec(more, places + 2)
    }

    /// A percent up to so many.
    pub fn percent(&mut self, most: u32) -> Ratio {
        let usual = [0, 1_000, 10_000, 12_500, 25_000, 2_500, 50_000, 33_333];
        let thousandths = match self.below(3) {
            0 | 1 => self.pick(&usual),
            _ => self.below(65_000) * most / 65,
        };
        Ratio::dec(thousandths.min(most * 1_000), 3)
    }

    pub fn maybe<T>(&mut self, n: u32, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.once_in(n).then(|| make(self))
    }
}

/// A storm of at most so many cars.
pub fn lot(dice: &mut Dice<'_>, most_cars: u32) -> Lot {
    let (currency, places) = dice.pick(&[("USD", 2), ("JPY", 0), ("KWD", 3)]);
    let cards = vec![card(dice, places), card(dice, places)];
    let mut payers = vec![payer(dice, "Harl Cover", places)];
    payers.extend(dice.maybe(2, |dice| payer(dice, "Owner fund", places)));
    let mut lot = Lot {
        currency,
        places,
        payers,
        cards,
        cars: Vec::new(),
        agreed: Vec::new(),
    };
    for index in 0..=dice.below(most_cars) {
        let car = car(dice, &lot, index);
        lot.cars.push(car);
    }
    for (index, payer) in lot.payers.iter_mut().enumerate() {
        let mut own = lot.cars.iter().filter(|car| car.payer == index);
        if payer.deductible.is_none() && own.all(|car| car.deductible.is_none()) {
            payer.event_max = None;
        }
    }
    agree(dice, &mut lot);
    value(dice, &mut lot);
    lot
}

/// Values of cars, some of which make their price exactly the part of it at
/// which the car counts as lost.
fn value(dice: &mut Dice<'_>, lot: &mut Lot) {
    for payer in &mut lot.payers {
        payer.total_loss = dice.maybe(2, |dice| TotalLoss {
            percent: dice.pick(&[Ratio::whole(75), Ratio::whole(50), Ratio::dec(625, 1)]),
            at_least: dice.once_in(2),
            hail_exempt: dice.once_in(8),
        });
    }
    let totals = model::priced(lot).into_iter().map(|done| done.total);
    for (car, total) in lot.cars.iter_mut().zip(totals) {
        // 8 / 5 of the total: 62.5 percent of it are the total.
        let edge = (total * Ratio::new(8, 5)).round(lot.places, false);
        car.value = match dice.below(4) {
            0 => None,
            1 => Some(edge),
            _ => Some(dice.amount(lot.places) * Ratio::whole(dice.below(5))),
        };
    }
}

fn payer(dice: &mut Dice<'_>, name: &'static str, places: u32) -> Payer {
    let groups = &GROUPS[..5];
    // At most 2 × 30 and a tier of 40: 100 together.
    let entries = dice.below(3);
    let discounts = (0..entries)
        .map(|_| (dice.some_of(groups, 5), dice.percent(30)))
        .collect();
    let mut from = 0;
    let tiers = (0..dice.below(3))
        .map(|_| {
            from += 1 + dice.below(3);
            (from, dice.percent(40))
        })
        .collect();
    let taxes = ["state", "city"].map(|name| {
        dice.maybe(2, |dice| Tax {
            name,
            on: dice.some_of(groups, 5),
            percent: dice.percent(100),
        })
    });
    Payer {
        name,
        card: dice.below(2) as usize,
        discounts,
        tiers,
        minimum: dice.maybe(3, |dice| {
            dice.amount(places) * Ratio::whole(1 + dice.below(9))
        }),
        taxes: taxes.into_iter().flatten().collect(),
        deductible: dice.maybe(2, |dice| dice.amount(places)),
        event_max: dice.maybe(2, |dice| {
            dice.amount(places) * Ratio::whole(1 + dice.below(3))
        }),
        total_loss: None,
    }
}

fn car(dice: &mut Dice<'_>, lot: &Lot, index: u32) -> Car {
    let payer = dice.below(u32::try_from(lot.payers.len()).expect("two")) as usize;
    let prefix = ["K", "b-", "Z", "m "][index as usize % 4];
    let mut car = Car {
        stock: format!("{prefix}{:02}", index * 37 % 100),
        body: dice.pick(&BODIES),
        payer,
        deductible: dice.maybe(4, |dice| dice.amount(lot.places)),
        value: None,
        panels: Vec::new(),
    };
    let mut panels = match dice.once_in(8) {
        true => Vec::new(),
        false => dice.some_of(&SOME_PANELS, 5),
    };
    dice.shuffle(&mut panels);
    car.panels = panels
        .into_iter()
        .map(|panel| count(dice, lot, &car, panel))
        .collect();
    car
}

fn count(dice: &mut Dice<'_>, lot: &Lot, car: &Car, panel: &'static str) -> Count {
    let card = lot.card_of(car);
    let mut sized: Vec<u32> = Vec::new();
    for class in 0..card.sizes.len() {
        let before = sized.last().copied().unwrap_or(0);
        sized.push(match (dice.below(5), class) {
            (0, _) => 0,
            (1, 1..) => before,
            (1 | 2, _) => dice.below(7),
            _ => dice.below(31),
        });
    }
    // Diameters on the limits of classes and steps, or a hair away.
    let limits = card.sizes.iter().map(|(_, upto)| *upto);
    let limits: Vec<Ratio> = limits.chain(card.steps.iter().map(|step| step.0)).collect();
    let measured = (0..dice.below(7).saturating_sub(3))
        .map(|_| {
            let diameter = match dice.below(4) {
                0 => dice.pick(&limits),
                1 => dice.pick(&limits) + Ratio::dec(1, 2),
                2 => Ratio::dec(100 + dice.below(7_000), 2),
                _ => Ratio::dec(127, 2) * Ratio::whole(1 + dice.below(60)),
            };
            (diameter, 1 + dice.below(3))
        })
        .collect();
    let codes: Vec<&'static str> = card.removals.iter().map(|removal| removal.code).collect();
    Count {
        panel,
        sized,
        measured,
        metal: dice.pick(&METALS),
        access: dice.pick(&ACCESSES),
        remove: dice.some(&codes, 2),
        conventional: dice.once_in(12),
        prior: dice.below(12).saturating_sub(6),
    }
}

/// Agreements: half of the lines without an amount get one, and some cars get
/// lines of their own.
fn agree(dice: &mut Dice<'_>, lot: &mut Lot) {
    for (car, bill) in model::price(lot).iter().enumerate() {
        for line in &bill.lines {
            let [panel, group, item, _, ""] = line.split('|').collect::<Vec<_>>()[..] else {
                continue;
            };
            if dice.once_in(2) {
                let group = GROUPS.iter().find(|known| **known == group);
                lot.agreed.push(Agreed {
                    car,
                    panel: panel.to_owned(),
                    group: dice.pick(&["", *group.expect("a group")]),
                    item: item.to_owned(),
                    amount: dice.amount(lot.places),
                });
            }
        }
        for item in ["pane", "sensor set-up"] {
            if bill.status != "uncounted" && dice.once_in(6) {
                lot.agreed.push(Agreed {
                    car,
                    panel: dice.pick(&["", "hood", "bed-l"]).to_owned(),
                    group: dice.pick(&GROUPS[..5]),
                    item: item.to_owned(),
                    amount: dice.amount(lot.places),
                });
            }
        }
    }
}

/// The class names of a card with so many classes, some left out between.
pub fn size_names(dice: &mut Dice<'_>) -> Vec<&'static str> {
    let mut names = SIZES.to_vec();
    for _ in 0..1 + dice.below(3) {
        let out = dice.below(u32::try_from(names.len()).expect("five")) as usize;
        names.remove(out);
    }
    names
}

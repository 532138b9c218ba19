//! Random lots of so many cars: what stands in their rows is rolled, what
//! kind of lot it is is asked for.

use super::cards;
use crate::properties::model::priced;
use crate::properties::plain::{Car, Card, Count, Lot, PANELS, Payer, Tax, TotalLoss};
use crate::properties::random_cards::card_of;
use crate::properties::ratio::Ratio;
use crate::properties::storms::{ACCESSES, BODIES, Dice, METALS};

/// The name of a storm that the terms are written for.
pub const STORM: &str = "Small storm";

/// Panels that every body has.
const QUIET: [&str; 8] = [
    "hood",
    "roof",
    "fender-l",
    "fender-r",
    "rail-l",
    "rail-r",
    "door-fl",
    "quarter-r",
];

/// What kind of lot.
#[derive(Clone)]
pub struct Kind {
    pub seed: u64,
    pub cars: u32,
    pub currency: (&'static str, u32),
    /// How many classes each card has: one card or two.
    pub classes: Vec<usize>,
    /// Cards with random rules, not the usual one.
    pub random_cards: bool,
    pub mixed: &'static str,
    pub half_even: bool,
    pub hours: bool,
    pub payers: usize,
    /// Of a hundred rows, so many say more than counts.
    pub odd: u32,
    /// Every dent of a panel counts as one size.
    pub one_size: bool,
    pub hard_stocks: bool,
    /// Whether the list has cars that nobody counted.
    pub uncounted: bool,
    /// Nothing in it is worth a caution: four panels a car that every body
    /// has, six to twelve dents each.
    pub quiet: bool,
}

impl Kind {
    /// Plain panel rows on one usual card, one payer with all terms.
    pub fn plain(seed: u64, cars: u32) -> Kind {
        Kind {
            seed,
            cars,
            currency: ("USD", 2),
            classes: vec![4],
            random_cards: false,
            mixed: "predominant",
            half_even: false,
            hours: false,
            payers: 1,
            odd: 0,
            one_size: false,
            hard_stocks: false,
            uncounted: false,
            quiet: false,
        }
    }
}

/// Rolls of a seed: the splitmix64 generator (Steele, Lea and Flood 2014).
pub fn rolls(mut seed: u64, count: usize) -> Vec<u16> {
    let mut next = || {
        seed = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = seed;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    // The upper 16 bits of each.
    (0..count).map(|_| (next() >> 48) as u16).collect()
}

/// Rolls for so many cars, more than enough.
pub fn enough(kind: &Kind) -> Vec<u16> {
    rolls(kind.seed, 5_000 + 1_200 * kind.cars as usize)
}

/// A lot of that kind.
pub fn lot(kind: &Kind, dice: &mut Dice<'_>) -> Lot {
    let (currency, places) = kind.currency;
    let card = |dice: &mut Dice<'_>, classes: &usize| {
        let names = &cards::CLASSES[..*classes];
        let mut card = match kind.random_cards {
            true => card_of(dice, places, names),
            false => cards::usual(dice, names),
        };
        if kind.hours {
            card = cards::in_hours(card);
        }
        Card {
            mixed: kind.mixed,
            half_even: kind.half_even,
            ..card
        }
    };
    let cards: Vec<Card> = kind.classes.iter().map(|c| card(dice, c)).collect();
    let mut lot = Lot {
        currency,
        places,
        payers: payers(kind, cards.len()),
        cards,
        cars: Vec::new(),
        agreed: Vec::new(),
    };
    for index in 0..kind.cars {
        let car = car(kind, dice, &lot, index);
        lot.cars.push(car);
    }
    edges(&mut lot, dice);
    lot
}

/// Puts limits, tiers and values where cars lie exactly on them.
fn edges(lot: &mut Lot, dice: &mut Dice<'_>) {
    let mut without = lot.clone();
    for card in &mut without.cards {
        card.limits.clear();
    }
    // What roofs come to before their limit; the middle one becomes the limit.
    let sums = priced(&without).into_iter().map(|done| {
        let roof = done.lines.iter();
        let roof = roof.filter(|line| line.panel == "roof" && line.group == "dents");
        roof.filter_map(|line| line.amount).sum()
    });
    let mut sums: Vec<(usize, Ratio)> = lot.cars.iter().map(|car| car.payer).zip(sums).collect();
    sums.retain(|(_, sum)| !sum.is_zero());
    sums.sort_by_key(|(_, sum)| *sum);
    for (index, card) in lot.cards.iter_mut().enumerate() {
        let own = |(payer, _): &&(usize, Ratio)| lot.payers[*payer].card == index;
        let own: Vec<&(usize, Ratio)> = sums.iter().filter(own).collect();
        let limit = card
            .limits
            .iter_mut()
            .find(|limit| limit.panels == ["roof"]);
        if let (Some(limit), Some((_, sum))) = (limit, own.get(own.len() / 2)) {
            limit.amount = *sum;
        }
    }
    let done = priced(lot);
    for (index, payer) in lot.payers.iter_mut().enumerate() {
        let cars = lot.cars.iter().zip(&done);
        let own = cars.filter(|(car, done)| car.payer == index && done.is_priced());
        let own = u32::try_from(own.count()).expect("a lot");
        // The last tier but one is reached by the last car, the last is not.
        if let [.., one, two] = &mut payer.tiers[..] {
            (one.0, two.0) = (own.max(6), own.max(6) + 1);
        }
    }
    let done = priced(lot);
    for (car, done) in lot.cars.iter_mut().zip(done) {
        let loss = lot.payers[car.payer].total_loss.as_ref();
        if let (Some(loss), true) = (loss, dice.once_in(5)) {
            // Where it comes out even, the price is exactly that part of the value.
            let whole = Ratio::whole(100).over(loss.percent);
            car.value = Some((done.total * whole).round(lot.places, false));
        }
    }
}

/// Up to three payers: terms of every kind, terms without any, and a tier
/// alone. Where the last tiers begin, the lot decides.
fn payers(kind: &Kind, cards: usize) -> Vec<Payer> {
    let places = kind.currency.1;
    let plain = Payer {
        name: "Ostrel Fleet",
        card: cards - 1,
        discounts: Vec::new(),
        tiers: Vec::new(),
        minimum: None,
        taxes: Vec::new(),
        deductible: None,
        event_max: None,
        total_loss: None,
    };
    let full = Payer {
        name: "Harl, \"Cover\" & Co.",
        card: 0,
        discounts: vec![
            (vec!["dents"], Ratio::whole(5)),
            (vec!["removal", "parts"], Ratio::dec(2_125, 3)),
        ],
        tiers: vec![
            (5, Ratio::dec(15, 1)),
            (6, Ratio::whole(3)),
            (7, Ratio::whole(9)),
        ],
        minimum: Some(Ratio::whole(150)),
        taxes: vec![
            Tax {
                name: "state",
                on: vec!["parts", "extra"],
                percent: Ratio::dec(825, 2),
            },
            Tax {
                name: "city",
                on: vec!["dents", "removal"],
                percent: Ratio::dec(1_625, 3),
            },
        ],
        deductible: Some(Ratio::dec(50_050, 2).round(places, false)),
        // Reached somewhere among the cars, so that one pays a part.
        event_max: Some(Ratio::whole(kind.cars * 77 + 13)),
        total_loss: Some(TotalLoss {
            percent: Ratio::whole(50),
            at_least: true,
            hail_exempt: false,
        }),
    };
    let third = Payer {
        name: "Åsgard Owners",
        tiers: vec![
            (2, Ratio::whole(1)),
            (3, Ratio::whole(4)),
            (4, Ratio::whole(5)),
        ],
        // Without it a car waits for its tier, but for no other owner.
        event_max: (!kind.seed.is_multiple_of(2)).then(|| Ratio::whole(kind.cars * 5)),
        total_loss: Some(TotalLoss {
            percent: Ratio::dec(625, 1),
            at_least: false,
            hail_exempt: false,
        }),
        ..plain.clone()
    };
    let mut payers = vec![full, plain, third];
    payers.truncate(kind.payers);
    payers
}

fn car(kind: &Kind, dice: &mut Dice<'_>, lot: &Lot, index: u32) -> Car {
    let payers = u32::try_from(kind.payers).expect("three");
    let mut car = Car {
        stock: stock(kind, index),
        body: dice.pick(&BODIES),
        payer: dice.below(payers) as usize,
        deductible: dice.maybe(6, |dice| dice.amount(lot.places)),
        value: dice.maybe(2, |dice| Ratio::whole(100 + dice.below(3_000))),
        panels: Vec::new(),
    };
    let mut panels = match kind.uncounted && dice.once_in(30) {
        true => Vec::new(),
        false if kind.quiet => (0..4).map(|at| QUIET[(index + at) as usize % 8]).collect(),
        false => dice.some_of(&PANELS, 13),
    };
    dice.shuffle(&mut panels);
    let clean = !kind.quiet && dice.once_in(15);
    car.panels = panels
        .into_iter()
        .map(|panel| count(kind, dice, lot, &car, panel, clean))
        .collect();
    car
}

/// Stocks as people write them, all different.
fn stock(kind: &Kind, index: u32) -> String {
    if !kind.hard_stocks {
        return format!("K{:05}", index * 7 % 99_991);
    }
    let long = format!("{index:-<40}");
    match index % 16 {
        0 => format!("{index:05}"),
        1 => format!("{index:06}"),
        2 => format!("lot {index} b"),
        3 => format!("Ærø-{index}"),
        4 => format!("日本{index}"),
        5 => format!("say \"{index}\""),
        6 => format!("={index}"),
        7 => long,
        8 => format!("#{index}"),
        9 => format!("Totalled {index}"),
        10 => format!("A,{index};b"),
        11 => format!("a{index}"),
        // The car before, but in capitals.
        12 => format!("A{}", index - 1),
        13 => format!("-{index}"),
        14 => format!("1e{index}"),
        _ => format!("# {index}"),
    }
}

fn count(
    kind: &Kind,
    dice: &mut Dice<'_>,
    lot: &Lot,
    car: &Car,
    panel: &'static str,
    clean: bool,
) -> Count {
    let card = lot.card_of(car);
    let classes = card.sizes.len();
    let mut count = Count {
        panel,
        sized: vec![0; classes],
        measured: Vec::new(),
        metal: "steel",
        access: "open",
        remove: Vec::new(),
        conventional: false,
        prior: 0,
    };
    if kind.quiet {
        // 6 to 12 together lie within 4 x 0.5 of each other on Anscombe's scale,
        // 5.05 to 7.04, so no count is far from its neighbours'.
        for (class, dents) in count.sized.iter_mut().enumerate().take(4) {
            *dents = match class {
                0 => 6 + dice.below(4),
                _ => dice.below(2),
            };
        }
    } else if !clean && !dice.once_in(12) {
        let most = dice.pick(&[3, 8, 8, 20, 20, 60, 150]);
        for dents in &mut count.sized {
            *dents = dice.below(most);
        }
        if dice.once_in(400) {
            count.sized[0] = 9_000 + dice.below(400);
        }
        if kind.one_size {
            let all = count.sized.iter().sum();
            let class = dice.below(u32::try_from(classes).expect("seven")) as usize;
            count.sized = vec![0; classes];
            count.sized[class] = all;
        }
    }
    if dice.below(100) < kind.odd {
        odd(dice, card, clean, &mut count);
    }
    count
}

/// What few rows say: metals, measured dents, removals, referrals.
fn odd(dice: &mut Dice<'_>, card: &Card, clean: bool, count: &mut Count) {
    count.metal = dice.pick(&METALS);
    count.access = dice.pick(&ACCESSES);
    count.prior = dice.below(12).saturating_sub(6);
    if clean {
        return;
    }
    let limits = card.sizes.iter().map(|(_, upto)| *upto);
    let limits: Vec<Ratio> = limits.chain(card.steps.iter().map(|step| step.0)).collect();
    count.measured = (0..dice.below(6).saturating_sub(2))
        .map(|_| {
            let diameter = match dice.below(4) {
                0 => dice.pick(&limits),
                1 => dice.pick(&limits) + Ratio::dec(1, 2),
                2 => Ratio::dec(300 + dice.below(500), 1),
                // Twentieths of an inch.
                _ => Ratio::dec(127, 2) * Ratio::whole(1 + dice.below(60)),
            };
            (diameter, 1 + dice.below(3))
        })
        .collect();
    let codes: Vec<&'static str> = card.removals.iter().map(|removal| removal.code).collect();
    count.remove = dice.some(&codes, 2);
    count.conventional = dice.once_in(12);
}

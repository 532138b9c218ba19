//! A bound that no plan can beat under the same rules.
//!
//! Three arguments, of which the best counts. Each relaxes the rules, so what
//! it proves holds for every plan:
//!
//! * **groups**: the work of a group of trades fits into the time of all who
//!   have any of them;
//! * **cars**: the stages of a car follow each other;
//! * **bays**: the time that cars must spend in bays fits into the bays.

use super::calendar::NEVER;
use super::car_bound::CarBounds;
use super::problem::{Minute, Trades};
use super::shop::Shop;
use rust_decimal::Decimal;

/// Most thresholds that are tried for heads; more are thinned out, which
/// leaves a bound that is valid and little weaker.
const MOST_THRESHOLDS: usize = 96;

/// A bound and what proves it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bound {
    /// No plan ends earlier.
    pub end: Minute,
    /// What holds things up.
    pub by: BoundBy,
}

/// What proves a bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoundBy {
    /// Nothing is to be done.
    Nothing,
    /// The people of some trades.
    Group(Trades),
    /// One car's stages.
    Car(usize),
    /// The bays.
    Bays,
}

/// A piece of work as the group bound sees it.
struct Piece {
    /// Everyone who may do it.
    able: Vec<usize>,
    head: Minute,
    tail: Minute,
    /// Minutes at pace 1, in units of the common scale.
    work: i128,
}

/// The bound of a problem.
#[must_use]
pub fn lower_bound(shop: &Shop<'_>) -> Bound {
    let cars = CarBounds::of(shop);
    let mut best = Bound {
        end: 0,
        by: BoundBy::Nothing,
    };
    let mut raise = |end: Minute, by: BoundBy| {
        if end > best.end {
            best = Bound { end, by };
        }
    };
    for (car, end) in cars.ends.iter().enumerate() {
        raise(*end, BoundBy::Car(car));
    }
    let scale = Scale::of(shop);
    let pieces = pieces(shop, &cars, &scale);
    for group in Trades::groups() {
        raise(
            group_bound(shop, group, &pieces, &scale),
            BoundBy::Group(group),
        );
    }
    if let Some(bays) = shop.problem.bays {
        raise(bay_bound(shop, &cars, bays), BoundBy::Bays);
    }
    best
}

/// The first minute at which each car can be finished under any plan; 0 where
/// it has no work.
#[must_use]
pub fn car_bounds(shop: &Shop<'_>) -> Vec<Minute> {
    CarBounds::of(shop).ends
}

/// Speeds as whole numbers: every speed times a power of ten.
struct Scale {
    speeds: Vec<i128>,
}

impl Scale {
    fn of(shop: &Shop<'_>) -> Scale {
        let speeds: Vec<Decimal> = shop
            .problem
            .workers
            .iter()
            .map(|worker| worker.speed.normalize())
            .collect();
        let places = speeds.iter().map(Decimal::scale).max().unwrap_or(0);
        let whole = |speed: &Decimal| speed.mantissa() * 10_i128.pow(places - speed.scale());
        Scale {
            speeds: speeds.iter().map(whole).collect(),
        }
    }
}

/// What each task weighs. Whoever does it gives it whole minutes, so it takes
/// at least the least of speed x minutes over those able: no less than its own
/// minutes, and more where those do not come out even.
fn pieces(shop: &Shop<'_>, cars: &CarBounds, scale: &Scale) -> Vec<Piece> {
    let weigh = |task: &super::shop::Task| -> i128 {
        let able = task.able.iter();
        able.map(|able| scale.speeds[able.worker] * i128::from(able.takes))
            .min()
            .unwrap_or(0)
    };
    shop.tasks
        .iter()
        .map(|task| {
            let (head, tail) = cars.head_and_tail(task.car, task.stage);
            Piece {
                able: task.able.iter().map(|able| able.worker).collect(),
                head,
                tail,
                work: weigh(task),
            }
        })
        .collect()
}

/// All work of a group with head >= r and tail >= q lies between r and the end
/// less q, and only people with a trade of the group do it. So the end is no
/// earlier than the first at which their time between holds it; the largest
/// over all r and q. Late arrivals raise r, and subsets of trades their people.
fn group_bound(shop: &Shop<'_>, group: Trades, pieces: &[Piece], scale: &Scale) -> Minute {
    let people: Vec<usize> = (0..shop.problem.workers.len())
        .filter(|worker| shop.problem.workers[*worker].trades.meets(group))
        .collect();
    // What somebody outside may do is no work of the group: a task is kept for
    // who has begun it, whatever the crew list says.
    let inside = |worker: &usize| shop.problem.workers[*worker].trades.meets(group);
    let mut own: Vec<&Piece> = pieces
        .iter()
        .filter(|piece| !piece.able.is_empty() && piece.able.iter().all(inside))
        .collect();
    if own.is_empty() || people.is_empty() {
        return 0;
    }
    own.sort_by_key(|piece| -piece.tail);
    let mut heads: Vec<Minute> = own.iter().map(|piece| piece.head).collect();
    heads.sort_unstable();
    heads.dedup();
    let step = heads.len().div_ceil(MOST_THRESHOLDS);
    let mut best = 0;
    for head in heads.into_iter().step_by(step) {
        let (mut work, mut at) = (0_i128, 0);
        while at < own.len() {
            let tail = own[at].tail;
            while at < own.len() && own[at].tail == tail {
                if own[at].head >= head {
                    work += own[at].work;
                }
                at += 1;
            }
            // A quick look first: every person here all the time would need
            // this long at least.
            let speed: i128 = people.iter().map(|person| scale.speeds[*person]).sum();
            let least = work / speed + i128::from(work % speed != 0);
            let least = Minute::try_from(least).unwrap_or(NEVER);
            if work > 0 {
                let end = head + tail + least;
                let end = if shop.problem.day.is_some() {
                    first_end(shop, &people, scale, work, head, tail).max(end)
                } else {
                    end
                };
                best = best.max(end);
            }
        }
    }
    best
}

/// The first end such that the people's time between the head and the end less
/// the tail holds the work, by bisection on their calendars.
fn first_end(
    shop: &Shop<'_>,
    people: &[usize],
    scale: &Scale,
    work: i128,
    head: Minute,
    tail: Minute,
) -> Minute {
    let capacity = |until: Minute| -> i128 {
        people
            .iter()
            .map(|person| {
                let calendar = &shop.calendars[*person];
                let own = calendar.own(until).min(calendar.capacity());
                scale.speeds[*person] * i128::from((own - calendar.own(head)).max(0))
            })
            .sum()
    };
    let (mut low, mut high) = (head, NEVER / 2);
    if capacity(high) < work {
        return NEVER;
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if capacity(middle) >= work {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low + tail
}

/// Every car with work before its finish holds a bay for no less than its
/// stages there take; all that between the least head and the least tail.
fn bay_bound(shop: &Shop<'_>, cars: &CarBounds, bays: usize) -> Minute {
    let bays = Minute::try_from(bays).unwrap_or(Minute::MAX).max(1);
    let mut held: Vec<(Minute, Minute, Minute)> = (0..shop.cars.len())
        .filter(|car| cars.in_bay[*car] > 0)
        .map(|car| {
            let (head, tail) = (shop.problem.cars[car].arrives, cars.finish[car]);
            (head, tail, cars.in_bay[car])
        })
        .collect();
    held.sort_by_key(|(_, tail, _)| -*tail);
    let mut heads: Vec<Minute> = held.iter().map(|(head, _, _)| *head).collect();
    heads.sort_unstable();
    heads.dedup();
    let step = heads.len().div_ceil(MOST_THRESHOLDS).max(1);
    let mut best = 0;
    for head in heads.into_iter().step_by(step) {
        let mut time = 0;
        for (own, tail, minutes) in &held {
            if *own >= head {
                time += minutes;
                best =
                    best.max(head + tail + time.div_euclid(bays) + Minute::from(time % bays != 0));
            }
        }
    }
    best
}

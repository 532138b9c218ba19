//! What replications add up to, counted anew from every stretch of work and from
//! every car's end: cars finished by day, promises kept, minutes worked and here.

use super::{Lot, lots};
use hailyard::planning::forecast::{
    Chance, DayChance, Drawn, Replicate, Replications, Run, Stretch, Watch, holds, odds_of,
    replicate,
};

const TIMES: usize = 24;
const SEED: u64 = 9;

/// The first promise is for the end of the second day, others a day later each,
/// and every third car has none.
fn due(lot: &Lot) -> Vec<Option<f64>> {
    let day = |rank: usize| (rank % 3 < 2).then(|| (2 + rank % 4) as f64 * lot.flow.day);
    (0..lot.flow.cars.len()).map(day).collect()
}

/// Minutes between two times on days on which a person is here.
fn here(lot: &Lot, person: usize, chance: &mut Chance<'_>, from: f64, to: f64) -> f64 {
    let of = &lot.flow.people[person];
    let scheduled = &lot.problem.workers[of.worker].days;
    let mut minutes = 0.0;
    let mut day = 0;
    while day as f64 * lot.flow.day < to {
        let opens = day as f64 * lot.flow.day;
        let is_scheduled = scheduled.as_ref().is_none_or(|days| days.contains(&day));
        if is_scheduled && !chance.is_closed(day) && !chance.is_absent(of.key, day) {
            minutes += ((opens + lot.flow.day).min(to) - opens.max(from)).max(0.0);
        }
        day += 1;
    }
    minutes
}

#[test]
fn sums_are_those_of_every_stretch_and_every_end() {
    let mut promises = 0;
    for lot in lots().iter().step_by(3) {
        let due = due(lot);
        let mut dates: Vec<f64> = due.iter().flatten().copied().collect();
        dates.sort_by(f64::total_cmp);
        dates.dedup();
        let how = Replicate {
            terms: &lot.terms,
            seed: SEED,
            times: TIMES,
        };
        let mut flow = lot.flow.clone();
        for (car, due) in flow.cars.iter_mut().zip(&due) {
            car.due = *due;
        }
        let came = replicate(&flow, how, &Watch::default());
        let people = lot.flow.people.len();
        let (mut worked, mut was_here) = (vec![0.0; people], vec![0.0; people]);
        let mut on_time = vec![0_u32; due.len()];
        let mut all_on_time = vec![0_u32; dates.len()];
        let mut run = Run::of(&lot.flow);
        let mut drawn = Drawn::default();
        for time in 0..TIMES {
            let mut chance = Chance::of(&lot.terms, SEED, time as u64);
            let paces = lot.flow.people.iter();
            drawn.pace = paces.map(|of| chance.pace(of.key) / of.speed).collect();
            drawn.draw(&lot.flow, |rank| chance.of_car(lot.flow.cars[rank].key));
            let mut stretches: Vec<Stretch> = Vec::new();
            let end = run.go(&mut drawn, &mut chance, &mut |one| stretches.push(one));
            let ends = run.ends.clone();
            let Some(last) = end else {
                // Only what is done is looked at below.
                continue;
            };
            assert_eq!(came.ends[time], last);
            for (day, count) in came.by_day[time].iter().enumerate() {
                let closes = (day + 1) as f64 * lot.flow.day;
                let finished = ends.iter().filter(|end| **end <= closes + 1e-6).count();
                assert_eq!(*count as usize, finished, "day {day}");
            }
            assert_eq!(came.by_day[time].last(), Some(&(ends.len() as u32)));
            for one in stretches {
                worked[one.person] += here(lot, one.person, &mut chance, one.from, one.to);
            }
            for (person, sum) in was_here.iter_mut().enumerate() {
                *sum += here(lot, person, &mut chance, 0.0, last);
            }
            let kept = |rank: usize| due[rank].is_none_or(|due| ends[rank] <= due);
            for (rank, count) in on_time.iter_mut().enumerate() {
                *count += u32::from(kept(rank));
            }
            for (date, count) in dates.iter().zip(&mut all_on_time) {
                let of_date = (0..ends.len()).filter(|rank| due[*rank] == Some(*date));
                *count += u32::from(of_date.into_iter().all(kept));
            }
        }
        if came.not_done() > 0 {
            continue;
        }
        promises += dates.len();
        assert_eq!(came.on_time, on_time);
        assert_eq!(came.all_on_time, all_on_time);
        for person in 0..people {
            let of = |sum: u64| sum as f64 / 1e6;
            approx::assert_abs_diff_eq!(of(came.worked[person]), worked[person], epsilon = 1e-3);
            approx::assert_abs_diff_eq!(of(came.here[person]), was_here[person], epsilon = 1e-3);
        }
        fan(&came);
    }
    assert!(promises > 20);
}

/// With odds of 80 at least so many: no fewer than eight of ten replications
/// reach it, and fewer reach one more.
fn fan(came: &Replications) {
    for (day, fan) in came.fan().iter().enumerate() {
        let reaching = |cars: u32| {
            let count = |by_day: &&Vec<u32>| {
                by_day
                    .get(day)
                    .or(by_day.last())
                    .is_some_and(|of| *of >= cars)
            };
            came.by_day.iter().filter(count).count() * 100
        };
        for (odds, cars) in [95, 80, 50, 20, 5].iter().zip(fan.at_least) {
            assert!(reaching(cars) >= odds * TIMES, "{odds} on day {day}");
            assert!(reaching(cars + 1) < odds * TIMES, "{odds} on day {day}");
        }
    }
}

/// The day that holds is the least that so many do not exceed: of 1 to 10 the
/// fifth at 50, the eighth at 80, the tenth at 95.
#[test]
fn what_holds_is_not_exceeded_by_so_many() {
    let ends: Vec<f64> = (1..=10).map(f64::from).collect();
    let of = |odds: u32| holds(&ends, odds);
    assert_eq!([of(50), of(80), of(95)], [Some(5.0), Some(8.0), Some(10.0)]);
    assert_eq!(of(81), Some(9.0));
    let mut not_done = ends.clone();
    not_done[9] = f64::INFINITY;
    assert_eq!(holds(&not_done, 95), None);
    assert_eq!(holds(&[], 50), None);
    assert_eq!(odds_of(&not_done, 9.0), 0.9);
}

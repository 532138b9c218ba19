//! Every stretch of work of 400 replications, against the rules themselves: a
//! checker that knows the lot and what was drawn, looks at minutes and shares
//! no code with the program. Lots are those of lots.json; chance is drawn here,
//! harsher than the lots' own, so that every rule has to do with it.

use super::lots;
use super::seen::{CLOSE, DAYS, Dice, Seen, Spell, Task, most_at_once};
use hailyard::planning::{Stage, Trades, Worker};

/// How often a rule came up.
#[derive(Debug, Default)]
struct Touched {
    back: usize,
    away: usize,
    hands: usize,
    bays: usize,
    parts: usize,
    idle: usize,
    leaving: usize,
    never: usize,
}

impl Seen<'_> {
    /// Trades, one thing at a time, only on days on which one is here; begun work
    /// waits for one absent day and no second one, and for nobody who has left.
    fn people_keep_the_rules(&self, touched: &mut Touched) {
        for (worker, of) in self.lot.problem.workers.iter().enumerate() {
            let mine = self.spells.iter().filter(|spell| spell.worker == worker);
            let mut mine: Vec<&Spell> = mine.collect();
            mine.sort_by(|a, b| a.from.total_cmp(&b.from));
            for pair in mine.windows(2) {
                assert!(pair[0].to <= pair[1].from, "two tasks at once: {pair:?}");
            }
            for spell in mine {
                assert!(of.trades.meets(spell.task.1.trade()), "{spell:?}");
                self.is_where_they_say(worker, of, spell, touched);
            }
        }
    }

    fn is_where_they_say(&self, worker: usize, of: &Worker, spell: &Spell, touched: &mut Touched) {
        let first = self.day_of(spell.from);
        assert!(self.is_here(worker, first), "begun while away: {spell:?}");
        // What is over by closing is of that day, what goes back does so at opening.
        let last = self.day_of(if spell.back {
            spell.to + CLOSE
        } else {
            spell.to - CLOSE
        });
        let mut absent = 0;
        for day in first + 1..=last {
            if self.is_here(worker, day) {
                assert!(absent <= 1, "waited for two absent days: {spell:?}");
                absent = 0;
            } else if self.scheduled(worker, day) {
                absent += 1;
            }
            touched.away += usize::from(!self.is_here(worker, day));
        }
        if !spell.back {
            assert!(self.is_here(worker, last), "over while away: {spell:?}");
            return;
        }
        touched.back += 1;
        let opens = last as f64 * self.day;
        assert!((spell.to - opens).abs() < CLOSE, "{spell:?}");
        let left = |days: &Vec<i64>| !days.iter().any(|day| *day >= last);
        let has_left = of.days.as_ref().is_some_and(left);
        assert!(absent == 2 || has_left, "gone back too soon: {spell:?}");
    }

    /// Stages in their order, arrival, parts, hands, and the minutes drawn.
    fn cars_keep_the_rules(&self, touched: &mut Touched) {
        for (car, of) in self.lot.problem.cars.iter().enumerate() {
            let mut before = of.arrives as f64;
            let mut is_over = true;
            for stage in Stage::ALL {
                let tasks = self.tasks(car, stage);
                // A car without a fit waits for no parts.
                if stage == Stage::Fit && !tasks.is_empty() {
                    touched.parts += usize::from(self.parts(car) > before);
                    before = before.max(self.parts(car));
                }
                let mut next = before;
                let had_all_before = is_over;
                for (task, expected, takes) in tasks {
                    let spells = self.of_task(task);
                    assert!(had_all_before || spells.is_empty(), "{task:?} too soon");
                    for pair in spells.windows(2) {
                        assert!(pair[0].back && pair[0].to <= pair[1].from, "{pair:?}");
                    }
                    let mut done = 0.0;
                    for spell in &spells {
                        assert!(spell.from >= before, "{spell:?}");
                        // Nobody begins what they can't expect to end before they leave.
                        let speed = self.speed(spell.worker);
                        if let Some(stays) = self.stays(spell.worker, spell.from) {
                            let left = expected * (1.0 - done / takes);
                            assert!(left <= stays * speed + CLOSE, "{spell:?}");
                            touched.leaving += usize::from(left > (stays - self.day) * speed);
                        }
                        done += self.worked(spell) * speed / self.paces[spell.worker];
                    }
                    if spells.last().is_some_and(|last| !last.back) {
                        approx::assert_abs_diff_eq!(done, takes, epsilon = CLOSE);
                    } else {
                        assert!(done < takes, "{task:?}");
                        is_over = false;
                    }
                    next = spells.iter().map(|spell| spell.to).fold(next, f64::max);
                }
                before = next;
            }
            if is_over {
                assert_eq!(self.ends[car], before, "car {car}");
            } else {
                assert_eq!(self.ends[car], f64::INFINITY, "car {car}");
                touched.never += 1;
            }
            let dents = |spell: &&Spell| spell.task.0 == car && spell.task.1 == Stage::Dents;
            let dents = self.spells.iter().filter(dents);
            let at_once = most_at_once(dents.map(|spell| (spell.from, spell.to)));
            assert!(at_once <= self.lot.problem.hands, "car {car}: {at_once}");
            touched.hands += usize::from(at_once == self.lot.problem.hands);
        }
    }

    fn bays_are_enough(&self, touched: &mut Touched) {
        let Some(bays) = self.lot.problem.bays else {
            return;
        };
        let cars = 0..self.lot.problem.cars.len();
        let at_once = most_at_once(cars.flat_map(|car| self.in_bay(car)));
        assert!(at_once <= bays, "{at_once} cars in {bays} bays");
        touched.bays += usize::from(at_once == bays);
    }

    /// When tasks wait for whoever comes: from, to, which. A car that may stand
    /// outside for want of a bay is taken to offer nothing.
    fn waiting(&self) -> Vec<(f64, f64, Task)> {
        let mut waiting = Vec::new();
        for (car, of) in self.lot.problem.cars.iter().enumerate() {
            let has_bay = self.in_bay(car).first().map(|bay| bay.0);
            let admitted = match self.lot.problem.bays {
                None => of.arrives as f64,
                Some(_) => has_bay.unwrap_or(f64::INFINITY),
            };
            let mut ready = of.arrives as f64;
            for stage in Stage::ALL {
                let tasks = self.tasks(car, stage);
                if tasks.is_empty() {
                    continue;
                }
                if stage == Stage::Fit {
                    let parts = self.parts(car);
                    let gives_back = self.lot.problem.release && self.lot.problem.bays.is_some();
                    let may_be_outside = gives_back && parts > ready;
                    ready = if may_be_outside {
                        f64::INFINITY
                    } else {
                        ready.max(parts)
                    };
                }
                // What goes back waits in any case.
                let needs_bay = stage != Stage::Finish;
                let bay = if needs_bay { admitted } else { 0.0 };
                for (task, _, _) in tasks {
                    let mut since = ready.max(bay);
                    for spell in self.of_task(task) {
                        waiting.push((since, spell.from, task));
                        since = if spell.back { spell.to } else { f64::INFINITY };
                    }
                    waiting.push((since, f64::INFINITY, task));
                }
                let Some(over) = self.over(car, stage) else {
                    break;
                };
                ready = over;
            }
        }
        waiting.retain(|(from, to, _)| to - from > CLOSE);
        waiting
    }

    /// Between any two moments at which something happens: whoever is here and
    /// has no task finds none that they could do. People with days of their own
    /// may leave a task that is too long for them, so they are not asked.
    fn nobody_idles_beside_work(&self, touched: &mut Touched) {
        let waiting = self.waiting();
        let mut times: Vec<f64> = self
            .spells
            .iter()
            .flat_map(|spell| [spell.from, spell.to])
            .chain(waiting.iter().flat_map(|(from, to, _)| [*from, *to]))
            .filter(|time| time.is_finite())
            .collect();
        let last = times.iter().copied().fold(0.0, f64::max);
        times.extend((0..=self.day_of(last)).map(|day| day as f64 * self.day));
        times.sort_by(f64::total_cmp);
        for pair in times.windows(2) {
            if pair[1] - pair[0] < CLOSE {
                continue;
            }
            let now = pair[0].midpoint(pair[1]);
            let on: Vec<&Spell> = self
                .spells
                .iter()
                .filter(|spell| spell.from < now && now < spell.to)
                .collect();
            let on_car = |car: usize| {
                let dents = |spell: &&&Spell| spell.task.0 == car && spell.task.1 == Stage::Dents;
                on.iter().filter(dents).count()
            };
            let mut offered = Trades::default();
            for (from, to, (car, stage, _)) in &waiting {
                let has_hands = *stage != Stage::Dents || on_car(*car) < self.lot.problem.hands;
                if *from < now && now < *to && has_hands {
                    offered = offered.and(stage.trade());
                }
            }
            for (worker, of) in self.lot.problem.workers.iter().enumerate() {
                let is_idle = !on.iter().any(|spell| spell.worker == worker);
                if is_idle && of.days.is_none() && self.is_here(worker, self.day_of(now)) {
                    assert!(!of.trades.meets(offered), "{worker} idles at {now}");
                    touched.idle += 1;
                }
            }
        }
    }
}

#[test]
fn every_stretch_keeps_the_rules() {
    let mut dice = Dice::of(400);
    let mut touched = Touched::default();
    for lot in &lots() {
        for _ in 0..10 {
            let seen = Seen::of(lot, &mut dice);
            let latest = seen.spells.iter().map(|spell| spell.to).fold(0.0, f64::max);
            assert!(seen.day_of(latest) < DAYS);
            seen.people_keep_the_rules(&mut touched);
            seen.cars_keep_the_rules(&mut touched);
            seen.bays_are_enough(&mut touched);
            seen.nobody_idles_beside_work(&mut touched);
            let all = seen.ends.iter().copied().fold(0.0, f64::max);
            assert_eq!(seen.end.unwrap_or(f64::INFINITY), all);
        }
    }
    // A rule that never came up would not have been checked.
    println!("{touched:?}");
    assert!(touched.back > 100 && touched.away > 1_000, "{touched:?}");
    assert!(touched.hands > 1_000 && touched.bays > 50, "{touched:?}");
    assert!(touched.parts > 100 && touched.idle > 1_000, "{touched:?}");
    assert!(touched.leaving > 50 && touched.never > 0, "{touched:?}");
}

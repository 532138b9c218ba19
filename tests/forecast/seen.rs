//! A replication as it looks from outside: the lot, what was drawn, and every
//! stretch of work in minutes. It shares no code with the program.

use super::{Lot, Told, replicate};
use hailyard::planning::Stage;
use hailyard::planning::forecast::Stretch;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Days for which chance is drawn; no replication is longer.
pub const DAYS: i64 = 200;
/// Minutes that are no time.
pub const CLOSE: f64 = 1e-6;

/// Chance of the checker's own.
pub struct Dice(ChaCha8Rng);

impl Dice {
    pub fn of(seed: u64) -> Dice {
        Dice(ChaCha8Rng::seed_from_u64(seed))
    }

    fn unit(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Anything of mean 1 will do: from 0.4 to 1.6.
    fn factor(&mut self) -> f64 {
        0.4 + 1.2 * self.unit()
    }

    fn growth(&mut self) -> f64 {
        let grows = self.unit() < 0.3;
        if grows { 1.0 + self.unit() } else { 1.0 }
    }

    fn late(&mut self) -> f64 {
        let is_late = self.unit() < 0.3;
        if is_late {
            (4.0 * self.unit()).ceil()
        } else {
            0.0
        }
    }

    fn told(&mut self, lot: &Lot) -> Told {
        let cars = &lot.problem.cars;
        Told {
            factors: cars
                .iter()
                .map(|car| (0..car.panels.len() + 3).map(|_| self.factor()).collect())
                .collect(),
            growth: cars.iter().map(|_| self.growth()).collect(),
            late: cars.iter().map(|_| self.late()).collect(),
            closed: (0..DAYS).filter(|_| self.unit() < 0.1).collect(),
            absent: (0..lot.problem.workers.len() as u64)
                .flat_map(|person| (0..DAYS).map(move |day| (person, day)))
                .filter(|_| self.unit() < 0.2)
                .collect(),
        }
    }
}

/// A task: its car, its stage, which panel.
pub type Task = (usize, Stage, usize);

/// A stretch, by worker and car of the problem.
#[derive(Debug, Clone, Copy)]
pub struct Spell {
    pub worker: usize,
    pub task: Task,
    pub from: f64,
    pub to: f64,
    pub back: bool,
}

/// One replication, and all that is known of it from outside.
pub struct Seen<'a> {
    pub lot: &'a Lot,
    pub told: Told,
    pub paces: Vec<f64>,
    pub spells: Vec<Spell>,
    pub day: f64,
    /// By car; infinite where it is never finished.
    pub ends: Vec<f64>,
    pub end: Option<f64>,
}

impl Seen<'_> {
    /// One replication of a lot, its cars dealt as listed.
    pub fn of<'a>(lot: &'a Lot, dice: &mut Dice) -> Seen<'a> {
        let told = dice.told(lot);
        let workers = lot.problem.workers.iter();
        let paces: Vec<f64> = workers.map(|_| dice.factor()).collect();
        let came = replicate(&lot.flow, &told, &paces);
        // Panels are known by their place among those of all cars.
        let cars = lot.problem.cars.iter().enumerate();
        let panels: Vec<(usize, usize)> = cars
            .flat_map(|(car, of)| (0..of.panels.len()).map(move |at| (car, at)))
            .collect();
        let spell = |stretch: &Stretch| {
            let car = lot.flow.cars[stretch.task.rank as usize].car;
            let mut task = (car, stretch.task.stage, 0);
            if stretch.task.stage == Stage::Dents {
                let (of, at) = panels[stretch.task.panel as usize];
                assert_eq!(of, car);
                task.2 = at;
            }
            Spell {
                worker: lot.flow.people[stretch.person].worker,
                task,
                from: stretch.from,
                to: stretch.to,
                back: stretch.left > 0.0,
            }
        };
        Seen {
            lot,
            spells: came.stretches.iter().map(spell).collect(),
            day: lot.flow.day,
            ends: came.car_ends,
            end: came.end,
            told,
            paces,
        }
    }

    pub fn scheduled(&self, worker: usize, day: i64) -> bool {
        let days = &self.lot.problem.workers[worker].days;
        days.as_ref().is_none_or(|days| days.contains(&day)) && !self.told.closed.contains(&day)
    }

    pub fn is_here(&self, worker: usize, day: i64) -> bool {
        self.scheduled(worker, day) && !self.told.absent.contains(&(worker as u64, day))
    }

    pub fn speed(&self, worker: usize) -> f64 {
        let speed = &self.lot.problem.workers[worker].speed;
        speed.to_string().parse().expect("a number")
    }

    /// Minutes until somebody leaves for good, as far as is known at a time; of
    /// whom no days are known, none.
    pub fn stays(&self, worker: usize, time: f64) -> Option<f64> {
        let days = self.lot.problem.workers[worker].days.as_ref()?;
        let today = self.day_of(time);
        let later = days.iter().filter(|day| **day > today).count();
        Some((today + 1) as f64 * self.day - time + later as f64 * self.day)
    }

    pub fn day_of(&self, time: f64) -> i64 {
        (time / self.day) as i64
    }

    pub fn of_task(&self, task: Task) -> Vec<Spell> {
        let all = self.spells.iter().copied();
        all.filter(|spell| spell.task == task).collect()
    }

    /// Tasks of a stage of a car that have minutes: which, what anybody expects
    /// of it at the standard's pace, what it then takes at that pace.
    pub fn tasks(&self, car: usize, stage: Stage) -> Vec<(Task, f64, f64)> {
        let of = &self.lot.problem.cars[car];
        let works: Vec<_> = match stage {
            Stage::Strip => vec![of.strip],
            Stage::Dents => of.panels.clone(),
            Stage::Fit => vec![of.fit],
            Stage::Finish => vec![of.finish],
        };
        let panels = of.panels.len();
        let works = works.iter().enumerate();
        works
            .filter(|(_, work)| !work.minutes.is_zero())
            .map(|(at, work)| {
                let minutes: f64 = work.minutes.to_string().parse().expect("a number");
                let (place, grown) = match stage {
                    Stage::Strip => (0, 1.0),
                    // Without taking off nothing is found.
                    Stage::Dents if of.strip.minutes.is_zero() => (1 + at, 1.0),
                    Stage::Dents => (1 + at, self.told.growth[car]),
                    Stage::Fit => (panels + 1, 1.0),
                    Stage::Finish => (panels + 2, 1.0),
                };
                let expected = minutes * grown;
                let takes = expected * self.told.factors[car][place];
                ((car, stage, at), expected, takes)
            })
            .collect()
    }

    /// From when a car's parts are here.
    pub fn parts(&self, car: usize) -> f64 {
        let due = self.lot.problem.cars[car].fit_not_before as f64;
        // Parts that are here already can't be late.
        if due > 0.0 {
            due + self.told.late[car] * self.day
        } else {
            0.0
        }
    }

    /// Minutes of a stretch on days on which the person is here.
    pub fn worked(&self, spell: &Spell) -> f64 {
        let days = self.day_of(spell.from)..=self.day_of(spell.to);
        let days = days.filter(|day| self.is_here(spell.worker, *day));
        days.map(|day| {
            let opens = day as f64 * self.day;
            (spell.to.min(opens + self.day) - spell.from.max(opens)).max(0.0)
        })
        .sum()
    }

    /// Whether what was there of a stage of a car is all over, and when.
    pub fn over(&self, car: usize, stage: Stage) -> Option<f64> {
        let mut ends = self.tasks(car, stage).into_iter().map(|(task, _, _)| {
            let last = self.of_task(task).last().copied();
            last.filter(|last| !last.back).map(|last| last.to)
        });
        ends.try_fold(0.0, |latest: f64, end| Some(latest.max(end?)))
    }

    /// The times during which a car must hold a bay, whatever else is true:
    /// from its first work in it to its last, without the wait for its parts
    /// where the bay is given back.
    pub fn in_bay(&self, car: usize) -> Vec<(f64, f64)> {
        let mine = |spell: &&Spell| spell.task.0 == car && spell.task.1 != Stage::Finish;
        let mine = self.spells.iter().filter(mine);
        let gives_back = self.lot.problem.release
            && self
                .over(car, Stage::Dents)
                .is_some_and(|over| self.parts(car) > over);
        let (mut before, mut fit): (Vec<_>, Vec<_>) = (Vec::new(), Vec::new());
        for spell in mine {
            if gives_back && spell.task.1 == Stage::Fit {
                fit.push((spell.from, spell.to));
            } else {
                before.push((spell.from, spell.to));
            }
        }
        let hull = |spells: &Vec<(f64, f64)>| {
            let from = spells.iter().map(|spell| spell.0).reduce(f64::min)?;
            Some((
                from,
                spells.iter().map(|spell| spell.1).fold(from, f64::max),
            ))
        };
        [hull(&before), hull(&fit)].into_iter().flatten().collect()
    }
}

/// The most of such spells that are open at once; one may end as another begins.
pub fn most_at_once(spells: impl Iterator<Item = (f64, f64)>) -> usize {
    let mut steps: Vec<(f64, i32)> = spells
        .flat_map(|(from, to)| [(from, 1), (to, -1)])
        .collect();
    steps.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (mut open, mut most) = (0, 0);
    for (_, step) in steps {
        open += step;
        most = most.max(open);
    }
    usize::try_from(most).unwrap_or(0)
}

//! What chance there is, and its draws.
//!
//! Every draw is keyed by seed, replication and what it is for, never by the
//! order of use: results are the same on any number of threads, and crews of
//! other sizes meet the same weather, the same growth and the same cars.

use super::super::problem::Day;
use super::drawn::{CarChance, DayChance};
use crate::crew::{Learned, Posterior, Variances};
use rand_distr::{ChiSquared, Distribution, Gamma, Geometric, StandardNormal};
use rand_xoshiro::rand_core::{Rng, SeedableRng};
use rand_xoshiro::{SplitMix64, Xoshiro256PlusPlus};

/// What is known of a person's pace.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PaceChance {
    /// How far the log of the person's minutes moves with that of the whole
    /// standard: who has no log moves with it wholly, whose own log is long
    /// hardly at all.
    pub with_standard: f64,
    /// Standard deviation of what is the person's own.
    pub own: f64,
}

/// What a log leaves open of the standard, the people and the tasks.
#[derive(Debug, Clone, PartialEq)]
pub struct LogChance {
    /// What is drawn from.
    pub posterior: Posterior,
    /// By person's key: the log of the factor that is planned with.
    pub planned: Vec<f64>,
    /// Of everybody else.
    pub planned_others: f64,
}

/// What chance there is. All of it 0: none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChanceTerms {
    /// By a log, which then says all of the standard, people and tasks; the
    /// figures below are its best estimates.
    pub log: Option<LogChance>,
    /// Standard deviation of the log of the whole standard.
    pub standard: f64,
    /// By person's key.
    pub people: Vec<PaceChance>,
    /// Of everybody else.
    pub others: PaceChance,
    /// Standard deviation of the log of a task's minutes; their mean stays.
    pub task: f64,
    /// Probability that weather closes the site on a day.
    pub weather: f64,
    /// Probability that somebody is not there on a day.
    pub absent: f64,
    /// Probability that a car has more dents than were counted.
    pub growth: f64,
    /// Mean of what is then added to its dent minutes, as a part of them.
    pub growth_mean: f64,
    /// Shape of the gamma distribution of it.
    pub growth_shape: f64,
    /// Probability that parts are late.
    pub late: f64,
    /// Mean of the working days, at least one.
    pub late_days: f64,
}

impl ChanceTerms {
    /// The same with what a log tells of the standard, of people and of tasks.
    /// At known variances m has its standard error, and a person's effect, given
    /// m, the mean s (ȳ − m) and the deviation τ √(1 − s): it moves against m by
    /// s, so minutes move with m by 1 − s.
    #[must_use]
    pub fn with_log(self, learned: &Learned) -> ChanceTerms {
        let planned = |person: usize| libm::log(learned.expected_factor(person));
        ChanceTerms {
            standard: learned.mean_error,
            task: learned.sigma,
            others: PaceChance {
                with_standard: 1.0,
                own: learned.sigma_person,
            },
            people: (0..learned.people.len())
                .map(|person| PaceChance {
                    with_standard: 1.0 - learned.people[person].shrinkage,
                    own: learned.effect_given_mean(person, learned.mean).1,
                })
                .collect(),
            log: learned.posterior.clone().map(|posterior| LogChance {
                posterior,
                planned: (0..learned.people.len()).map(planned).collect(),
                planned_others: planned(usize::MAX),
            }),
            ..self
        }
    }
}

/// What a draw is for.
#[derive(Debug, Clone, Copy)]
#[repr(u64)]
enum For {
    Standard = 1,
    Person,
    Weather,
    Absence,
    Car,
}

/// The chance of one replication.
#[derive(Debug, Clone)]
pub struct Chance<'a> {
    terms: &'a ChanceTerms,
    key: u64,
    /// What the standard's log turns out to be off by; by a log, m.
    standard: f64,
    /// How much tasks differ.
    task: f64,
    /// What was drawn of what a log leaves open.
    drawn: Option<Variances>,
    growth: Option<Gamma<f64>>,
    late: Option<Geometric>,
}

impl<'a> Chance<'a> {
    /// The chance of a replication under a seed.
    #[must_use]
    pub fn of(terms: &'a ChanceTerms, seed: u64, replication: u64) -> Chance<'a> {
        let mut chance = Chance {
            terms,
            key: mixed(mixed(seed) ^ replication),
            standard: 0.0,
            task: terms.task,
            drawn: None,
            growth: (terms.growth > 0.0)
                .then(|| Gamma::new(terms.growth_shape, terms.growth_mean / terms.growth_shape))
                .and_then(Result::ok),
            late: (terms.late > 0.0)
                .then(|| Geometric::new(1.0 / terms.late_days))
                .and_then(Result::ok),
        };
        if let Some(log) = &terms.log {
            let mut stream = chance.stream(For::Standard, 0);
            let roll = unit(stream.next_u64());
            let degrees = log.posterior.degrees().map(ChiSquared::new);
            let chi_squared = match degrees {
                Some(Ok(distribution)) => distribution.sample(&mut stream),
                _ => 1.0,
            };
            let drawn = log.posterior.draw(roll, chi_squared);
            chance.standard = drawn.mean.0 + drawn.mean.1 * normal(&mut stream);
            chance.task = drawn.sigma;
            chance.drawn = Some(drawn);
        } else if terms.standard > 0.0 {
            chance.standard = terms.standard * normal(&mut chance.stream(For::Standard, 0));
        }
        chance
    }

    /// What a person's minutes are multiplied by all through the replication.
    /// Of whom nothing is known, they move with the standard.
    #[must_use]
    pub fn pace(&self, person: u64) -> f64 {
        if let (Some(log), Some(drawn)) = (&self.terms.log, &self.drawn) {
            let at = usize::try_from(person).unwrap_or(usize::MAX);
            let (effect, own) = log.posterior.effect(drawn, at, self.standard);
            let own = own * normal(&mut self.stream(For::Person, person));
            let planned = log.planned.get(at).copied().unwrap_or(log.planned_others);
            // The mean of a task's factor is 1 here, and its median there.
            let median = self.standard + effect + own;
            return libm::exp(median + drawn.sigma * drawn.sigma / 2.0 - planned);
        }
        let known = usize::try_from(person).ok();
        let known = known.and_then(|person| self.terms.people.get(person));
        let of = known.copied().unwrap_or(self.terms.others);
        let mut log = self.standard * of.with_standard;
        if of.own > 0.0 {
            log += of.own * normal(&mut self.stream(For::Person, person));
        }
        libm::exp(log)
    }

    /// The chance of a car's work. `which` is its key.
    #[must_use]
    pub fn of_car(&self, which: u64) -> OfCar<'_> {
        OfCar {
            stream: self.stream(For::Car, which),
            chance: self,
            mean: -self.task * self.task / 2.0,
        }
    }

    fn stream(&self, what: For, which: u64) -> Xoshiro256PlusPlus {
        Xoshiro256PlusPlus::seed_from_u64(self.key_of(what, which))
    }

    fn key_of(&self, what: For, which: u64) -> u64 {
        mixed(mixed(self.key ^ what as u64) ^ which)
    }

    /// Whether something of a probability happens.
    fn happens(&self, what: For, which: u64, probability: f64) -> bool {
        probability > 0.0 && unit(self.key_of(what, which)) < probability
    }
}

impl DayChance for Chance<'_> {
    fn is_closed(&mut self, day: Day) -> bool {
        self.happens(For::Weather, day.unsigned_abs(), self.terms.weather)
    }

    fn is_absent(&mut self, person: u64, day: Day) -> bool {
        let which = person << 32 | day.unsigned_abs();
        self.happens(For::Absence, which, self.terms.absent)
    }
}

/// The chance of one car, in the order in which it is asked for.
#[derive(Debug)]
pub struct OfCar<'a> {
    chance: &'a Chance<'a>,
    stream: Xoshiro256PlusPlus,
    /// Log of the median of a factor whose mean is 1.
    mean: f64,
}

impl CarChance for OfCar<'_> {
    fn which(&mut self, of: usize) -> usize {
        let roll = u128::from(self.stream.next_u64());
        usize::try_from((roll * of as u128) >> 64).unwrap_or(0)
    }

    fn late(&mut self) -> f64 {
        // Drawn in any case, so that what comes after does not hang on it.
        let roll = unit(self.stream.next_u64());
        match &self.chance.late {
            Some(late) if roll < self.chance.terms.late => {
                1.0 + late.sample(&mut self.stream) as f64
            }
            _ => 0.0,
        }
    }

    fn growth(&mut self) -> f64 {
        let roll = unit(self.stream.next_u64());
        match &self.chance.growth {
            Some(growth) if roll < self.chance.terms.growth => {
                1.0 + growth.sample(&mut self.stream)
            }
            _ => 1.0,
        }
    }

    #[inline]
    fn factor(&mut self) -> f64 {
        let spread = self.chance.task;
        if spread == 0.0 {
            return 1.0;
        }
        libm::exp(self.mean + spread * normal(&mut self.stream))
    }
}

#[inline]
fn normal(stream: &mut Xoshiro256PlusPlus) -> f64 {
    StandardNormal.sample(stream)
}

/// A number from 0 to below 1.
fn unit(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1_u64 << 53) as f64
}

/// A number of which every bit hangs on every bit of this one.
#[inline]
fn mixed(number: u64) -> u64 {
    SplitMix64::seed_from_u64(number).next_u64()
}

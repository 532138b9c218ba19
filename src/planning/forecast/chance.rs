//! What chance there is, and its draws.
//!
//! Every draw is keyed by seed, replication and what it is for, never by the
//! order of use: results are the same on any number of threads, and crews of
//! other sizes meet the same weather, the same growth and the same cars.

use super::super::problem::Day;
use super::drawn::{CarChance, DayChance};
use rand_distr::{Distribution, Gamma, Geometric, StandardNormal};
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

/// What chance there is. All of it 0: none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChanceTerms {
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
    /// What the standard's log turns out to be off by.
    standard: f64,
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
            growth: (terms.growth > 0.0)
                .then(|| Gamma::new(terms.growth_shape, terms.growth_mean / terms.growth_shape))
                .and_then(Result::ok),
            late: (terms.late > 0.0)
                .then(|| Geometric::new(1.0 / terms.late_days))
                .and_then(Result::ok),
        };
        if terms.standard > 0.0 {
            chance.standard = terms.standard * normal(&mut chance.stream(For::Standard, 0));
        }
        chance
    }

    /// What a person's minutes are multiplied by all through the replication.
    /// Of whom nothing is known, they move with the standard.
    #[must_use]
    pub fn pace(&self, person: u64) -> f64 {
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
            mean: -self.terms.task * self.terms.task / 2.0,
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
        let spread = self.chance.terms.task;
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

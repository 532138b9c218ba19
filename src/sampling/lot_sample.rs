//! The counted cars of a storm as a sample of its lot: what each comes to, by
//! stratum.

use super::Stratum;
use crate::pricing::{Basis, Item, PricedCar, PricedStorm, Status};
use crate::rates::Rates;
use crate::storm::{CodeId, Group, LotStrata, Storm};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::ToPrimitive;

/// What an estimate is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// The total price, of a quote as far as it is known.
    Total,
    /// The money for dents.
    DentsMoney,
    /// Hours of the crew by the time standard, one person at speed 1.0.
    Hours,
    /// Dents in the size classes.
    Dents,
    /// Dents too big for them.
    Oversize,
    /// Cars that need a quote.
    Quotes,
    /// How often a removal is done for itself.
    Removal(CodeId),
}

impl Measure {
    /// Whether it is an amount of money.
    #[must_use]
    pub fn is_money(self) -> bool {
        matches!(self, Measure::Total | Measure::DentsMoney)
    }

    /// Whether a helper may estimate it: money and hours follow a car's value
    /// or the like, counts of things do not.
    #[must_use]
    pub fn has_ratio(self) -> bool {
        self.is_money() || self == Measure::Hours
    }
}

/// The counted cars by stratum.
pub struct LotSample<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its strata.
    pub lot: &'a LotStrata,
    /// By stratum: counted cars, by index. Uncounted ones are in none.
    pub counted: Vec<Vec<usize>>,
}

impl<'a> LotSample<'a> {
    /// The sample of a storm.
    pub fn new(storm: &'a Storm, lot: &'a LotStrata, priced: &PricedStorm) -> LotSample<'a> {
        let mut counted = vec![Vec::new(); lot.strata.len()];
        for (index, (car, stratum)) in priced.cars.iter().zip(&lot.of_car).enumerate() {
            if car.is_counted() {
                counted[*stratum].push(index);
            }
        }
        LotSample {
            storm,
            lot,
            counted,
        }
    }

    /// The strata with a value of every counted car.
    pub fn strata(&self, value: impl Fn(usize) -> f64) -> Vec<Stratum> {
        self.lot
            .strata
            .iter()
            .zip(&self.counted)
            .map(|(stratum, cars)| Stratum {
                name: stratum.name.clone(),
                cars: stratum.cars,
                values: cars.iter().map(|car| value(*car)).collect(),
            })
            .collect()
    }

    /// Cars of each payer with a priced panel that the whole lot is taken to
    /// have: Σ N × those counted / n, rounded down and exact until then.
    pub fn priced_in_lot(&self, priced: &PricedStorm) -> Vec<u64> {
        let mut sums = vec![BigRational::from(BigInt::from(0)); self.storm.payers.len()];
        for (stratum, cars) in self.lot.strata.iter().zip(&self.counted) {
            let mut here = vec![0_u64; self.storm.payers.len()];
            for car in cars
                .iter()
                .filter(|car| priced.cars[**car].has_priced_panel())
            {
                here[self.storm.cars[*car].vehicle.payer] += 1;
            }
            for (sum, here) in sums.iter_mut().zip(here).filter(|(_, here)| *here > 0) {
                *sum += BigRational::new(
                    BigInt::from(stratum.cars) * BigInt::from(here),
                    BigInt::from(cars.len()),
                );
            }
        }
        sums.iter()
            .map(|sum| sum.floor().to_integer().to_u64().unwrap_or(u64::MAX))
            .collect()
    }
}

/// What a car comes to. `hours` are those of all cars, where there are any.
pub fn value(
    measure: Measure,
    (storm, rates): (&Storm, &Rates),
    priced: &PricedStorm,
    hours: &[f64],
    car: usize,
) -> f64 {
    let found = &priced.cars[car];
    match measure {
        Measure::Total => found.total().known.as_statistic(),
        Measure::DentsMoney => found.ledger.sum(Group::Dents).known.as_statistic(),
        Measure::Hours => hours.get(car).copied().unwrap_or(0.0),
        Measure::Dents => panels(found, |panel| panel.dents),
        Measure::Oversize => panels(found, |panel| panel.oversize),
        Measure::Quotes => f64::from(u8::from(found.status == Status::Quote)),
        Measure::Removal(code) => {
            let payer = storm.cars[car].vehicle.payer;
            let codes = removals(rates, payer, found);
            f64::from(u32::try_from(codes.filter(|found| *found == code).count()).unwrap_or(0))
        }
    }
}

fn panels(car: &PricedCar, of: impl Fn(&crate::pricing::PricedPanel) -> u32) -> f64 {
    car.panels
        .iter()
        .map(|panel| f64::from(of(panel)))
        .sum::<f64>()
        + 0.0
}

/// The removals of a car that are done for themselves; those that another one
/// includes are no work of their own.
pub fn removals<'a>(
    rates: &'a Rates,
    payer: usize,
    car: &'a PricedCar,
) -> impl Iterator<Item = CodeId> + 'a {
    let card = rates.card_of(payer);
    car.ledger.lines().iter().filter_map(move |line| {
        let Item::Removal(removal) = line.item else {
            return None;
        };
        let counts = !matches!(line.basis, Basis::In { .. });
        counts.then(|| card.removals[removal].id)
    })
}

//! All cars of a storm: what one car decides, then what all of them decide
//! together.

use super::agreed;
use super::basis::Explainer;
use super::car::{self, OpenCar, PricedPanel};
use super::car_amounts::CarAmounts;
use super::ledger::{GroupSum, Ledger};
use super::owner::{OwnersSoFar, Share};
use super::panel_sums::{Marks, PanelSums};
use super::prepared::PreparedCard;
use super::settle::{Discounts, discounts, settle};
use super::sums::{CarCounts, CarSums, OwnTerms, SummedStorm};
use super::total_loss::TotalLossFlag;
use crate::money::{Currency, Money};
use crate::rates::{LotTier, Rates};
use crate::storm::{Car, Storm};
use compact_str::CompactString;
use rayon::prelude::*;

/// What can be said of a car's price; the first that holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Status {
    /// On the list, no counts at all: in no total and no tier.
    #[default]
    Uncounted,
    /// Some line has no amount: the total is what is known so far.
    Quote,
    /// No dents, nothing referred, no line.
    Nothing,
    /// Every line has its amount.
    Priced,
}

impl Status {
    /// The word in `cars.csv`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Status::Uncounted => "uncounted",
            Status::Quote => "quote",
            Status::Nothing => "nothing",
            Status::Priced => "priced",
        }
    }

    /// Of a car with its counts and lines. Discounts, minimum and taxes change
    /// nothing in it: they stand on lines with an amount.
    #[must_use]
    pub fn of(counted: bool, counts: &CarCounts, ledger: &Ledger) -> Status {
        if !counted {
            Status::Uncounted
        } else if ledger.is_open() {
            Status::Quote
        } else if !ledger.has_lines() && counts.panels == 0 {
            Status::Nothing
        } else {
            Status::Priced
        }
    }
}

/// A car with its price.
#[derive(Debug, Clone)]
pub struct PricedCar {
    /// What can be said of it.
    pub status: Status,
    /// The counted panels.
    pub panels: Vec<PricedPanel>,
    /// Its lines and their sums.
    pub ledger: Ledger,
    /// What the owner pays; none while nothing is known.
    pub owner_pays: Option<Money>,
    /// What the payer pays; none while nothing is known.
    pub payer_pays: Option<Money>,
    /// The total-loss flag.
    pub total_loss: Option<TotalLossFlag>,
}

impl PricedCar {
    /// The sum of all lines.
    #[must_use]
    pub fn total(&self) -> GroupSum {
        self.ledger.total()
    }

    /// Whether any panel is priced: what a lot tier counts.
    #[must_use]
    pub fn has_priced_panel(&self) -> bool {
        self.panels.iter().any(|panel| panel.priced)
    }

    /// The same car in sums.
    #[must_use]
    pub fn sums(&self, car: &Car, currency: Currency) -> CarSums {
        CarSums {
            stock: CompactString::new(&car.vehicle.stock),
            payer: u32::try_from(car.vehicle.payer).unwrap_or(u32::MAX),
            body: car.vehicle.body,
            status: self.status,
            counts: CarCounts::of(&self.panels),
            amounts: CarAmounts::new(self.ledger.sums(), self.owner_pays, currency),
            total_loss: self.total_loss,
            has_own_line: self.ledger.lines().iter().any(|line| line.panel.is_none()),
            own: OwnTerms::of(&car.vehicle),
        }
    }

    /// Whether the car is in totals and tiers.
    #[must_use]
    pub fn is_counted(&self) -> bool {
        self.status != Status::Uncounted
    }
}

/// A storm with every car's price, in lot order.
#[derive(Debug)]
pub struct PricedStorm {
    /// As in [`Storm::cars`].
    pub cars: Vec<PricedCar>,
    /// The lot tier that each payer's cars reach.
    pub tiers: Vec<Option<LotTier>>,
    /// How many cars of each payer have a priced panel.
    pub priced_cars: Vec<usize>,
}

impl PricedStorm {
    /// The same storm in sums.
    #[must_use]
    pub fn sums(&self, storm: &Storm) -> SummedStorm {
        let mut panels = PanelSums::default();
        for car in &self.cars {
            panels.add(&car.panels, car.ledger.lines(), Marks::default());
        }
        let cars = self.cars.iter().zip(&storm.cars);
        SummedStorm {
            cars: cars
                .map(|(priced, car)| priced.sums(car, storm.currency))
                .collect(),
            currency: storm.currency,
            panels,
            tiers: self.tiers.clone(),
            priced_cars: self.priced_cars.clone(),
        }
    }
}

/// Prices every car of a storm.
///
/// Cars are independent up to their agreed amounts and again from their
/// discount on, so both passes use all cores; collecting keeps lot order, so
/// the result does not depend on how many there are. Time and memory grow
/// with the number of counted panels.
#[must_use]
pub fn price_storm(storm: &Storm, rates: &Rates) -> PricedStorm {
    price(storm, rates, None)
}

/// The same at the lot tiers that so many cars of each payer reach, for a
/// storm that is a sample of a larger lot.
#[must_use]
pub fn price_storm_in_lot(storm: &Storm, rates: &Rates, lot_cars: &[usize]) -> PricedStorm {
    price(storm, rates, Some(lot_cars))
}

fn price(storm: &Storm, rates: &Rates, lot_cars: Option<&[usize]>) -> PricedStorm {
    let prepared = PreparedCard::all(&rates.cards, storm.currency);
    let agreed = agreed::by_car(storm);
    let mut open: Vec<OpenCar> = storm
        .cars
        .par_iter()
        .map(|car| car::open(&prepared[rates.terms[car.vehicle.payer].card], car))
        .collect();
    for (index, rows) in &agreed {
        let explainer = Explainer::new(storm, rates, storm.cars[*index].vehicle.payer);
        agreed::apply(&explainer, &mut open[*index].ledger, rows);
    }
    let mut priced_cars = vec![0; storm.payers.len()];
    for (car, open) in storm.cars.iter().zip(&open) {
        priced_cars[car.vehicle.payer] += usize::from(open.has_priced_panel());
    }
    let tiers: Vec<Option<LotTier>> = rates
        .terms
        .iter()
        .zip(lot_cars.unwrap_or(&priced_cars))
        .map(|(terms, cars)| terms.tier(*cars))
        .collect();
    let discounts: Vec<Discounts> = rates
        .terms
        .iter()
        .zip(&tiers)
        .map(|(terms, tier)| discounts(terms, *tier))
        .collect();
    let mut cars: Vec<PricedCar> = open
        .into_par_iter()
        .zip(&storm.cars)
        .map(|(open, car)| {
            let payer = car.vehicle.payer;
            let terms = &rates.terms[payer];
            let mut ledger = open.ledger;
            settle(
                &mut ledger,
                terms,
                &discounts[payer],
                prepared[terms.card].rounding,
            );
            PricedCar {
                status: Status::of(car.counted, &CarCounts::of(&open.panels), &ledger),
                panels: open.panels,
                ledger,
                owner_pays: None,
                payer_pays: None,
                total_loss: None,
            }
        })
        .collect();
    let mut owners = vec![OwnersSoFar::default(); storm.payers.len()];
    for (car, priced) in storm.cars.iter().zip(&mut cars) {
        if !priced.is_counted() {
            continue;
        }
        let (payer, vehicle) = (car.vehicle.payer, &car.vehicle);
        let share = Share::of(
            &rates.terms[payer],
            vehicle.value,
            vehicle.deductible,
            priced.total(),
            &mut owners[payer],
        );
        priced.owner_pays = share.owner_pays;
        priced.payer_pays = share.payer_pays;
        priced.total_loss = share.total_loss;
    }
    PricedStorm {
        cars,
        tiers,
        priced_cars,
    }
}

//! What a car comes to, without its lines: enough for the table of cars and
//! for every total, at a twentieth of the memory.

use super::agreed;
use super::basis::Explainer;
use super::car::{OpenCar, PricedPanel};
use super::ledger::{GroupSum, Ledger};
use super::owner::{Deductibles, OwnersSoFar, Share};
use super::panel_prices::PanelPrices;
use super::panel_sums::{Marks, PanelSums};
use super::prepared::PreparedCard;
use super::settle::{Discounts, discounts, settle};
use super::storm::Status;
use super::total_loss::TotalLossFlag;
use crate::intake::{Problem, SheetMeta, SoundCar};
use crate::money::{Currency, Money};
use crate::rates::{LotTier, Rates};
use crate::storm::{Agreed, Body, Car, Storm, Vehicle};
use compact_str::CompactString;
use rayon::prelude::*;

/// The counts of one car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CarCounts {
    /// Panels with a dent, or referred by the counter.
    pub panels: u32,
    /// Dents in the size classes.
    pub dents: u32,
    /// Dents too big for them.
    pub oversize: u32,
    /// Panels that are referred.
    pub referred: u32,
}

impl CarCounts {
    /// Of other panels too.
    #[must_use]
    pub fn and(self, other: CarCounts) -> CarCounts {
        CarCounts {
            panels: self.panels + other.panels,
            dents: self.dents + other.dents,
            oversize: self.oversize + other.oversize,
            referred: self.referred + other.referred,
        }
    }

    /// Of a car's panels.
    #[must_use]
    pub fn of(panels: &[PricedPanel]) -> CarCounts {
        let mut counts = CarCounts::default();
        for panel in panels {
            counts.panels += u32::from(panel.counts());
            counts.dents += panel.dents;
            counts.oversize += panel.oversize;
            counts.referred += u32::from(panel.referral.is_some());
        }
        counts
    }
}

/// The price of one car in sums. Without a stock it is the empty place of a car
/// that is left out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CarSums {
    /// The lot's own number.
    pub stock: CompactString,
    /// Who pays, by index.
    pub payer: u32,
    /// The body.
    pub body: Body,
    /// What can be said of its price.
    pub status: Status,
    /// Its counts.
    pub counts: CarCounts,
    /// The sums of its lines, in [`crate::storm::Group::ALL`] order.
    pub groups: [GroupSum; 6],
    /// Their sum.
    pub total: GroupSum,
    /// What the owner pays; none while nothing is known.
    pub owner_pays: Option<Money>,
    /// What the payer pays; none while nothing is known.
    pub payer_pays: Option<Money>,
    /// The total-loss flag.
    pub total_loss: Option<TotalLossFlag>,
    /// Whether any panel is priced: what a lot tier counts.
    pub(super) has_priced_panel: bool,
    /// Whether it has a line of its own, beside all panels.
    pub(super) has_own_line: bool,
    // Few lists give them, so they do not take room in every car.
    pub(super) own: Option<Box<OwnTerms>>,
}

impl CarSums {
    /// Empty places for so many cars, made on all cores: most of the time goes
    /// into the system's handing out the memory.
    #[must_use]
    pub fn empty_places(cars: usize) -> Vec<CarSums> {
        let places = (0..cars).into_par_iter().map(|_| CarSums::default());
        places.collect()
    }

    fn own_deductible(&self) -> Option<Money> {
        self.own.as_ref().and_then(|own| own.deductible)
    }

    /// Whether the car is in totals and tiers.
    #[must_use]
    pub fn is_counted(&self) -> bool {
        self.status != Status::Uncounted
    }
}

/// What the lot list says of one car's money.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct OwnTerms {
    value: Option<Money>,
    deductible: Option<Money>,
}

impl OwnTerms {
    /// Of a vehicle; none where the list says neither.
    pub(super) fn of(vehicle: &Vehicle) -> Option<Box<OwnTerms>> {
        let (value, deductible) = (vehicle.value, vehicle.deductible);
        let is_given = value.is_some() || deductible.is_some();
        is_given.then(|| Box::new(OwnTerms { value, deductible }))
    }
}

/// What one thread prices car after car with.
#[derive(Default)]
pub struct SumsOfCars {
    open: OpenCar,
    prices: PanelPrices,
    panels: PanelSums,
}

impl SumsOfCars {
    /// Adds the sums by panel of all its cars.
    pub fn add_to(&self, sums: &mut PanelSums, currency: Currency) {
        sums.join(&self.panels);
        self.prices.add_to(sums, currency);
    }
}

/// Prices cars one by one into sums.
pub struct SumPricer<'a> {
    storm: &'a Storm,
    rates: &'a Rates,
    prepared: Vec<PreparedCard<'a>>,
}

impl<'a> SumPricer<'a> {
    /// For the cars of a storm, whose own list of them may be empty: payers,
    /// currency and agreed rows are what is taken from it.
    #[must_use]
    pub fn new(storm: &'a Storm, rates: &'a Rates) -> SumPricer<'a> {
        SumPricer {
            storm,
            rates,
            prepared: PreparedCard::all(&rates.cards, storm.currency),
        }
    }

    /// Steps 1 to 6 of a car, its agreed rows among them; what is wrong with
    /// those. A car with agreed rows may be opened only to check them: then it
    /// does not count.
    pub fn open(
        &self,
        sound: &SoundCar<'_>,
        agreed: &[(usize, &Agreed)],
        counts: bool,
        sheets: &[SheetMeta],
        sums: &mut SumsOfCars,
    ) -> Vec<Problem> {
        let (vehicle, open) = (&sound.car.vehicle, &mut sums.open);
        let card = &self.prepared[self.rates.terms[vehicle.payer].card];
        if agreed.is_empty() {
            open.open_in_sums(card, sound, &mut sums.prices, &mut sums.panels);
            return Vec::new();
        }
        // An agreement is about lines.
        open.open(card, &sound.whole());
        let explainer = Explainer::new(self.storm, self.rates, vehicle.payer);
        let stock = &vehicle.stock;
        let wrong = agreed::take_in(&explainer, &mut open.ledger, agreed, stock, sheets);
        if wrong.is_empty() && counts {
            let lines = open.ledger.lines();
            sums.panels.add(&open.panels, lines, Marks::default());
        }
        wrong
    }

    /// The sums of the car that was opened last.
    #[must_use]
    pub fn sum(&self, car: &Car, sums: &SumsOfCars) -> CarSums {
        let open = &sums.open;
        let (lines, counts) = (open.ledger.lines(), open.counts());
        let vehicle = &car.vehicle;
        CarSums {
            stock: CompactString::new(&vehicle.stock),
            payer: u32::try_from(vehicle.payer).unwrap_or(u32::MAX),
            body: vehicle.body,
            status: Status::of(car.counted, &counts, &open.ledger),
            counts,
            groups: *open.ledger.sums(),
            // Nothing of it is known before the car is settled.
            total: GroupSum::default(),
            owner_pays: None,
            payer_pays: None,
            total_loss: None,
            has_priced_panel: open.has_priced_panel(),
            has_own_line: lines.iter().any(|line| line.panel.is_none()),
            own: OwnTerms::of(vehicle),
        }
    }

    /// Steps 7 to 9 of a car at what its payer's cars get off.
    fn settle(
        &self,
        car: &mut CarSums,
        discounts: &Discounts,
        ledger: &mut Ledger,
        panels: &mut PanelSums,
    ) {
        let terms = &self.rates.terms[car.payer as usize];
        ledger.resume(car.groups);
        settle(ledger, terms, discounts, self.prepared[terms.card].rounding);
        panels.add_own(ledger.lines(), car.has_own_line);
        car.groups = *ledger.sums();
        car.total = ledger.total();
    }

    /// Steps 10 and 11 of a car, in lot order.
    fn share(&self, car: &mut CarSums, owners: &mut [OwnersSoFar]) {
        if !car.is_counted() {
            return;
        }
        let payer = car.payer as usize;
        let value = car.own.as_ref().and_then(|own| own.value);
        let (terms, deductible) = (&self.rates.terms[payer], car.own_deductible());
        let share = Share::of(terms, value, deductible, car.total, &mut owners[payer]);
        car.owner_pays = share.owner_pays;
        car.payer_pays = share.payer_pays;
        car.total_loss = share.total_loss;
    }
}

/// A storm in sums, in lot order.
#[derive(Debug)]
pub struct SummedStorm {
    /// The cars.
    pub cars: Vec<CarSums>,
    /// The sums by panel.
    pub panels: PanelSums,
    /// The lot tier that each payer's cars reach.
    pub tiers: Vec<Option<LotTier>>,
    /// How many cars of each payer have a priced panel.
    pub priced_cars: Vec<usize>,
}

/// Cars that one thread settles in one go.
const CHUNK: usize = 4_096;

impl SumPricer<'_> {
    /// How many cars of each payer have a priced panel.
    fn priced_cars(&self, cars: &[CarSums]) -> Vec<usize> {
        let payers = self.storm.payers.len();
        let chunks = cars.par_chunks(CHUNK).map(|cars| {
            let mut priced = vec![0; payers];
            for car in cars {
                priced[car.payer as usize] += usize::from(car.has_priced_panel);
            }
            priced
        });
        chunks.reduce(
            || vec![0; payers],
            |one, other| {
                one.iter()
                    .zip(other)
                    .map(|(one, other)| one + other)
                    .collect()
            },
        )
    }

    /// Steps 7 to 11 of all cars, in lot order.
    #[must_use]
    pub fn close(&self, mut cars: Vec<CarSums>, mut panels: PanelSums) -> SummedStorm {
        let priced_cars = self.priced_cars(&cars);
        let terms = &self.rates.terms;
        let tiers: Vec<Option<LotTier>> = terms
            .iter()
            .zip(&priced_cars)
            .map(|(terms, cars)| terms.tier(*cars))
            .collect();
        let discounts: Vec<Discounts> = terms
            .iter()
            .zip(&tiers)
            .map(|(terms, tier)| discounts(terms, *tier))
            .collect();
        let settled: Vec<(PanelSums, Vec<Deductibles>)> = cars
            .par_chunks_mut(CHUNK)
            .map(|cars| {
                let (mut ledger, mut own) = (Ledger::default(), PanelSums::default());
                let mut deductibles = vec![Deductibles::default(); terms.len()];
                for car in cars {
                    let payer = car.payer as usize;
                    self.settle(car, &discounts[payer], &mut ledger, &mut own);
                    if car.is_counted() {
                        let (own, total) = (car.own_deductible(), car.total.known);
                        deductibles[payer].add(&terms[payer], own, total);
                    }
                }
                (own, deductibles)
            })
            .collect();
        let mut owners = vec![OwnersSoFar::default(); terms.len()];
        let mut starts = Vec::with_capacity(settled.len());
        for (own, deductibles) in &settled {
            panels.join(own);
            starts.push(owners.clone());
            for ((owner, of), terms) in owners.iter_mut().zip(deductibles).zip(terms) {
                owner.pass(terms, *of);
            }
        }
        let chunks = cars.par_chunks_mut(CHUNK).zip(starts);
        chunks.for_each(|(cars, mut owners)| {
            for car in cars {
                self.share(car, &mut owners);
            }
        });
        SummedStorm {
            cars,
            panels,
            tiers,
            priced_cars,
        }
    }
}

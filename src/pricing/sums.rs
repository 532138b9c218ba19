//! What a car comes to, without its lines: enough for the table of cars and
//! for every total, at a twentieth of the memory.

use super::agreed;
use super::basis::Explainer;
use super::car::{OpenCar, PricedPanel};
use super::car_amounts::CarAmounts;
use super::ledger::{GroupSum, Ledger, LineAmount};
use super::owner::{Deductibles, OwnersSoFar, Share};
use super::panel_prices::PanelPrices;
use super::panel_sums::{Marks, PanelSums};
use super::prepared::PreparedCard;
use super::settle::{Discounts, discounts, settle};
use super::storm::Status;
use super::total_loss::TotalLossFlag;
use crate::intake::{Problem, SheetMeta, SoundCar};
use crate::money::{Currency, Money};
use crate::rates::{LotTier, Rates, Terms};
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
    /// The sums of its lines, and who pays them.
    pub amounts: CarAmounts,
    /// The total-loss flag.
    pub total_loss: Option<TotalLossFlag>,
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
    /// Where a car is settled.
    settling: Ledger<LineAmount>,
    prices: PanelPrices,
    panels: PanelSums,
    /// How many cars of each payer have a priced panel.
    priced_cars: Vec<usize>,
}

/// What all cars have together before the storm is closed.
#[derive(Debug, Default)]
pub struct OpenSums {
    /// The sums by panel.
    panels: PanelSums,
    /// How many cars of each payer have a priced panel: what lot tiers count.
    priced_cars: Vec<usize>,
}

impl OpenSums {
    /// Adds what one thread has priced.
    pub fn join(&mut self, cars: &SumsOfCars, currency: Currency) {
        self.panels.join(&cars.panels);
        cars.prices.add_to(&mut self.panels, currency);
        add_each(&mut self.priced_cars, &cars.priced_cars);
    }
}

fn add_each(to: &mut Vec<usize>, more: &[usize]) {
    to.resize(to.len().max(more.len()), 0);
    for (to, more) in to.iter_mut().zip(more) {
        *to += more;
    }
}

/// Prices cars one by one into sums.
pub struct SumPricer<'a> {
    storm: &'a Storm,
    rates: &'a Rates,
    prepared: Vec<PreparedCard<'a>>,
    /// What each payer's cars get off, where no lot tier decides of it.
    standing: Vec<Option<Discounts>>,
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
            standing: rates.terms.iter().map(standing_discounts).collect(),
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

    /// The sums of the car that was opened last, as far as they hang on no other car.
    #[must_use]
    pub fn sum(&self, car: &Car, sums: &mut SumsOfCars) -> CarSums {
        let open = &sums.open;
        let (lines, counts) = (open.ledger.lines(), open.counts());
        let vehicle = &car.vehicle;
        let mut of_car = CarSums {
            stock: CompactString::new(&vehicle.stock),
            payer: u32::try_from(vehicle.payer).unwrap_or(u32::MAX),
            body: vehicle.body,
            status: Status::of(car.counted, &counts, &open.ledger),
            counts,
            amounts: CarAmounts::default(),
            total_loss: None,
            has_own_line: lines.iter().any(|line| line.panel.is_none()),
            own: OwnTerms::of(vehicle),
        };
        let payers = vehicle.payer + 1;
        if sums.priced_cars.len() < payers {
            sums.priced_cars.resize(payers, 0);
        }
        sums.priced_cars[vehicle.payer] += usize::from(open.has_priced_panel());
        sums.settling.resume(*open.ledger.sums());
        let mut owner = None;
        if let Some(discounts) = &self.standing[vehicle.payer] {
            self.settle(&of_car, discounts, &mut sums.settling, &mut sums.panels);
            if self.shares_alone(vehicle.payer) {
                let total = sums.settling.total();
                owner = self.share(&mut of_car, total, &mut OwnersSoFar::default());
            }
        }
        let groups = sums.settling.sums();
        of_car.amounts = CarAmounts::new(groups, owner, self.storm.currency);
        of_car
    }

    /// Whether the owners' parts of a payer's cars hang on no other car.
    fn shares_alone(&self, payer: usize) -> bool {
        let terms = &self.rates.terms[payer];
        self.standing[payer].is_some() && terms.deductible_event_max.is_none()
    }

    /// Steps 7 to 9 of a car whose sums stand in the ledger, at what its payer's cars
    /// get off.
    fn settle(
        &self,
        car: &CarSums,
        discounts: &Discounts,
        ledger: &mut Ledger<LineAmount>,
        panels: &mut PanelSums,
    ) {
        let terms = &self.rates.terms[car.payer as usize];
        settle(ledger, terms, discounts, self.prepared[terms.card].rounding);
        panels.add_own(ledger.lines(), car.has_own_line);
    }

    /// Steps 10 and 11 of a car, in lot order; what its owner pays.
    fn share(&self, car: &mut CarSums, total: GroupSum, owners: &mut OwnersSoFar) -> Option<Money> {
        if !car.is_counted() {
            return None;
        }
        let terms = &self.rates.terms[car.payer as usize];
        let value = car.own.as_ref().and_then(|own| own.value);
        let share = Share::of(terms, value, car.own_deductible(), total, owners);
        car.total_loss = share.total_loss;
        share.owner_pays
    }
}

/// What a payer's cars get off, where no lot tier decides of it.
fn standing_discounts(terms: &Terms) -> Option<Discounts> {
    terms
        .lot_discount
        .is_empty()
        .then(|| discounts(terms, None))
}

/// A storm in sums, in lot order.
#[derive(Debug)]
pub struct SummedStorm {
    /// The cars.
    pub cars: Vec<CarSums>,
    /// The currency of their amounts.
    pub currency: Currency,
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
    /// Steps 7 to 11 of all cars that hang on others, in lot order.
    #[must_use]
    pub fn close(&self, mut cars: Vec<CarSums>, sums: OpenSums) -> SummedStorm {
        let OpenSums {
            mut panels,
            mut priced_cars,
        } = sums;
        let terms = &self.rates.terms;
        priced_cars.resize(terms.len(), 0);
        let tiers: Vec<Option<LotTier>> = terms
            .iter()
            .zip(&priced_cars)
            .map(|(terms, cars)| terms.tier(*cars))
            .collect();
        if !(0..terms.len()).all(|payer| self.shares_alone(payer)) {
            self.close_in_lot_order(&mut cars, &mut panels, &tiers);
        }
        SummedStorm {
            cars,
            currency: self.storm.currency,
            panels,
            tiers,
            priced_cars,
        }
    }

    fn close_in_lot_order(
        &self,
        cars: &mut [CarSums],
        panels: &mut PanelSums,
        tiers: &[Option<LotTier>],
    ) {
        let (terms, currency) = (&self.rates.terms, self.storm.currency);
        let discounts: Vec<Discounts> = terms
            .iter()
            .zip(tiers)
            .map(|(terms, tier)| discounts(terms, *tier))
            .collect();
        let hangs_on_others = |car: &&mut CarSums| !self.shares_alone(car.payer as usize);
        let settled: Vec<(PanelSums, Vec<Deductibles>)> = cars
            .par_chunks_mut(CHUNK)
            .map(|cars| {
                let (mut ledger, mut own) = (Ledger::default(), PanelSums::default());
                let mut deductibles = vec![Deductibles::default(); terms.len()];
                for car in cars.iter_mut().filter(hangs_on_others) {
                    let payer = car.payer as usize;
                    if self.standing[payer].is_none() {
                        ledger.resume(car.amounts.groups(currency));
                        self.settle(car, &discounts[payer], &mut ledger, &mut own);
                        car.amounts = CarAmounts::new(ledger.sums(), None, currency);
                    }
                    if car.is_counted() {
                        let total = car.amounts.total(currency).known;
                        deductibles[payer].add(&terms[payer], car.own_deductible(), total);
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
            for car in cars.iter_mut().filter(hangs_on_others) {
                let total = car.amounts.total(currency);
                let owner = self.share(car, total, &mut owners[car.payer as usize]);
                car.amounts.set_owner(owner, currency);
            }
        });
    }
}

//! What the whole lot comes to, by the cars counted so far.

use super::lot_sample::{LotSample, Measure, removals, value};
use super::{
    Allocation, Degrees, Figure, RatioEstimate, Stratum, TotalEstimate, can_allocate,
    estimate_ratio_by, estimate_total_by, more_to_count, residuals,
};
use crate::crew::{CarWork, NotPlannable, TimeStandard, all_work};
use crate::pricing::{PricedStorm, Status, price_storm_in_lot};
use crate::rates::{LotTier, Rates};
use crate::storm::{CodeId, LotStrata, Storm};
use rust_decimal::prelude::ToPrimitive;
use std::collections::BTreeSet;

/// Measures times payers times cars above which removals are not parted by
/// payer: nobody reads so many figures.
const MOST_STEPS: usize = 50_000_000;

/// What an estimate is made of.
#[derive(Clone, Copy)]
pub struct LotInput<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its rates.
    pub rates: &'a Rates,
    /// The prices of the counted cars by themselves.
    pub priced: &'a PricedStorm,
    /// What the counted cars are a sample of.
    pub lot: &'a LotStrata,
    /// The time standard, where there is one.
    pub standard: Option<&'a TimeStandard>,
}

/// How it is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LotRequest {
    /// Degrees of freedom.
    pub degrees: Degrees,
    /// Whether by the helper too.
    pub by_helper: bool,
    /// The part of the total that is wanted to either side.
    pub within: f64,
}

impl Default for LotRequest {
    fn default() -> LotRequest {
        LotRequest {
            degrees: Degrees::Counted,
            by_helper: false,
            within: 0.05,
        }
    }
}

/// A payer in the sample.
#[derive(Debug, Clone, Copy)]
pub struct PayerSample {
    /// The payer, by index.
    pub payer: usize,
    /// Counted cars; without any nothing is known of this payer.
    pub counted: u64,
    /// Cars with a priced panel that the whole lot is taken to have.
    pub priced_in_lot: u64,
    /// The tier that so many reach; every figure is priced at it.
    pub tier: Option<LotTier>,
}

/// One thing estimated.
#[derive(Debug, Clone)]
pub struct MeasureEstimate {
    /// Of what.
    pub measure: Measure,
    /// The whole and every stratum.
    pub total: TotalEstimate,
    /// As [`LotEstimate::payers`]: none without a counted car. They foot to the
    /// whole. Empty where there would be too many.
    pub by_payer: Vec<Option<Figure>>,
    /// By the helper: none where it was not asked for or says nothing.
    pub ratio: Option<RatioEstimate>,
}

/// What the whole lot comes to.
#[derive(Debug, Clone)]
pub struct LotEstimate {
    /// Strata in lot order, with the total price of every counted car.
    pub strata: Vec<Stratum>,
    /// Payers with a car in the storm.
    pub payers: Vec<PayerSample>,
    /// Counted cars whose price is known in part only.
    pub quotes: u64,
    /// The measures in their order, then removals by code.
    pub measures: Vec<MeasureEstimate>,
    /// What the time standard lacks; hours are not estimated then.
    pub lacks: Vec<NotPlannable>,
    /// How it was made.
    pub request: LotRequest,
    /// Cars to count in all; none where no spread can be told.
    pub more: Option<Allocation>,
}

impl LotEstimate {
    /// Estimates.
    ///
    /// The sample is priced at the lot tiers that the whole lot would reach; the
    /// event maximum of a deductible binds all cars of a payer together and is
    /// not estimated, so there is nothing here of who pays what.
    #[must_use]
    pub fn of(input: LotInput<'_>, request: LotRequest) -> LotEstimate {
        let (storm, rates) = (input.storm, input.rates);
        let sample = LotSample::new(storm, input.lot, input.priced);
        let lot_cars = sample.priced_in_lot(input.priced);
        let reached: Vec<usize> = lot_cars
            .iter()
            .map(|cars| usize::try_from(*cars).unwrap_or(usize::MAX))
            .collect();
        let priced = price_storm_in_lot(storm, rates, &reached);
        let (hours, lacks) = match input.standard {
            Some(standard) => match all_work(storm, rates, &priced, standard) {
                Ok(work) => (
                    Some(work.iter().map(hours).collect::<Vec<f64>>()),
                    Vec::new(),
                ),
                Err(lacks) => (None, lacks),
            },
            None => (None, Vec::new()),
        };
        let payers = payers(&sample, &priced, &lot_cars);
        let strata_of = |measure| {
            let hours: &[f64] = hours.as_deref().unwrap_or_default();
            sample.strata(|car| value(measure, (storm, rates), &priced, hours, car))
        };
        let strata = strata_of(Measure::Total);
        let helpers = input.lot.helper.as_ref().filter(|_| request.by_helper);
        let helpers = helpers.map(|helper| {
            let of = |cars: &Vec<usize>| cars.iter().map(|car| helper.of_car[*car]).collect();
            let by_stratum: Vec<Vec<f64>> = sample.counted.iter().map(of).collect();
            (by_stratum, helper.total)
        });
        let codes = codes(&sample, rates, &priced);
        let mut wanted = vec![Measure::Total, Measure::DentsMoney];
        wanted.extend(hours.is_some().then_some(Measure::Hours));
        wanted.extend([Measure::Dents, Measure::Oversize, Measure::Quotes]);
        wanted.extend(codes.iter().map(|code| Measure::Removal(*code)));
        let counted: usize = sample.counted.iter().map(Vec::len).sum();
        let steps = wanted.len() * payers.len() * (counted + strata.len());
        let measures: Vec<MeasureEstimate> = wanted
            .iter()
            .map(|measure| {
                let of_cars = strata_of(*measure);
                let parts = steps <= MOST_STEPS || !matches!(measure, Measure::Removal(_));
                let by_payer = payers.iter().filter(|_| parts).map(|payer| {
                    (payer.counted > 0).then(|| of_payer(&sample, &of_cars, payer.payer, request))
                });
                let ratio = helpers.as_ref().filter(|_| measure.has_ratio()).and_then(
                    |(helpers, known)| {
                        estimate_ratio_by(&of_cars, helpers, *known, request.degrees)
                    },
                );
                MeasureEstimate {
                    measure: *measure,
                    total: estimate_total_by(&of_cars, request.degrees),
                    by_payer: by_payer.collect(),
                    ratio,
                }
            })
            .collect();
        let helpers = helpers.as_ref().map(|(helpers, _)| helpers.as_slice());
        LotEstimate {
            more: more(&strata, &measures, helpers, request.within),
            quotes: sample
                .counted
                .iter()
                .flatten()
                .filter(|car| priced.cars[**car].status == Status::Quote)
                .count() as u64,
            strata,
            payers,
            measures,
            lacks,
            request,
        }
    }

    /// Cars in all.
    #[must_use]
    pub fn cars(&self) -> u64 {
        self.strata.iter().map(|stratum| stratum.cars).sum()
    }

    /// Cars of the strata with a counted car: what figures are of.
    #[must_use]
    pub fn cars_estimated(&self) -> u64 {
        let known = self.strata.iter().filter(|stratum| stratum.counted() > 0);
        known.map(|stratum| stratum.cars).sum()
    }

    /// Counted cars.
    #[must_use]
    pub fn counted(&self) -> u64 {
        self.strata.iter().map(Stratum::counted).sum()
    }

    /// Strata with cars and none of them counted: they are in no figure.
    pub fn missing(&self) -> impl Iterator<Item = &Stratum> {
        self.strata
            .iter()
            .filter(|stratum| stratum.counted() == 0 && stratum.cars > 0)
    }

    /// Whether every car of the lot is counted, so that nothing is a guess.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.counted() == self.cars()
    }

    /// The estimate of one measure.
    #[must_use]
    pub fn measure(&self, measure: Measure) -> Option<&MeasureEstimate> {
        self.measures.iter().find(|made| made.measure == measure)
    }
}

fn hours(work: &CarWork) -> f64 {
    work.total().to_f64().unwrap_or(0.0) / 60.0
}

/// The total over one payer's cars: 0 for all others, so that the payers' totals
/// foot to the whole (Cochran 1977, chapter 5A: totals over subpopulations).
fn of_payer(
    sample: &LotSample<'_>,
    of_cars: &[Stratum],
    payer: usize,
    request: LotRequest,
) -> Figure {
    let strata: Vec<Stratum> = of_cars
        .iter()
        .zip(&sample.counted)
        .map(|(stratum, cars)| Stratum {
            values: stratum
                .values
                .iter()
                .zip(cars)
                .map(|(value, car)| {
                    let is_theirs = sample.storm.cars[*car].vehicle.payer == payer;
                    if is_theirs { *value } else { 0.0 }
                })
                .collect(),
            ..stratum.clone()
        })
        .collect();
    estimate_total_by(&strata, request.degrees).whole
}

fn payers(sample: &LotSample<'_>, priced: &PricedStorm, lot_cars: &[u64]) -> Vec<PayerSample> {
    let storm = sample.storm;
    let mut known = vec![None; storm.payers.len()];
    for car in &storm.cars {
        known[car.vehicle.payer] = Some(0);
    }
    for car in sample.counted.iter().flatten() {
        *known[storm.cars[*car].vehicle.payer].get_or_insert(0) += 1;
    }
    let known = known.into_iter().enumerate();
    known
        .filter_map(|(payer, counted)| {
            Some(PayerSample {
                payer,
                counted: counted?,
                priced_in_lot: lot_cars[payer],
                tier: priced.tiers[payer],
            })
        })
        .collect()
}

/// The codes that occur, in byte order of their names.
fn codes(sample: &LotSample<'_>, rates: &Rates, priced: &PricedStorm) -> Vec<CodeId> {
    let storm = sample.storm;
    let mut found: BTreeSet<CodeId> = BTreeSet::new();
    for car in sample.counted.iter().flatten() {
        let payer = storm.cars[*car].vehicle.payer;
        found.extend(removals(rates, payer, &priced.cars[*car]));
    }
    let mut codes: Vec<CodeId> = found.into_iter().collect();
    codes.sort_by_key(|code| &storm.code_names[usize::from(code.0)]);
    codes
}

/// How many to count for the total price to be as near as is wanted.
fn more(
    strata: &[Stratum],
    measures: &[MeasureEstimate],
    helpers: Option<&[Vec<f64>]>,
    within: f64,
) -> Option<Allocation> {
    let total = measures.first()?;
    if !can_allocate(strata) {
        return None;
    }
    let whole = total.total.whole.total;
    match (&total.ratio, helpers) {
        (Some(ratio), Some(helpers)) => more_to_count(
            strata,
            &residuals(strata, helpers, ratio.ratio),
            whole,
            within,
        ),
        _ => more_to_count(strata, strata, whole, within),
    }
}

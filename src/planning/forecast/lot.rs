//! The forecast of a lot: its plan's order, its crew's paces, the cars that
//! nobody has counted yet.

use super::super::lot::LotPlan;
use super::chance::{ChanceTerms, PaceChance};
use super::flow::{CarPattern, DealOrder, Flow, FlowCar, FlowTask, KnownWork, number};
use super::odds::holds;
use super::order::{WithoutChance, improve, without_chance};
use super::replicate::{Replicate, Replications, Watch, replicate};
use super::run::MOST_PEOPLE;
use crate::crew::{CarWork, Jobs, Paces, SiteChance};
use crate::storm::Storm;
use rust_decimal::Decimal;

/// Which car of a lot one of the flow is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotCar {
    /// A counted one: a place in [`Jobs::cars`].
    Counted(usize),
    /// One that nobody has counted: a place in [`Jobs::uncounted`].
    Uncounted(usize),
    /// One of a stratum, by place, that no list has.
    Unlisted(usize),
}

/// What nobody has counted, and whose work stands for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StandIn {
    /// The stratum, by place in the lot's strata; none where there are none.
    pub stratum: Option<usize>,
    /// How many cars of it nobody has counted.
    pub cars: usize,
    /// How many counted ones they are drawn from.
    pub from: usize,
    /// Whether these are of the whole lot, since none of the stratum is counted.
    pub of_whole_lot: bool,
}

/// Why there is no forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoForecast {
    /// There is no plan.
    NoPlan,
    /// More people than can be dealt work.
    TooMany {
        /// How many there are.
        people: usize,
    },
}

/// A forecast.
#[derive(Debug, Clone)]
pub struct LotForecast {
    /// The lot as it is dealt out.
    pub flow: Flow,
    /// By rank: which car it is.
    pub cars: Vec<LotCar>,
    /// What chance there is.
    pub terms: ChanceTerms,
    /// How often it was to be gone through.
    pub asked: usize,
    /// What came of it.
    pub replications: Replications,
    /// How the counted cars go where nothing is left to chance.
    pub without_chance: WithoutChance,
    /// Places in [`Jobs::cars`] whose promise the plan keeps, and this order does
    /// not even without chance.
    pub broken: Vec<usize>,
    /// What stands for cars that nobody has counted.
    pub stand_ins: Vec<StandIn>,
    /// Cars that nobody has counted and for which nothing can stand.
    pub unknown: usize,
}

/// What a forecast is made of.
#[derive(Clone, Copy)]
pub struct ForecastInput<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// What is left to do.
    pub jobs: &'a Jobs,
    /// Who does it when.
    pub made: &'a LotPlan,
    /// What may come between.
    pub chance: &'a SiteChance,
    /// Standard deviation of the log of a task's minutes, while no log tells it.
    pub spread: Decimal,
}

impl LotForecast {
    /// Forecasts a lot.
    ///
    /// # Errors
    /// Why there is none.
    pub fn of(
        input: ForecastInput<'_>,
        times: usize,
        seed: u64,
        watch: &Watch<'_>,
    ) -> Result<LotForecast, NoForecast> {
        let mut lot = LotFlow::of_plan(input)?;
        let (without_chance, ends) = without_chance(&lot.flow);
        let broken = lot.flow.cars.iter().zip(ends).filter(|(car, end)| {
            let is_late = car.due.is_some_and(|due| *end > due + 1e-6);
            is_late && input.made.outcome.late[car.car] == 0
        });
        let broken = broken.map(|(car, _)| car.car).collect();
        lot.add_uncounted(input);
        let terms = chance_terms(input.chance, &input.jobs.paces, input.spread);
        let how = Replicate {
            terms: &terms,
            seed,
            times,
        };
        let replications = replicate(&lot.flow, how, watch);
        Ok(LotForecast {
            flow: lot.flow,
            cars: lot.cars,
            asked: times,
            replications,
            without_chance,
            broken,
            stand_ins: lot.stand_ins,
            unknown: lot.unknown,
            terms,
        })
    }

    /// The minute at which all is done at given odds; none: not at these odds.
    #[must_use]
    pub fn minute(&self, odds: u32) -> Option<f64> {
        holds(&self.replications.in_order(), odds)
    }
}

/// The flow of a lot with whose cars they are.
pub struct LotFlow {
    /// The flow.
    pub flow: Flow,
    /// By rank.
    pub cars: Vec<LotCar>,
    /// What stands for the uncounted.
    pub stand_ins: Vec<StandIn>,
    /// Cars for which nothing can.
    pub unknown: usize,
}

impl LotFlow {
    /// The counted cars in their plan's order.
    ///
    /// # Errors
    /// Why nothing can be dealt out.
    pub fn of_plan(input: ForecastInput<'_>) -> Result<LotFlow, NoForecast> {
        let problem = &input.made.problem;
        if !input.made.impossible.is_empty() {
            return Err(NoForecast::NoPlan);
        }
        let people = problem.workers.len();
        if people > MOST_PEOPLE {
            return Err(NoForecast::TooMany { people });
        }
        let order = DealOrder::of_plan(problem, &input.made.plan);
        let mut flow = Flow::of(problem, &order);
        // The plan's own day is good enough.
        let planned = &input.made.plan.score;
        improve(&mut flow, planned.days as f64, planned.late);
        let jobs = input.jobs;
        for car in &mut flow.cars {
            let job = &jobs.cars[car.car];
            // What was due before today is here.
            car.awaits_parts = job.parts_due.is_some_and(|due| due >= 0);
            car.key = job.car as u64;
        }
        let of_job = |car: &FlowCar| LotCar::Counted(car.car);
        Ok(LotFlow {
            cars: flow.cars.iter().map(of_job).collect(),
            flow,
            stand_ins: Vec::new(),
            unknown: 0,
        })
    }

    /// Adds the cars that nobody has counted behind those that are planned:
    /// promised ones first, then as they arrive; last those that no list has,
    /// which are taken to be here.
    pub fn add_uncounted(&mut self, input: ForecastInput<'_>) {
        let jobs = input.jobs;
        let strata = input.storm.lot.as_ref();
        let unlisted = strata.map_or_else(Vec::new, |strata| strata.unlisted());
        let in_all = jobs.uncounted.len() as u64 + unlisted.iter().sum::<u64>();
        if in_all == 0 {
            return;
        }
        let count = strata.map_or(1, |strata| strata.strata.len());
        let stratum_of = |car: usize| strata.map_or(0, |strata| strata.of_car[car]);
        let mut counted: Vec<Vec<usize>> = vec![Vec::new(); count];
        for job in &jobs.cars {
            counted[stratum_of(job.car)].push(self.flow.patterns.len());
            self.flow.patterns.push(pattern(&jobs.work[job.car]));
        }
        let whole: Vec<usize> = counted.iter().flatten().copied().collect();
        if whole.is_empty() {
            self.unknown = usize::try_from(in_all).unwrap_or(usize::MAX);
            return;
        }
        let first = self.flow.pools.len();
        for of_stratum in &counted {
            let pool = if of_stratum.is_empty() {
                &whole
            } else {
                of_stratum
            };
            self.flow.pools.push(pool.clone());
        }
        let mut listed: Vec<usize> = (0..jobs.uncounted.len()).collect();
        listed.sort_by_key(|at| {
            let car = &jobs.uncounted[*at];
            (car.due.is_none(), car.due, car.arrives, car.car)
        });
        let mut cars = vec![0; count];
        for at in listed {
            let car = &jobs.uncounted[at];
            let stratum = stratum_of(car.car);
            cars[stratum] += 1;
            self.cars.push(LotCar::Uncounted(at));
            self.flow.cars.push(FlowCar {
                car: car.car,
                key: car.car as u64,
                arrives: car.arrives as f64,
                parts: car.parts_due.unwrap_or(0).max(0) as f64,
                awaits_parts: car.parts_due.is_some_and(|due| due >= 0),
                in_bay: false,
                due: car.due.map(|due| due as f64),
                weight: 1,
                work: KnownWork::AnyOf(first + stratum),
            });
        }
        for (stratum, more) in unlisted.iter().enumerate() {
            for number in 0..*more {
                cars[stratum] += 1;
                self.cars.push(LotCar::Unlisted(stratum));
                self.flow.cars.push(FlowCar {
                    car: usize::MAX,
                    key: UNLISTED | (stratum as u64) << 32 | number,
                    arrives: 0.0,
                    parts: 0.0,
                    awaits_parts: false,
                    in_bay: false,
                    due: None,
                    weight: 1,
                    work: KnownWork::AnyOf(first + stratum),
                });
            }
        }
        let stands = |(stratum, cars): (usize, &usize)| {
            let own = &counted[stratum];
            (*cars > 0).then_some(StandIn {
                stratum: strata.map(|_| stratum),
                cars: *cars,
                from: if own.is_empty() {
                    whole.len()
                } else {
                    own.len()
                },
                of_whole_lot: own.is_empty(),
            })
        };
        self.stand_ins = cars.iter().enumerate().filter_map(stands).collect();
    }
}

/// Marks the keys of cars that no list has.
const UNLISTED: u64 = 1 << 62;

/// The whole work of a counted car, for a car that is like it.
fn pattern(work: &CarWork) -> CarPattern {
    let task = |minutes: Decimal| FlowTask {
        minutes: number(minutes),
        only: None,
    };
    let mut panels: Vec<Decimal> = work.panels.iter().map(|(_, minutes)| *minutes).collect();
    panels.sort_by(|a, b| b.cmp(a));
    CarPattern {
        strip: task(work.strip),
        panels: panels.into_iter().map(task).collect(),
        fit: task(work.fit),
        finish: task(work.finish),
    }
}

/// Chance as the lead states it and the log tells it. Without a log everybody
/// moves with the stated error of the standard.
#[must_use]
pub fn chance_terms(stated: &SiteChance, paces: &Paces, spread: Decimal) -> ChanceTerms {
    let part = |percent: crate::money::Percent| number(percent.0) / 100.0;
    let terms = ChanceTerms {
        log: None,
        standard: number(stated.standard_error),
        people: Vec::new(),
        others: PaceChance {
            with_standard: 1.0,
            own: 0.0,
        },
        task: number(spread),
        weather: part(stated.weather),
        absent: part(stated.absent),
        growth: part(stated.growth),
        growth_mean: number(stated.growth_mean),
        growth_shape: number(stated.growth_shape),
        late: part(stated.parts_late),
        late_days: number(stated.parts_late_days),
    };
    match &paces.learned {
        Some(learned) => terms.with_log(learned),
        None => terms,
    }
}

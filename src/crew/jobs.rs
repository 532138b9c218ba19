//! A priced storm and its log → what is left to do, for whom, from which day.

use super::TimeTerms;
use super::car_job::{CarJob, left};
use super::car_work::CarWork;
use super::not_plannable::NotPlannable;
use super::pace::Paces;
use super::progress::{CarState, TaskState, progress};
use super::site_hours::{Minute, SiteHours};
use super::standard::{Lack, Site, TimeStandard};
use crate::pricing::PricedStorm;
use crate::rates::Rates;
use crate::storm::{CrewLog, Moment, Person, Storm, Trade};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What jobs are made of.
#[derive(Clone, Copy)]
pub struct JobsInput<'a> {
    /// The storm.
    pub storm: &'a Storm,
    /// Its rates.
    pub rates: &'a Rates,
    /// Its prices.
    pub priced: &'a PricedStorm,
    /// Its crew.
    pub log: &'a CrewLog,
    /// Its hours and its standard.
    pub terms: &'a TimeTerms,
    /// The day from which is planned; `None`: the one after the last that is
    /// logged, or the first of all.
    pub from: Option<Date>,
}

/// All that is left to do.
#[derive(Debug, Clone)]
pub struct Jobs {
    /// The site's hours, counted from the first day that is planned.
    pub hours: SiteHours,
    /// Bays and hands.
    pub site: Site,
    /// The last day that is logged.
    pub logged_to: Option<Date>,
    /// Everyone's pace.
    pub paces: Paces,
    /// By person: the working days here, by index; `None`: every one.
    pub days: Vec<Option<Vec<i64>>>,
    /// The counted cars, in lot order; finished ones too.
    pub cars: Vec<CarJob>,
    /// Cars that nobody has counted yet.
    pub uncounted: Vec<UncountedCar>,
    /// By car of the storm: its whole work, done or not; of uncounted cars none.
    pub work: Vec<CarWork>,
    /// Begun work whose person can't end it any more: car and person.
    pub handed_over: Vec<(usize, usize)>,
}

/// A car that nobody has counted yet: only its days are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UncountedCar {
    /// Index into the storm's cars.
    pub car: usize,
    /// No task begins before.
    pub arrives: Minute,
    /// Putting back begins no earlier.
    pub parts_due: Option<Minute>,
    /// Promised for.
    pub due: Option<Minute>,
}

/// Working days for which somebody's days away are listed; a plan that goes
/// further is no plan.
pub const HORIZON: i64 = 4_000;
/// The last day from which is planned.
const FAR: Date = Date::constant(3_000, 1, 1);

/// Makes jobs of a storm.
///
/// # Errors
/// All that stands against it.
pub fn jobs(input: JobsInput<'_>) -> Result<Jobs, Vec<NotPlannable>> {
    let terms = input.terms;
    let mut missing = Vec::new();
    if terms.hours.is_none() {
        missing.push(NotPlannable::NoHours);
    }
    if terms.standard.is_none() {
        missing.push(NotPlannable::NoStandard);
    }
    if input.log.people.is_empty() {
        missing.push(NotPlannable::NoCrew);
    }
    let (Some(hours), Some(standard), true) = (&terms.hours, &terms.standard, missing.is_empty())
    else {
        return Err(missing);
    };
    let work = all_work(input.storm, input.rates, input.priced, standard)?;
    let (states, lessons) = progress(input.storm, input.log, &work);
    let people = &input.log.people;
    let paces = Paces::of(people, &lessons, standard.spread);
    let logged_to = input.log.work.iter().map(|row| row.date).max();
    let from = input
        .from
        .or(logged_to.map(|day| day.tomorrow().unwrap_or(day)))
        .unwrap_or(hours.start())
        .min(FAR)
        .max(hours.start());
    let hours = hours.from_day(from);
    let first_days = hours.first_days(HORIZON);
    let days: Vec<Option<Vec<i64>>> = people
        .iter()
        .map(|person| days(person, &hours, &first_days))
        .collect();
    let mut jobs = Jobs {
        site: terms.site,
        logged_to,
        days,
        cars: Vec::new(),
        uncounted: Vec::new(),
        work: Vec::new(),
        handed_over: Vec::new(),
        hours,
        paces,
    };
    for (index, (work, progress)) in work.iter().zip(&states).enumerate() {
        let car = &input.storm.cars[index];
        let vehicle = &car.vehicle;
        let opening = |moment: Option<Moment>| moment.map(|moment| at(&jobs.hours, moment, false));
        let arrives = opening(vehicle.arrives).unwrap_or(0).max(0);
        let parts_due = opening(vehicle.parts_due);
        let due = vehicle.due.map(|due| at(&jobs.hours, due, true));
        if !car.counted {
            jobs.uncounted.push(UncountedCar {
                car: index,
                arrives,
                parts_due,
                due,
            });
            continue;
        }
        let mut handed_over = Vec::new();
        let left = left(
            work,
            progress,
            |person| jobs.paces.people[person].planned,
            |person, minutes| {
                let stays = jobs.can_end(person, minutes);
                if !stays {
                    handed_over.push((index, person));
                }
                stays
            },
        );
        let mut state = progress.state(work);
        if state == CarState::Counted && arrives > 0 {
            state = CarState::Expected;
        }
        jobs.cars.push(CarJob {
            car: index,
            state,
            arrives,
            parts_due,
            due,
            weight: vehicle
                .priority
                .map_or(1, |priority| 4 - i64::from(priority)),
            in_bay: progress.is_begun()
                && (left.strip.is_some() || !left.panels.is_empty() || left.fit.is_some()),
            is_fitted: [progress.fit, progress.finish].contains(&TaskState::Finished),
            strip: left.strip,
            panels: left.panels,
            fit: left.fit,
            finish: left.finish,
        });
        jobs.handed_over.extend(handed_over);
    }
    jobs.work = work;
    jobs.handed_over.sort_unstable();
    jobs.handed_over.dedup();
    Ok(jobs)
}

impl Jobs {
    /// Whether a person is still here for so many standard minutes.
    fn can_end(&self, person: usize, minutes: Decimal) -> bool {
        let Some(days) = &self.days[person] else {
            return true;
        };
        let own = Decimal::from(days.len()) * Decimal::from(self.hours.day_minutes());
        own * self.paces.people[person].planned >= minutes
    }

    /// Adds somebody who is here on every day and of whom nothing is known, behind
    /// the people there are.
    pub fn add_person(&mut self) {
        self.paces.add_unknown();
        self.days.push(None);
    }

    /// The trades in which something is to be done: dents, strip, finish. Cars
    /// that nobody has counted are taken to be like those that were.
    #[must_use]
    pub fn trades_with_work(&self) -> Vec<Trade> {
        let left = |of: &dyn Fn(&CarJob) -> bool| self.cars.iter().any(of);
        let whole =
            |of: &dyn Fn(&CarWork) -> bool| !self.uncounted.is_empty() && self.work.iter().any(of);
        let mut trades = Vec::new();
        if left(&|car| !car.panels.is_empty()) || whole(&|work| !work.panels.is_empty()) {
            trades.push(Trade::Dents);
        }
        if left(&|car| car.strip.is_some() || car.fit.is_some())
            || whole(&|work| !work.strip.is_zero() || !work.fit.is_zero())
        {
            trades.push(Trade::Strip);
        }
        if left(&|car| car.finish.is_some()) || whole(&|work| !work.finish.is_zero()) {
            trades.push(Trade::Finish);
        }
        trades
    }

    /// Whether a person is here on a working day, by index.
    #[must_use]
    pub fn is_here(&self, person: usize, day: i64) -> bool {
        self.days[person]
            .as_ref()
            .is_none_or(|days| days.binary_search(&day).is_ok())
    }
}

/// The minute of a day or time; without a time, opening or closing.
fn at(hours: &SiteHours, moment: Moment, closing: bool) -> Minute {
    match moment.time {
        Some(time) => hours.at(moment.day.to_datetime(time)),
        None if closing => hours.closing(moment.day),
        None => hours.opening(moment.day),
    }
}

/// The work of every car, done or not.
///
/// # Errors
/// What the standard lacks, gathered over all of them.
pub fn all_work(
    storm: &Storm,
    rates: &Rates,
    priced: &PricedStorm,
    standard: &TimeStandard,
) -> Result<Vec<CarWork>, Vec<NotPlannable>> {
    let mut lacks: BTreeMap<Lack, (usize, usize)> = BTreeMap::new();
    let mut work = Vec::with_capacity(storm.cars.len());
    for (index, (car, priced)) in storm.cars.iter().zip(&priced.cars).enumerate() {
        let card = rates.card_of(car.vehicle.payer);
        match CarWork::of(standard, card, car, priced) {
            Ok(of_car) => work.push(of_car),
            Err(mut found) => {
                found.sort_unstable();
                found.dedup();
                for lack in found {
                    lacks.entry(lack).or_insert((0, index)).0 += 1;
                }
            }
        }
    }
    if lacks.is_empty() {
        return Ok(work);
    }
    Err(lacks
        .into_iter()
        .map(|(lack, (cars, first))| NotPlannable::Lacks { lack, cars, first })
        .collect())
}

/// The working days of a person from the first day planned.
fn days(person: &Person, hours: &SiteHours, first_days: &[Date]) -> Option<Vec<i64>> {
    let trades = [Trade::Dents, Trade::Strip, Trade::Fit, Trade::Finish];
    if !person.trades.iter().any(|trade| trades.contains(trade)) {
        return Some(Vec::new());
    }
    let start = hours.start();
    let always = person.from.is_none_or(|from| from <= start)
        && person.to.is_none()
        && person.off.iter().all(|(_, last)| *last < start);
    if always {
        return None;
    }
    let here = (0_i64..).zip(first_days);
    Some(
        here.filter(|(_, day)| person.is_here(**day))
            .map(|(index, _)| index)
            .collect(),
    )
}

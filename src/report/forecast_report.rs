//! The odds of a lot's date: behind every format of them.

use super::plan_report::{PlanReport, day_text};
use crate::planning::forecast::{LotCar, LotForecast, SHOWN, StandIn, day_that_holds};
use jiff::civil::Date;

/// A forecast beside the plan that it is made of.
#[derive(Clone, Copy)]
pub struct ForecastReport<'a> {
    /// The plan.
    pub plan: PlanReport<'a>,
    /// Its odds.
    pub forecast: &'a LotForecast,
}

/// The odds of everything that is promised for a day.
#[derive(Debug, Clone, PartialEq)]
pub struct DueOdds {
    /// The day.
    pub day: Date,
    /// Cars promised for that minute.
    pub cars: usize,
    /// In what part of the replications all of them are finished by then.
    pub all: f64,
    /// The car of that day with the least odds.
    pub least: (String, f64),
}

impl<'a> ForecastReport<'a> {
    /// Whether it was stopped before all replications were done.
    #[must_use]
    pub fn is_interrupted(&self) -> bool {
        self.done() < self.forecast.asked
    }

    /// Replications that were done.
    #[must_use]
    pub fn done(&self) -> usize {
        self.forecast.replications.count()
    }

    /// The date of a working day, from 1.
    #[must_use]
    pub fn date(&self, day: u32) -> Date {
        self.plan.jobs.hours.date(i64::from(day) - 1)
    }

    /// At 50, 80 and 95 of 100: the working day by whose end all is done, where
    /// there is one.
    #[must_use]
    pub fn days(&self) -> [(u32, Option<u32>); 3] {
        let in_order = self.forecast.replications.in_order();
        SHOWN.map(|odds| {
            (
                odds,
                day_that_holds(&in_order, odds, self.forecast.flow.day),
            )
        })
    }

    /// The working day on which the same dealing ends where nothing is left to
    /// chance, and that of the plan. Cars that nobody has counted are in neither.
    #[must_use]
    pub fn without_chance(&self) -> (Option<u32>, u32) {
        let dealt = &self.forecast.without_chance;
        let planned = u32::try_from(self.plan.made.plan.score.days).unwrap_or(0);
        let is_done = dealt.end.is_finite();
        (is_done.then_some(dealt.days as u32), planned)
    }

    /// The odds of every promise, by its day.
    #[must_use]
    pub fn due(&self) -> Vec<DueOdds> {
        let forecast = self.forecast;
        let all = self.done().max(1) as f64;
        let dates = forecast.flow.dates();
        let of = |at: usize| {
            let date = dates[at];
            let cars: Vec<usize> = (0..forecast.cars.len())
                .filter(|rank| forecast.flow.cars[*rank].due == Some(date))
                .collect();
            let on_time = |rank: usize| {
                let times = forecast.replications.on_time.get(rank);
                f64::from(times.copied().unwrap_or(0)) / all
            };
            let least = cars
                .iter()
                .copied()
                .min_by(|a, b| on_time(*a).total_cmp(&on_time(*b)));
            DueOdds {
                day: self.plan.jobs.hours.day_of_end(date as i64),
                cars: cars.len(),
                all: f64::from(
                    forecast
                        .replications
                        .all_on_time
                        .get(at)
                        .copied()
                        .unwrap_or(0),
                ) / all,
                least: least.map_or_else(Default::default, |rank| {
                    (self.car(forecast.cars[rank]), on_time(rank))
                }),
            }
        };
        (0..dates.len()).map(of).collect()
    }

    /// The stock of a car, or what there is in its place.
    #[must_use]
    pub fn car(&self, car: LotCar) -> String {
        let stock = |car: usize| self.plan.storm.cars[car].vehicle.stock.clone();
        match car {
            LotCar::Counted(job) => stock(self.plan.jobs.cars[job].car),
            LotCar::Uncounted(at) => stock(self.plan.jobs.uncounted[at].car),
            LotCar::Unlisted(_) => "not listed".to_owned(),
        }
    }

    /// The mean part of their time that everybody has work, in crew order.
    #[must_use]
    pub fn busy(&self) -> Vec<Option<f64>> {
        let mut busy = vec![None; self.plan.people.len()];
        let of = self.forecast.replications.busy();
        for (person, part) in self.forecast.flow.people.iter().zip(of) {
            busy[person.worker] = part;
        }
        busy
    }

    /// The share of replications in which not all can be finished.
    #[must_use]
    pub fn not_done(&self) -> f64 {
        self.forecast.replications.not_done() as f64 / self.done().max(1) as f64
    }

    /// The name of what cars stand in for.
    #[must_use]
    pub fn stratum(&self, of: &StandIn) -> Option<&'a str> {
        let strata = self.plan.storm.lot.as_ref()?;
        strata.column?;
        let name = strata.strata.get(of.stratum?)?;
        Some(name.name.as_str())
    }
}

/// `14 working days, Tue 2026-07-07`, or that there is no such day.
#[must_use]
pub fn day_and_date(report: &ForecastReport<'_>, day: Option<u32>) -> (String, String) {
    match day {
        Some(day) => (day.to_string(), day_text(report.date(day))),
        None => ("not done".to_owned(), String::new()),
    }
}

/// Odds in whole percents; what is neither sure nor out of reach is never shown
/// as 100 or 0.
#[must_use]
pub fn percent(odds: f64) -> String {
    if odds <= 0.0 {
        return "0".to_owned();
    }
    if odds >= 1.0 {
        return "100".to_owned();
    }
    match (odds * 100.0).round() {
        none if none < 1.0 => "below 1".to_owned(),
        all if all > 99.0 => "above 99".to_owned(),
        whole => format!("{whole}"),
    }
}

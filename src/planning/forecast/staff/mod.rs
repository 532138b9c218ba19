//! Crews of other sizes under the same chance: how long each takes, and what it
//! costs whatever the cars bring.

mod crews;

use super::super::problem::Trades;
use super::chance::ChanceTerms;
use super::flow::Flow;
use super::lot::{ForecastInput, LotFlow, NoForecast, StandIn, chance_terms};
use super::odds::{holds, odds_of};
use super::replicate::{Replicate, Replications, Watch, replicate};
use super::run::MOST_PEOPLE;
use crate::crew::SiteHours;
use std::collections::BTreeMap;

/// How many people there are of every trade: dents, strip, finish.
pub type CrewSize = [usize; 3];

/// What one person costs in any case. Parts of the cars' own pools are not in
/// it: they are the same money, however many share it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PersonCost {
    /// For every day of the stay, working or not: lodging and per diem.
    pub stay: f64,
    /// The least for a working day here.
    pub guarantee: f64,
    /// For a working day here.
    pub day: f64,
    /// For an hour of work.
    pub hour: f64,
}

/// One crew, gone through.
#[derive(Debug, Clone, PartialEq)]
pub struct CrewOdds {
    /// Its size.
    pub size: CrewSize,
    /// How often it was gone through.
    pub times: usize,
    /// Whether minute and odds are those of a smaller crew, which was sooner.
    pub is_levelled: bool,
    /// The minute by which all is done at the odds asked for; none: at no time.
    pub minute: Option<f64>,
    /// The odds of the minute asked for.
    pub odds: f64,
    /// What it costs in any case, on the mean.
    pub cost: f64,
    /// By trade: the mean part of their time here that its people have work.
    pub busy: [f64; 3],
    /// The mean of the last minute; what is not done counts as the last day of all.
    pub mean: f64,
}

/// What crews are compared by.
#[derive(Debug, Clone, Copy)]
pub struct StaffQuestion {
    /// The minute by which all is to be done.
    pub by: Option<f64>,
    /// At which odds, in percent.
    pub odds: u32,
    /// How often each crew is gone through.
    pub times: usize,
    /// The seed of the chance that all crews share.
    pub seed: u64,
    /// The most people of a trade; none: four more than there are.
    pub most: Option<usize>,
    /// Whether it is known what one more costs. Else the fewest people are sought.
    pub has_costs: bool,
}

/// Crews of other sizes.
#[derive(Debug, Clone)]
pub struct Staff {
    /// The crew as it is.
    pub now: CrewOdds,
    /// By trade: crews that differ in that trade alone, the smallest first. Of
    /// a larger one is never shown that it is later than a smaller one.
    pub by_trade: [Vec<CrewOdds>; 3],
    /// What stands for cars that nobody has counted.
    pub stand_ins: Vec<StandIn>,
    /// Cars that nobody has counted and for which nothing can stand.
    pub unknown: usize,
    /// Whether it was stopped before all crews were gone through.
    pub is_interrupted: bool,
    /// Whether a larger crew was later and is shown as the smaller one.
    pub levelled: bool,
    /// The place of the trade of which one more gains most; none where none gains.
    pub holds_up: Option<usize>,
    /// Whether one more of some trade was not gone through.
    pub untried: bool,
    /// The cheapest crew found that is done by the minute at the odds.
    pub cheapest: Option<CrewOdds>,
    /// The largest crew that was tried, where none is done by then.
    pub largest: Option<CrewOdds>,
    /// The same without a limit of bays, where there is one.
    pub without_bays: Option<CrewOdds>,
}

/// Crews by size, each gone through once.
struct Crews<'a> {
    base: LotFlow,
    terms: ChanceTerms,
    question: StaffQuestion,
    costs: &'a [PersonCost],
    added: [PersonCost; 3],
    /// Pace of somebody of whom nothing is known.
    pace: f64,
    hours: &'a SiteHours,
    watch: &'a Watch<'a>,
    known: BTreeMap<CrewSize, CrewOdds>,
}

/// Crews that are tried at most in the search for the cheapest one.
const TRIES: usize = 60;
/// The part of a cost that is worth another crew.
const LEAST_GAIN: f64 = 0.002;
/// What one more must gain to be what holds things up: so many minutes, and such
/// a part of all.
const MINUTES: f64 = 10.0;
const PART: f64 = 0.02;
/// More of a trade than there are, where nothing is said.
const MORE: usize = 4;

impl Staff {
    /// Compares crews. `costs` are those of the people there are, in crew order,
    /// `added` those of one more, by trade.
    ///
    /// # Errors
    /// Why there is no forecast.
    pub fn of(
        input: ForecastInput<'_>,
        costs: &[PersonCost],
        added: [PersonCost; 3],
        question: StaffQuestion,
        watch: &Watch<'_>,
    ) -> Result<Staff, NoForecast> {
        let mut base = LotFlow::of_plan(input)?;
        base.add_uncounted(input);
        let learned = input.jobs.paces.learned.as_ref();
        let mut crews = Crews {
            base,
            terms: chance_terms(input.chance, &input.jobs.paces, input.spread),
            question,
            costs,
            added,
            pace: learned.map_or(1.0, |learned| 1.0 / learned.expected_factor(usize::MAX)),
            hours: &input.jobs.hours,
            watch,
            known: BTreeMap::new(),
        };
        Ok(crews.compare())
    }
}

impl Crews<'_> {
    fn compare(&mut self) -> Staff {
        let here = self.here();
        let now = self.of(here);
        let tops: CrewSize = std::array::from_fn(|trade| {
            self.question
                .most
                .unwrap_or(here[trade] + MORE)
                .max(here[trade])
        });
        let mut levelled = false;
        let by_trade = std::array::from_fn(|trade| {
            let least = here[trade].saturating_sub(MORE).max(1);
            let mut crews = Vec::new();
            for count in least..=tops[trade] {
                let mut size = here;
                size[trade] = count;
                if !self.fits(size) {
                    break;
                }
                crews.push(self.of(size));
            }
            // Who interrupts gets what was gone through; fewer times than others
            // is no comparison.
            crews.retain(|crew| crew.times == self.question.times);
            levelled |= level(&mut crews);
            crews
        });
        let holds_up = (0..3)
            .filter_map(|trade| {
                let mut more = here;
                more[trade] += 1;
                let more = self.known.get(&more)?;
                let gain = now.mean - more.mean;
                let is_known = [&now, more]
                    .iter()
                    .all(|of| of.times == self.question.times);
                let is_gain = gain > MINUTES.max(now.mean * PART);
                (is_known && is_gain).then_some((gain, trade))
            })
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, trade)| trade);
        let mut staff = Staff {
            now,
            by_trade,
            stand_ins: self.base.stand_ins.clone(),
            unknown: self.base.unknown,
            is_interrupted: false,
            levelled,
            holds_up,
            untried: false,
            cheapest: None,
            largest: None,
            without_bays: None,
        };
        staff.untried = (0..3).any(|trade| {
            let has_room = staff.by_trade[trade].last();
            has_room.is_none_or(|last| last.size[trade] < here[trade] + 1)
        });
        if self.question.by.is_some() && !self.is_stopped() {
            staff.cheapest = self.cheapest(here, tops);
            if staff.cheapest.is_none() {
                staff.largest = Some(self.of(self.at_most(tops)));
                if self.base.flow.bays.take().is_some() {
                    self.known.clear();
                    staff.without_bays = Some(self.of(self.at_most(tops)));
                }
            }
        }
        staff.is_interrupted = self.is_stopped();
        staff
    }

    /// The crew as it is; who has several trades counts in each of them.
    fn here(&self) -> CrewSize {
        let people = &self.base.flow.people;
        Trades::ALL.map(|trade| {
            let of_trade = people.iter().filter(|person| person.trades.meets(trade));
            of_trade.count()
        })
    }

    /// A crew no larger than can be dealt work.
    fn at_most(&self, mut size: CrewSize) -> CrewSize {
        let here = self.here();
        let people = self.base.flow.people.len();
        while people
            + (0..3)
                .map(|at| size[at].saturating_sub(here[at]))
                .sum::<usize>()
            > MOST_PEOPLE
        {
            let largest = (0..3)
                .max_by_key(|at| size[*at].saturating_sub(here[*at]))
                .unwrap_or(0);
            size[largest] -= 1;
        }
        size
    }

    /// Adds whom it takes, whoever gains most first, then leaves out or swaps
    /// one at a time as long as that is cheaper and still in time.
    fn cheapest(&mut self, here: CrewSize, tops: CrewSize) -> Option<CrewOdds> {
        let mut best = self.of(here);
        while !self.is_in_time(&best) {
            let more = (0..3).filter(|trade| best.size[*trade] < tops[*trade]);
            let sizes: Vec<CrewSize> = more.map(|trade| changed(best.size, trade, 1)).collect();
            let next = self.each(sizes);
            // Where none is in time yet the mean tells equal odds apart.
            best = next
                .into_iter()
                .min_by(|a, b| b.odds.total_cmp(&a.odds).then(a.mean.total_cmp(&b.mean)))?;
            if self.known.len() > TRIES * 2 || self.is_stopped() {
                return None;
            }
        }
        for _ in 0..TRIES {
            let mut sizes = Vec::new();
            for trade in 0..3 {
                if best.size[trade] > 1 {
                    sizes.push(changed(best.size, trade, -1));
                }
                if best.size[trade] < tops[trade] {
                    sizes.push(changed(best.size, trade, 1));
                }
                for other in (0..3).filter(|other| *other != trade) {
                    if best.size[trade] > 1 && best.size[other] < tops[other] {
                        sizes.push(changed(changed(best.size, trade, -1), other, 1));
                    }
                }
            }
            let crews = self.each(sizes);
            let worth = self.worth(&best) * (1.0 - LEAST_GAIN);
            let cheaper = crews
                .into_iter()
                .filter(|crew| self.is_in_time(crew) && self.worth(crew) < worth)
                .min_by(|a, b| self.worth(a).total_cmp(&self.worth(b)));
            match cheaper {
                Some(cheaper) if !self.is_stopped() => best = cheaper,
                _ => break,
            }
        }
        Some(best)
    }

    /// What a crew is to be little of: cost, or people.
    fn worth(&self, crew: &CrewOdds) -> f64 {
        if self.question.has_costs {
            crew.cost
        } else {
            crew.size.iter().sum::<usize>() as f64
        }
    }

    /// Those of the sizes that can be dealt work, gone through.
    fn each(&mut self, sizes: Vec<CrewSize>) -> Vec<CrewOdds> {
        let fit: Vec<CrewSize> = sizes.into_iter().filter(|size| self.fits(*size)).collect();
        fit.into_iter().map(|size| self.of(size)).collect()
    }

    fn fits(&self, size: CrewSize) -> bool {
        self.at_most(size) == size
    }

    fn is_stopped(&self) -> bool {
        self.watch.stop.load(std::sync::atomic::Ordering::Relaxed)
    }

    fn is_in_time(&self, crew: &CrewOdds) -> bool {
        crew.odds * 100.0 >= f64::from(self.question.odds)
    }

    /// A crew of a size, gone through.
    fn of(&mut self, size: CrewSize) -> CrewOdds {
        if let Some(known) = self.known.get(&size) {
            return known.clone();
        }
        let flow = self.flow_of(size);
        let how = Replicate {
            terms: &self.terms,
            seed: self.question.seed,
            times: self.question.times,
        };
        let came = replicate(&flow, how, self.watch);
        let odds = self.odds(size, &flow, &came);
        self.known.insert(size, odds.clone());
        odds
    }

    fn odds(&self, size: CrewSize, flow: &Flow, came: &Replications) -> CrewOdds {
        let in_order = came.in_order();
        let last = super::flow::LAST_DAY as f64 * flow.day;
        let count = in_order.len().max(1) as f64;
        let busy = Trades::ALL.map(|trade| {
            let of_trade = |sums: &[u64]| -> f64 {
                let pairs = flow.people.iter().zip(sums);
                let of_trade = pairs.filter(|(person, _)| person.trades.meets(trade));
                of_trade.map(|(_, sum)| *sum as f64).sum()
            };
            let here = of_trade(&came.here);
            if here > 0.0 {
                of_trade(&came.worked) / here
            } else {
                0.0
            }
        });
        CrewOdds {
            size,
            times: came.count(),
            is_levelled: false,
            minute: holds(&in_order, self.question.odds),
            odds: self
                .question
                .by
                .map_or(0.0, |by| odds_of(&in_order, by + 1e-6)),
            cost: self.cost(flow, came),
            busy,
            mean: in_order.iter().map(|end| end.min(last)).sum::<f64>() / count,
        }
    }
}

fn changed(mut size: CrewSize, trade: usize, by: isize) -> CrewSize {
    size[trade] = size[trade].saturating_add_signed(by);
    size
}

/// Shows a larger crew as no later than any smaller one: the best of at most so
/// many counts, since nobody has to be dealt work. Whether it had to.
fn level(crews: &mut [CrewOdds]) -> bool {
    let mut levelled = false;
    for at in 1..crews.len() {
        let (before, rest) = crews.split_at_mut(at);
        let (smaller, larger) = (&before[at - 1], &mut rest[0]);
        let minute = |crew: &CrewOdds| crew.minute.unwrap_or(f64::INFINITY);
        if minute(smaller) < minute(larger) || smaller.odds > larger.odds {
            levelled = true;
            larger.is_levelled = true;
            if minute(smaller) < minute(larger) {
                larger.minute = smaller.minute;
            }
            larger.odds = larger.odds.max(smaller.odds);
        }
    }
    levelled
}

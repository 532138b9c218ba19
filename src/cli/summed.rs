//! A storm that was priced car by car into sums, its lines not kept.

use super::Exit;
use super::inputs::{Input, say_input};
use super::output::{Stop, Streams};
use super::priced::{Refusal, say_left_out};
use super::problems::{SHOWN, counted, say_problems};
use super::progress::Progress;
use crate::intake::{Cars, Problems, SoundCars};
use crate::pricing::{CarSums, OpenSums, SumPricer, SummedStorm, SumsOfCars, agreed_by_car};
use crate::rates::Rates;
use crate::report::SumReport;
use crate::storm::Storm;
use crate::totals::StormTotals;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// A storm in sums.
pub struct Summed {
    /// The storm, without its list of cars.
    pub storm: Storm,
    /// The cars.
    pub sums: SummedStorm,
    /// Their sums.
    pub totals: StormTotals,
    /// Everything found wrong or worth a look.
    pub problems: Problems,
    /// Stocks of cars left out.
    pub left_out: Vec<String>,
}

impl Summed {
    /// The struct behind every report.
    pub fn report(&self) -> SumReport<'_> {
        SumReport {
            storm: &self.storm,
            sums: &self.sums,
            totals: &self.totals,
            left_out: &self.left_out,
        }
    }

    /// The exit status once all is written.
    pub fn exit(&self) -> Exit {
        if self.problems.errors() > 0 {
            Exit::Problems
        } else {
            Exit::Done
        }
    }
}

/// Cars with their price, as far as it hangs on no other car.
struct Open {
    storm: Storm,
    rates: Rates,
    cars: Vec<CarSums>,
    sums: OpenSums,
}

/// Checks and prices all cars, a chunk at a time on every core, each as far as its
/// price hangs on no other car.
fn go_through(cars: &mut Cars<'_>) -> Open {
    let (storm, rates, sheets) = (cars.storm(), cars.rates().clone(), cars.sheets());
    let pricer = SumPricer::new(&storm, &rates);
    let agreed = agreed_by_car(&storm);
    let at_fault = cars.agreed_at_fault();
    let prices = !cars.stops();
    let mut sums = CarSums::empty_places(cars.count());
    let slots: Vec<(usize, &mut [CarSums])> = sums
        .chunks_mut(Cars::chunk())
        .enumerate()
        .map(|(chunk, slot)| (chunk * Cars::chunk(), slot))
        .collect();
    // What one chunk has priced serves the next.
    let pool: Mutex<Vec<SumsOfCars>> = Mutex::default();
    let pooled = || pool.lock().unwrap_or_else(PoisonError::into_inner);
    let chunks = cars.each_chunk(slots, |(first, slot), sound: &mut SoundCars<'_>| {
        let mut sums = pooled().pop().unwrap_or_default();
        let (mut priced, mut all_wrong) = (0, Vec::new());
        while let Some(car) = sound.next() {
            let place = car.place;
            let rows = agreed.get(&place).map_or(&[][..], Vec::as_slice);
            // What is wrong in one agreed row keeps the car out of every sum, but
            // the other rows are checked all the same.
            let counts = prices && (at_fault.is_empty() || !at_fault.contains(&place));
            if !counts && rows.is_empty() {
                continue;
            }
            let wrong = pricer.open(&car, rows, counts, &sheets, &mut sums);
            if wrong.is_empty() && counts {
                slot[place - first] = pricer.sum(car.car, &mut sums);
                priced += 1;
            }
            let wrong = wrong.into_iter().map(|problem| (place, problem));
            all_wrong.extend(wrong);
        }
        pooled().push(sums);
        (priced, all_wrong)
    });
    let mut all = OpenSums::default();
    for sums in pooled().iter() {
        all.join(sums, storm.currency);
    }
    let mut priced = 0;
    for (of_chunk, wrong) in chunks {
        priced += of_chunk;
        for (car, problem) in wrong {
            cars.refuse(car, problem);
        }
    }
    for car in at_fault {
        cars.leave_out(car);
    }
    if priced < sums.len() {
        sums.retain(|car| !car.stock.is_empty());
    }
    Open {
        storm,
        rates,
        cars: sums,
        sums: all,
    }
}

/// Reads and prices; `Err` with the exit status when the inputs forbid it.
pub fn price_in_sums(
    input: &Input,
    card: Option<&Path>,
    json: bool,
    without_bad: bool,
    streams: &mut Streams<'_>,
) -> Result<Result<Summed, Exit>, Stop> {
    say_input(input, card, json, streams)?;
    let progress = Progress::start(streams.progress);
    progress.stage("reading and pricing");
    let read = input.read_cars(card, go_through);
    let problems = read.problems;
    let errors = problems.errors();
    let stops = problems.stops();
    let left_out: Vec<String> = read.left_out.into_iter().map(|(_, stock)| stock).collect();
    let open = match read.made {
        Some(open) if !stops && (errors == 0 || without_bad) => open,
        made => {
            drop(progress);
            say_problems(&problems, SHOWN, streams);
            let advice = Refusal {
                stops,
                can_price: made.is_some() && !stops,
                of_prices: errors,
                of_books: 0,
                insists: false,
            };
            streams.say(&format!("{}; {}\n", counted(&problems), advice.said()));
            return Ok(Err(Exit::Problems));
        }
    };
    progress.stage("adding up");
    let sums = SumPricer::new(&open.storm, &open.rates).close(open.cars, open.sums);
    let totals = StormTotals::of(&sums, open.storm.payers.len())?;
    drop(progress);
    if errors > 0 {
        say_problems(&problems, SHOWN, streams);
        say_left_out(&problems, &left_out, streams);
    }
    Ok(Ok(Summed {
        storm: open.storm,
        sums,
        totals,
        problems,
        left_out,
    }))
}

//! A storm that was priced, and what of it was split and is to be planned.

use super::Exit;
use super::album::Album;
use super::books::{Books, Want, Wanted};
use super::inputs::{Input, Opened, open};
use super::output::{Stop, Streams};
use super::problems::{SHOWN, counted, say_problems};
use super::progress::Progress;
use crate::billing::{AccountsInput, accounts, differences};
use crate::crew::{Jobs, jobs};
use crate::intake::{Problems, printable};
use crate::pay::{CameIn, PayableOn, Split, SplitInput, share_cautions, split_storm};
use crate::pricing::{PricedStorm, SummedStorm, price_storm};
use crate::rates::Rates;
use crate::report::StormReport;
use crate::storm::Storm;
use crate::totals::StormTotals;
use std::path::Path;

/// A storm that was priced.
pub struct Priced {
    /// The storm.
    pub storm: Storm,
    /// Its rates.
    pub rates: Rates,
    /// The prices.
    pub priced: PricedStorm,
    /// The same without lines.
    pub sums: SummedStorm,
    /// The sums.
    pub totals: StormTotals,
    /// Everything found wrong or worth a look.
    pub problems: Problems,
    /// Stocks of cars left out.
    pub left_out: Vec<String>,
    /// The photographs.
    pub album: Album,
    /// The terms of pay and the crew's files.
    pub books: Books,
    /// Who gets what, where it was asked for and could be told.
    pub split: Option<Split>,
    /// What is left to do, where it was asked for and could be told.
    pub jobs: Option<Jobs>,
    /// Whether there are errors in `lot.*`, where that is any matter.
    pub lot_at_fault: bool,
    /// Whether there are errors in bills and receipts, where they are any matter.
    pub bills_at_fault: bool,
    /// What came in for each car, where pay goes by it.
    pub came_in: Vec<CameIn>,
}

impl Priced {
    /// The struct behind every report.
    pub fn report(&self) -> StormReport<'_> {
        StormReport {
            storm: &self.storm,
            rates: &self.rates,
            priced: &self.priced,
            sums: &self.sums,
            totals: &self.totals,
            left_out: &self.left_out,
        }
    }

    /// What the split is made of, beside the split.
    pub fn split_input(&self) -> SplitInput<'_> {
        self.books
            .input(&self.storm, &self.rates, &self.priced, &self.came_in)
    }

    /// What accounts are made of.
    pub fn accounts_input(&self) -> AccountsInput<'_> {
        self.books
            .accounts_input(&self.storm, &self.rates, &self.priced)
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

impl Opened {
    /// Takes the problems of the crew's files among the others, as far as the
    /// command is about them.
    fn join_books(&mut self, wanted: Wanted) {
        if wanted.reads_books() {
            self.problems.join(std::mem::take(&mut self.books.problems));
        }
        if wanted.plan != Want::No {
            self.problems
                .join(std::mem::take(&mut self.books.plan_problems));
        }
        if self.books.splits(wanted) && self.books.terms.on == PayableOn::Received {
            self.problems
                .join(std::mem::take(&mut self.books.billing_problems));
        }
    }

    /// Takes the problems of bills and receipts among the others; whether there
    /// are errors in them.
    fn join_bills(
        &mut self,
        priced: Option<(&Storm, &Rates, &PricedStorm)>,
        wanted: Wanted,
    ) -> bool {
        if !self.books.collects(wanted) {
            return false;
        }
        let before = self.problems.errors();
        self.problems
            .join(std::mem::take(&mut self.books.billing_problems));
        if let Some((storm, rates, priced)) = priced {
            let input = self.books.accounts_input(storm, rates, priced);
            let accounts = accounts(input);
            let (_, of_parts) = differences(input, &accounts);
            for finding in accounts.findings.into_iter().chain(of_parts) {
                self.problems.push(finding.problem(&self.sheets));
            }
        }
        self.books.billing_at_fault || self.problems.errors() > before
    }

    /// Takes the problems of `lot.*` among the others; whether there are errors
    /// in it. Neither a split nor a plan hangs on them, so they come last.
    fn join_lot(&mut self, wanted: Wanted) -> bool {
        if wanted.lot == Want::No {
            return false;
        }
        let of_lot = std::mem::take(&mut self.lot_problems);
        let at_fault = of_lot.errors() > 0;
        self.problems.join(of_lot);
        at_fault
    }

    /// Splits what was priced; what the log contradicts is added to the problems.
    fn split(&mut self, storm: &Storm, rates: &Rates, priced: &PricedStorm) -> Result<Split, Stop> {
        let came_in = self.books.came_in(storm);
        let (made, findings) = split_storm(self.books.input(storm, rates, priced, &came_in))?;
        let cautions = share_cautions(&made, &self.books.terms, storm.currency);
        let findings = findings
            .into_iter()
            .map(|finding| finding.problem(&self.sheets));
        for problem in cautions.into_iter().chain(findings) {
            self.problems.push(problem);
        }
        Ok(made)
    }

    /// What is left to do; what stands against it is added to the problems.
    fn jobs(
        &mut self,
        storm: &Storm,
        rates: &Rates,
        priced: &PricedStorm,
        wanted: Wanted,
    ) -> Option<Jobs> {
        match jobs(self.books.jobs_input(storm, rates, priced, wanted.from)) {
            Ok(jobs) => Some(jobs),
            Err(reasons) => {
                for reason in reasons {
                    self.problems.push(reason.problem(storm));
                }
                None
            }
        }
    }
}

/// What was made of a priced storm, with the errors that each part met.
#[derive(Default)]
struct Made {
    split: Option<Split>,
    jobs: Option<Jobs>,
}

/// Makes what is wanted. A part that meets an error is not made: neither a
/// split nor a plan is ever made of a half.
fn make(
    opened: &mut Opened,
    (storm, rates, priced): (&Storm, &Rates, &PricedStorm),
    wanted: Wanted,
    of_prices: usize,
) -> Result<Made, Stop> {
    let mut made = Made::default();
    let of_books = opened.problems.errors();
    if opened.books.splits(wanted) {
        let split = opened.split(storm, rates, priced)?;
        made.split = (opened.problems.errors() == of_prices).then_some(split);
    }
    // What the log contradicts in the prices is no matter of the time.
    if opened.books.plans(wanted) {
        let jobs = opened.jobs(storm, rates, priced, wanted);
        made.jobs = jobs.filter(|_| of_books == of_prices);
    }
    Ok(made)
}

/// Checks the crew's files, and the log against the prices of the sound cars.
pub fn examine_books(opened: &mut Opened) -> Result<(), Stop> {
    let wanted = Wanted::ALL_KNOWN;
    let can_price = !opened.problems.stops();
    let of_prices = opened.problems.errors();
    opened.join_books(wanted);
    let makes =
        opened.books.splits(wanted) || opened.books.plans(wanted) || opened.books.collects(wanted);
    if can_price
        && makes
        && let Some((storm, rates)) = opened.storm.take()
    {
        let priced = price_storm(&storm, &rates);
        make(opened, (&storm, &rates, &priced), wanted, of_prices)?;
        opened.join_bills(Some((&storm, &rates, &priced)), wanted);
        opened.storm = Some((storm, rates));
    }
    opened.join_bills(None, wanted);
    opened.join_lot(wanted);
    Ok(())
}

/// Reads and prices, and makes what else is wanted; `Err` with the exit status
/// when the inputs forbid it.
pub fn price(
    input: &Input,
    card: Option<&Path>,
    json: bool,
    without_bad: bool,
    wanted: Wanted,
    streams: &mut Streams<'_>,
) -> Result<Result<Priced, Exit>, Stop> {
    let mut opened = open(input, card, json, streams)?;
    let can_price = opened.storm.is_some() && !opened.problems.stops();
    let of_prices = opened.problems.errors();
    // A log is checked against the prices of the sound cars even where other
    // cars have errors, so that all is said in one go.
    let makes = can_price
        && (opened.books.splits(wanted)
            || opened.books.plans(wanted)
            || opened.books.collects(wanted));
    let priced = match opened.storm.take() {
        Some((storm, rates)) if makes || (can_price && (of_prices == 0 || without_bad)) => {
            let progress = Progress::start(streams.progress);
            progress.stage("pricing");
            let priced = price_storm(&storm, &rates);
            Some((storm, rates, priced))
        }
        _ => None,
    };
    opened.join_books(wanted);
    let made = match &priced {
        Some((storm, rates, priced)) if makes => {
            make(&mut opened, (storm, rates, priced), wanted, of_prices)?
        }
        _ => Made::default(),
    };
    let of_priced = priced
        .as_ref()
        .map(|(storm, rates, priced)| (storm, rates, priced));
    let bills_at_fault = opened.join_bills(of_priced, wanted);
    let lot_at_fault = opened.join_lot(wanted);
    let errors = opened.problems.errors();
    // What a log contradicts is never split or planned in part, whatever is left out.
    let insisted = (made.split.is_none() && wanted.split == Want::Yes)
        || (made.jobs.is_none() && wanted.plan == Want::Yes)
        || (lot_at_fault && wanted.lot == Want::Yes)
        || (bills_at_fault && wanted.bills == Want::Yes);
    let refused = errors > 0 && !without_bad || insisted;
    let (storm, rates, priced) = match priced {
        Some(priced) if !refused => priced,
        _ => {
            say_problems(&opened.problems, SHOWN, streams);
            let advice = Refusal {
                stops: opened.problems.stops(),
                can_price,
                of_prices,
                of_books: errors - of_prices,
                insists: wanted.insists(),
            };
            streams.say(&format!(
                "{}; {}\n",
                counted(&opened.problems),
                advice.said()
            ));
            return Ok(Err(Exit::Problems));
        }
    };
    if errors > 0 {
        say_problems(&opened.problems, SHOWN, streams);
        say_left_out(&opened.problems, &opened.left_out, streams);
    }
    let progress = Progress::start(streams.progress);
    progress.stage("adding up");
    let sums = priced.sums(&storm);
    let totals = StormTotals::of(&sums, storm.payers.len())?;
    let came_in = opened.books.came_in(&storm);
    drop(progress);
    Ok(Ok(Priced {
        storm,
        rates,
        priced,
        sums,
        totals,
        problems: opened.problems,
        left_out: opened.left_out,
        album: Album::new(input, opened.photos),
        books: opened.books,
        split: made.split,
        jobs: made.jobs,
        lot_at_fault,
        bills_at_fault,
        came_in,
    }))
}

/// Why nothing was made.
pub struct Refusal {
    /// An error belongs to no one car.
    pub stops: bool,
    /// The sound cars could be priced.
    pub can_price: bool,
    /// Errors in what prices are made of.
    pub of_prices: usize,
    /// Errors in what is split or planned.
    pub of_books: usize,
    /// Whether a split or a plan was asked for in any case.
    pub insists: bool,
}

impl Refusal {
    /// What to do about it.
    pub fn said(&self) -> &'static str {
        if self.of_books > 0 {
            if !self.can_price {
                return "nothing was made, since not every error belongs to a car";
            }
            if self.insists {
                return "nothing was made; these must be mended first: leaving cars out does not help";
            }
            if self.of_prices == 0 {
                return "nothing was written; `--without-bad` prices the cars and leaves out what these errors touch";
            }
        }
        if self.stops {
            "nothing was priced, since not every error belongs to a car"
        } else {
            "nothing was priced; `--without-bad` leaves the bad cars out and prices the others"
        }
    }
}

/// Says which cars are left out.
pub fn say_left_out(problems: &Problems, left_out: &[String], streams: &mut Streams<'_>) {
    let stocks: Vec<String> = left_out.iter().map(|stock| printable(stock)).collect();
    let left_out = match stocks.len() {
        0 => "no car is left out".to_owned(),
        1 => format!("1 car is left out: {}", stocks[0]),
        cars => format!("{cars} cars are left out: {}", stocks.join(", ")),
    };
    streams.say(&format!("{}; {left_out}\n", counted(problems)));
}

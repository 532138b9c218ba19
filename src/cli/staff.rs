//! `hailyard staff`: the crew to bring.

use super::Exit;
use super::arguments::StaffArgs;
use super::books::{Want, Wanted};
use super::forecast::{forecast_input, replications_for, say_no_forecast};
use super::handouts::Handout;
use super::inputs::Input;
use super::interrupt::interruption;
use super::output::{Stop, Streams};
use super::page_files::{PageContent, STAFF};
use super::plan::{PLAN_SEED, plan_report, rounds_for};
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::progress::Progress;
use super::stale::say_stale;
use crate::crew::{Jobs, StaffTerms};
use crate::money::Money;
use crate::planning::forecast::{NoForecast, PersonCost, Staff, StaffQuestion, Watch};
use crate::planning::{LotPlan, StopRule};
use crate::report::pages::staff_page;
use crate::report::{PlanReport, ReportFolder, StaffReport, document_text, staff_grid, staff_json};
use crate::storm::{Pay, Person, Trade};
use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::path::PathBuf;

/// How often each crew is gone through where nothing is said.
pub const TIMES: usize = 500;

/// Runs the command.
pub fn run(args: &StaffArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let asked = Wanted {
        plan: Want::Yes,
        lot: Want::Yes,
        from: args.from,
        ..Wanted::default()
    };
    let by = args.by;
    let mut priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        asked,
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let added = add_lacking(&mut priced);
    let Some(jobs) = &priced.jobs else {
        return Err(Stop::Failed(
            "bug: no jobs where crews were asked for".to_owned(),
        ));
    };
    let start = jobs.hours.start();
    if let Some(by) = by.filter(|by| *by < start) {
        return Err(Stop::Usage(format!(
            "--by {by}: before {start}, the first day that is planned"
        )));
    }
    let progress = Progress::start(streams.progress);
    progress.stage("planning");
    let rounds = StopRule::Rounds(rounds_for(jobs));
    let people = &priced.books.log.people;
    let made = LotPlan::of(&priced.storm, people, jobs, rounds, PLAN_SEED);
    let question = StaffQuestion {
        by: args.by.map(|day| closing(jobs, day)),
        odds: args.odds,
        times: args
            .replications
            .unwrap_or_else(|| times_for(&priced, jobs)),
        seed: args.seed,
        most: args.most,
        has_costs: has_costs(&priced),
    };
    let staff = compare(&priced, jobs, &made, question, &progress);
    drop(progress);
    let plan = plan_report(&priced, jobs, &made);
    let staff = match &staff {
        Ok(staff) => staff,
        Err(why) => return say_no_forecast(*why, &plan, common.json, streams),
    };
    let report = StaffReport {
        plan,
        staff,
        question,
        by,
        without_pay: &without_pay(&priced.books.time.staff),
        added: &added,
    };
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        let kinds = [Handout::Html, Handout::Pdf, Handout::Tables];
        let (content, kinds) = (staff_content(&report), kinds.into());
        STAFF.write(&folder, &content, &[], &kinds, args.paper)?;
        say_stale(&STAFF.stale(&folder, Some(&kinds)), streams);
    }
    if common.json {
        streams.json(&staff_json(&report))?;
    } else {
        let document = staff_page(&report);
        streams.print(&document_text(&document, streams.table_width()))?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    if staff.is_interrupted {
        streams.say("caution: interrupted; what is shown is what was reached\n");
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// Adds one person for every trade that has work and nobody for it; which these are.
/// Whom to bring is then just the question.
fn add_lacking(priced: &mut Priced) -> Vec<&'static str> {
    let Some(jobs) = &mut priced.jobs else {
        return Vec::new();
    };
    let people = &mut priced.books.log.people;
    // Strip people also fit, and either word stands for both.
    let of = |trade: Trade| {
        if trade == Trade::Fit {
            Trade::Strip
        } else {
            trade
        }
    };
    let mut lacking = jobs.trades_with_work();
    lacking.retain(|trade| {
        let does = |person: &Person| person.trades.iter().any(|own| of(*own) == *trade);
        !people.iter().any(does)
    });
    for trade in &lacking {
        jobs.add_person();
        people.push(Person {
            name: format!("one more for {}", trade.word()),
            trades: vec![*trade],
            speed: Decimal::ONE,
            from: None,
            to: None,
            off: Vec::new(),
            pay: priced
                .books
                .time
                .staff
                .pay
                .get(trade)
                .copied()
                .unwrap_or_default(),
            guarantee: None,
            employee: false,
        });
    }
    lacking.into_iter().map(Trade::word).collect()
}

/// The minute that ends a day.
fn closing(jobs: &Jobs, day: Date) -> f64 {
    jobs.hours.closing(day) as f64
}

/// Whether anything says what one more person costs.
fn has_costs(priced: &Priced) -> bool {
    priced.books.time.staff != StaffTerms::default()
}

/// Compares crews, until an interruption.
pub fn compare(
    priced: &Priced,
    jobs: &Jobs,
    made: &LotPlan,
    question: StaffQuestion,
    progress: &Progress,
) -> Result<Staff, NoForecast> {
    progress.stage("comparing crews");
    let watch = Watch {
        stop: interruption(),
        ..Watch::default()
    };
    let terms = &priced.books.time.staff;
    let people = &priced.books.log.people;
    let costs: Vec<PersonCost> = people
        .iter()
        .map(|person| cost(terms, Some(person.pay), person.guarantee))
        .collect();
    let added = [Trade::Dents, Trade::Strip, Trade::Finish]
        .map(|trade| cost(terms, terms.pay.get(&trade).copied(), None));
    let input = forecast_input(priced, jobs, made);
    Staff::of(input, &costs, added, question, &watch)
}

/// Crews beside a storm's reports, and what they were compared by.
pub struct Crews {
    /// The crews.
    pub staff: Staff,
    question: StaffQuestion,
    by: Option<Date>,
    without_pay: Vec<&'static str>,
}

impl Crews {
    /// The struct behind every format of them.
    pub fn report<'a>(&'a self, plan: PlanReport<'a>) -> StaffReport<'a> {
        StaffReport {
            plan,
            staff: &self.staff,
            question: self.question,
            by: self.by,
            without_pay: &self.without_pay,
            added: &[],
        }
    }
}

/// Crews beside a storm's reports: by the last day that anything is promised for,
/// and fewer times than the forecast, since there are many of them.
pub fn crews_of_storm(
    priced: &Priced,
    jobs: &Jobs,
    made: &LotPlan,
    progress: &Progress,
) -> Option<Crews> {
    const CREWS: usize = 10;
    let left = jobs.cars.iter().filter(|job| job.has_work());
    let last = left.filter_map(|job| job.due).max().filter(|due| *due > 0);
    let by = last.map(|due| jobs.hours.day_of_end(due));
    let times = (replications_for(priced, jobs) / CREWS).max(50);
    let question = StaffQuestion {
        by: by.map(|day| closing(jobs, day)),
        odds: 80,
        times,
        seed: 1,
        most: None,
        has_costs: has_costs(priced),
    };
    let staff = compare(priced, jobs, made, question, progress).ok()?;
    Some(Crews {
        staff,
        question,
        by,
        without_pay: without_pay(&priced.books.time.staff),
    })
}

/// Trades for which nothing says what one more person is paid.
fn without_pay(terms: &StaffTerms) -> Vec<&'static str> {
    let trades = [Trade::Dents, Trade::Strip, Trade::Finish].into_iter();
    let unknown = trades.filter(|trade| !terms.pay.contains_key(trade));
    unknown.map(Trade::word).collect()
}

/// How often each crew is gone through: less often where each time takes longer.
fn times_for(priced: &Priced, jobs: &Jobs) -> usize {
    (replications_for(priced, jobs) / 4).clamp(100, TIMES)
}

/// What one person costs in any case: an estimate, so no exact money.
fn cost(terms: &StaffTerms, pay: Option<Pay>, guarantee: Option<Money>) -> PersonCost {
    let pay = pay.unwrap_or_default();
    let of = |money: Option<Money>| money.map_or(0.0, Money::as_statistic);
    PersonCost {
        stay: of(terms.lodging_night) + of(terms.per_diem),
        guarantee: of(guarantee),
        day: of(pay.per_day),
        hour: pay.per_hour.and_then(|rate| rate.to_f64()).unwrap_or(0.0),
    }
}

/// The files of the crews.
pub fn staff_content<'a>(report: &StaffReport<'_>) -> PageContent<'a> {
    PageContent {
        document: staff_page(report),
        table: staff_grid(report),
        currency: report.plan.storm.currency,
        day: Some(report.plan.jobs.hours.start()),
    }
}

//! `hailyard forecast`: the odds of the date.

use super::Exit;
use super::arguments::ForecastArgs;
use super::books::{Want, Wanted};
use super::handouts::Handout;
use super::inputs::Input;
use super::interrupt::interruption;
use super::output::{Stop, Streams};
use super::page_files::{FORECAST, PageContent};
use super::plan::{PLAN_SEED, plan_report, rounds_for};
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::progress::Progress;
use super::stale::say_stale;
use crate::crew::Jobs;
use crate::planning::forecast::{ForecastInput, LotForecast, NoForecast, Watch};
use crate::planning::{LotPlan, StopRule};
use crate::report::pages::{forecast_page, plan_page};
use crate::report::{
    ForecastReport, PlanReport, ReportFolder, document_text, forecast_grid, forecast_json,
    no_forecast, no_forecast_json,
};
use rust_decimal::Decimal;
use std::path::PathBuf;

/// Replications where nothing else is said.
pub const REPLICATIONS: usize = 2_000;

/// Runs the command.
pub fn run(args: &ForecastArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let asked = Wanted {
        plan: Want::Yes,
        lot: Want::Yes,
        from: args.from,
        ..Wanted::default()
    };
    let priced = match price(
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
    let Some(jobs) = &priced.jobs else {
        return Err(Stop::Failed(
            "bug: no jobs where odds were asked for".to_owned(),
        ));
    };
    let progress = Progress::start(streams.progress);
    progress.stage("planning");
    let rounds = StopRule::Rounds(args.rounds.unwrap_or_else(|| rounds_for(jobs)));
    let people = &priced.books.log.people;
    let made = LotPlan::of(&priced.storm, people, jobs, rounds, PLAN_SEED);
    let forecast = forecast(
        &priced,
        jobs,
        &made,
        args.replications,
        args.seed,
        &progress,
    );
    drop(progress);
    let plan = plan_report(&priced, jobs, &made);
    let forecast = match &forecast {
        Ok(forecast) => forecast,
        Err(why) => return say_no_forecast(*why, &plan, common.json, streams),
    };
    let report = ForecastReport { plan, forecast };
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        let kinds = [Handout::Html, Handout::Pdf, Handout::Tables];
        let (content, kinds) = (forecast_content(&report), kinds.into());
        FORECAST.write(&folder, &content, &[], &kinds, args.paper)?;
        say_stale(&FORECAST.stale(&folder, Some(&kinds)), streams);
    }
    if common.json {
        streams.json(&forecast_json(&report))?;
    } else {
        let document = forecast_page(&report);
        streams.print(&document_text(&document, streams.table_width()))?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    if report.is_interrupted() {
        streams.say(&format!(
            "caution: interrupted after {} of {} replications; the odds are of these\n",
            report.done(),
            args.replications
        ));
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// Says that there are no odds. Why there is no plan is what there is to say.
pub fn say_no_forecast(
    why: NoForecast,
    plan: &PlanReport<'_>,
    json: bool,
    streams: &mut Streams<'_>,
) -> Result<Exit, Stop> {
    if json {
        streams.json(&no_forecast_json(why, plan))?;
    } else if !plan.is_possible() {
        let document = plan_page(plan, None, None);
        streams.print(&document_text(&document, streams.table_width()))?;
    }
    streams.say(&format!("{}\n", no_forecast(why)));
    Ok(Exit::Problems)
}

/// Goes through a lot again and again, until an interruption.
pub fn forecast(
    priced: &Priced,
    jobs: &Jobs,
    made: &LotPlan,
    times: usize,
    seed: u64,
    progress: &Progress,
) -> Result<LotForecast, NoForecast> {
    let bar = progress.counts("going through the lot", times);
    let watch = Watch {
        stop: interruption(),
        tell: Some(&bar),
        ..Watch::default()
    };
    LotForecast::of(forecast_input(priced, jobs, made), times, seed, &watch)
}

/// What a forecast is made of.
pub fn forecast_input<'a>(
    priced: &'a Priced,
    jobs: &'a Jobs,
    made: &'a LotPlan,
) -> ForecastInput<'a> {
    let time = &priced.books.time;
    ForecastInput {
        storm: &priced.storm,
        jobs,
        made,
        chance: &time.chance,
        spread: time
            .standard
            .as_ref()
            .map_or(Decimal::ZERO, |standard| standard.spread),
    }
}

/// Replications beside a storm's reports: fewer where each takes longer, so
/// that all of them take a few seconds.
pub fn replications_for(priced: &Priced, jobs: &Jobs) -> usize {
    const TASKS: usize = 20_000_000;
    let left: usize = jobs.cars.iter().map(|job| job.tasks().count()).sum();
    // Cars that nobody has counted are taken to be like those that were.
    let whole: usize = jobs.work.iter().map(|work| work.panels.len() + 3).sum();
    let lot = priced.storm.lot.as_ref();
    let unlisted: u64 = lot.map_or(0, |lot| lot.unlisted().iter().sum());
    let uncounted = usize::try_from(unlisted).unwrap_or(usize::MAX) + jobs.uncounted.len();
    let each = whole / jobs.cars.len().max(1);
    let tasks = left.saturating_add(each.saturating_mul(uncounted));
    (TASKS / tasks.max(1)).clamp(200, REPLICATIONS)
}

/// The files of a forecast.
pub fn forecast_content<'a>(report: &ForecastReport<'_>) -> PageContent<'a> {
    PageContent {
        document: forecast_page(report),
        table: forecast_grid(report),
        currency: report.plan.storm.currency,
        day: Some(report.plan.jobs.hours.start()),
    }
}

//! `hailyard storm`: everything that the folder allows. The stages stand here
//! in their order; later ones hang onto the end.

use super::Exit;
use super::arguments::StormArgs;
use super::bills::books_of_storm;
use super::books::Wanted;
use super::close::hours_of;
use super::forecast::{forecast, replications_for};
use super::handouts::{self, Handout, Reached};
use super::inputs::Input;
use super::lot::{lot_of_storm, lot_report};
use super::output::{Stop, Streams};
use super::page_files::{CLOSE, FORECAST, LOT, RECEIVABLES, STAFF};
use super::plan::{PLAN_SEED, plan_report, rounds_for, say_plan_cautions, written_of_plan};
use super::price::report_json;
use super::priced::price;
use super::problems::say_cautions;
use super::progress::Progress;
use super::staff::crews_of_storm;
use super::stale::{say_stale, stale_plan, stale_statements};
use crate::planning::{LotPlan, StopRule};
use crate::report::{
    ForecastReport, PriceShown, ReportFolder, bills_summary, bills_sums_json, folder_name,
    forecast_summary, forecast_sums_json, lot_json, lot_summary, plan_summary, plan_sums_json,
    split_summary, staff_json, staff_summary, statement_files, storm_summary,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The seed of a storm's odds, so that its reports are the same every time.
const CHANCE_SEED: u64 = 1;

/// Runs the command.
pub fn run(args: &StormArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let mut priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        Wanted::ALL_KNOWN,
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let out = args
        .out
        .clone()
        .unwrap_or_else(|| Path::new("reports").join(folder_name(&priced.storm.name)));
    let folder = ReportFolder::open(&out, &input.paths())?;
    let wanted = handouts::wanted(&args.only);
    let progress = Progress::start(streams.progress);
    progress.stage("planning");
    // By rounds, so that the reports of a storm are the same every time.
    let made = priced.jobs.as_ref().map(|jobs| {
        let people = &priced.books.log.people;
        let rounds = StopRule::Rounds(rounds_for(jobs));
        LotPlan::of(&priced.storm, people, jobs, rounds, PLAN_SEED)
    });
    let odds = match (&priced.jobs, &made) {
        (Some(jobs), Some(made)) => {
            let times = replications_for(&priced, jobs);
            forecast(&priced, jobs, made, times, CHANCE_SEED, &progress).ok()
        }
        _ => None,
    };
    let crews = match (&priced.jobs, &made) {
        (Some(jobs), Some(made)) => crews_of_storm(&priced, jobs, made, &progress),
        _ => None,
    };
    let lot = lot_of_storm(&priced);
    progress.stage("writing");
    let hours = hours_of(&priced);
    let reached = Reached {
        made: made.as_ref(),
        odds: odds.as_ref(),
        crews: crews.as_ref(),
        lot: lot.as_ref(),
        hours: hours.as_ref(),
    };
    let missing = handouts::write(&folder, &mut priced, reached, &wanted, args.paper)?;
    drop(progress);
    let lot = lot.as_ref().and_then(|made| lot_report(&priced, made));
    let plan = match (&priced.jobs, &made) {
        (Some(jobs), Some(made)) => Some(plan_report(&priced, jobs, made)),
        _ => None,
    };
    if common.json {
        let lines = priced.report();
        let mut json = report_json(&lines.in_sums(), Some(&lines));
        if let Some(plan) = &plan {
            json["plan"] = plan_sums_json(plan);
        }
        if let (Some(plan), Some(forecast)) = (plan, &odds) {
            json["forecast"] = forecast_sums_json(&ForecastReport { plan, forecast });
        }
        if let (Some(plan), Some(crews)) = (plan, &crews) {
            json["staff"] = staff_json(&crews.report(plan));
        }
        if let Some(lot) = &lot {
            json["lot"] = lot_json(lot);
        }
        if let Some(books) = books_of_storm(&priced) {
            json["bills"] = bills_sums_json(&books.report());
        }
        streams.json(&json)?;
    } else {
        let text = storm_summary(
            &priced.report().in_sums(),
            PriceShown::DecisionsAndTotals,
            streams.table_width(),
        );
        streams.print(&text)?;
        if let Some(split) = &priced.split {
            let said = split_summary(&priced.split_input(), split, streams.table_width());
            streams.print(&said)?;
        }
        if let Some(books) = books_of_storm(&priced) {
            streams.print(&bills_summary(&books.report(), streams.table_width()))?;
        }
        if let Some(plan) = &plan {
            streams.print(&plan_summary(plan, streams.table_width()))?;
        }
        if let (Some(plan), Some(forecast)) = (plan, &odds) {
            let report = ForecastReport { plan, forecast };
            streams.print(&forecast_summary(&report, streams.table_width()))?;
        }
        if let (Some(plan), Some(crews)) = (plan, &crews) {
            let said = staff_summary(&crews.report(plan), streams.table_width());
            streams.print(&said)?;
        }
        if let Some(lot) = &lot {
            streams.print(&lot_summary(lot, streams.table_width()))?;
        }
        streams.print(&format!("\nwritten to {}\n", folder.path().display()))?;
    }
    if let Some(plan) = &plan {
        say_plan_cautions(plan, streams);
    } else if priced.books.time.is_given() {
        streams.say(
            "no plan: it needs [hours], [time], a crew list, and no error in them, in the log or in the days of cars\n",
        );
    }
    let (lists, written) = match &plan {
        Some(plan) => written_of_plan(plan, &wanted),
        None => (Vec::new(), Vec::new()),
    };
    let mut stale = stale_plan(&folder, &lists, &written);
    let has_bills = books_of_storm(&priced).is_some();
    let pages = [
        (RECEIVABLES, has_bills),
        (CLOSE, has_bills && priced.split.is_some()),
        (FORECAST, odds.is_some()),
        (STAFF, crews.is_some()),
        (LOT, lot.is_some()),
    ];
    for (files, is_made) in pages {
        stale.extend(files.stale(&folder, is_made.then_some(&wanted)));
    }
    say_stale(&stale, streams);
    if priced.lot_at_fault {
        streams.say("no estimate of the whole lot, and odds of the listed cars alone: lot and [sample] hold errors\n");
    }
    if priced.bills_at_fault {
        streams.say("no accounts of bills and receipts: bills and received hold errors\n");
    }
    if priced.split.is_none() && priced.books.splits(Wanted::ALL_KNOWN) {
        streams.say("no split: crew, work and paid hold errors\n");
        if folder.path().join("pay.csv").exists() {
            streams.say("caution: pay.csv, pay.html, pay.pdf, pay.txt and statements there are of an earlier run\n");
        }
    } else if priced.split.is_some() {
        let files = statement_files(&priced.books.log.people);
        say_stale(&stale_statements(&folder, &files), streams);
    }
    for said in missing {
        streams.say(&format!("{said}\n"));
    }
    say_cautions(&priced.problems, streams);
    if args.open {
        show(&folder, &wanted, streams);
    }
    Ok(priced.exit())
}

/// Opens the index, or what else there is to look at. Where nothing can show
/// it, that is said, and the reports stand.
fn show(folder: &ReportFolder, wanted: &BTreeSet<Handout>, streams: &mut Streams<'_>) {
    let name = [
        (Handout::Html, "index.html"),
        (Handout::Pdf, "storm.pdf"),
        (Handout::Xlsx, "storm.xlsx"),
        (Handout::Text, "summary.txt"),
        (Handout::Tables, "totals.csv"),
    ]
    .into_iter()
    .find(|(kind, _)| wanted.contains(kind))
    .map_or("index.html", |(_, name)| name);
    let path = folder.path().join(name);
    if let Err(error) = open::that_detached(&path) {
        streams.say(&format!("could not open {}: {error}\n", path.display()));
    }
}

//! `hailyard close`: what the storm earned, cost and leaves, and the hours it took.

use super::Exit;
use super::arguments::CloseArgs;
use super::bills::Books;
use super::books::{Want, Wanted};
use super::handouts::{Handout, wanted};
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::page_files::{CLOSE, PageContent};
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::stale::say_stale;
use crate::billing::IssueRequest;
use crate::crew::{HoursBook, all_work};
use crate::pay::Split;
use crate::report::pages::close_page;
use crate::report::{
    BillsReport, CloseReport, ReportFolder, close_grid, close_json, document_text,
};
use jiff::ZonedDateTime;
use std::path::PathBuf;

/// Runs the command.
pub fn run(args: &CloseArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let asked = Wanted {
        split: Want::Yes,
        bills: Want::Yes,
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
    let Some(split) = &priced.split else {
        return Err(Stop::Failed(
            "bug: no split where one was asked for".to_owned(),
        ));
    };
    let request = IssueRequest {
        date: args.on.unwrap_or_else(|| ZonedDateTime::now().date()),
        per: priced.books.bill_terms.per,
        only: None,
    };
    let books = Books::of(&priced, &request);
    let bills = books.report();
    let hours = hours_of(&priced);
    let report = close_report(&priced, split, &bills, hours.as_ref());
    let mut stale = Vec::new();
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        // No plain text is written here, so one that lies there is stale.
        let kinds = wanted(&[Handout::Html, Handout::Pdf, Handout::Tables]);
        CLOSE.write(&folder, &close_content(&report), &[], &kinds, args.paper)?;
        stale = CLOSE.stale(&folder, Some(&kinds));
    }
    if common.json {
        streams.json(&close_json(&report))?;
    } else {
        let text = document_text(&close_page(&report), streams.table_width());
        streams.print(&text)?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    if hours.is_none() && priced.books.time.standard.is_some() {
        streams.say("no hours: [time] lacks a figure for something that was counted\n");
    }
    say_stale(&stale, streams);
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// Estimated and logged hours, where the standard has a figure for all that was
/// counted.
pub fn hours_of(priced: &Priced) -> Option<HoursBook> {
    let standard = priced.books.time.standard.as_ref()?;
    let work = all_work(&priced.storm, &priced.rates, &priced.priced, standard).ok()?;
    Some(HoursBook::of(&priced.storm, &priced.books.log, &work))
}

/// The close of a priced and split storm.
pub fn close_report<'a>(
    priced: &'a Priced,
    split: &'a Split,
    bills: &'a BillsReport<'a>,
    hours: Option<&'a HoursBook>,
) -> CloseReport<'a> {
    CloseReport {
        bills,
        input: priced.split_input(),
        split,
        hours,
    }
}

/// The files of a close.
pub fn close_content<'a>(report: &CloseReport<'a>) -> PageContent<'a> {
    PageContent {
        document: close_page(report),
        table: close_grid(report),
        currency: report.input.storm.currency,
        day: report.input.storm.date,
    }
}

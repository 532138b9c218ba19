//! `hailyard lot`: what the whole lot comes to, by the cars counted so far.

use super::Exit;
use super::arguments::LotArgs;
use super::books::{Want, Wanted};
use super::handouts::{Handout, wanted};
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::page_files::{LOT, PageContent};
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::sample::estimate_table;
use super::stale::say_stale;
use crate::report::pages::lot_page;
use crate::report::{LotReport, ReportFolder, document_text, lot_grid, lot_json};
use crate::sampling::{Degrees, LotEstimate, LotInput, LotRequest};
use crate::storm::LotSource;
use std::path::PathBuf;

/// Runs the command.
pub fn run(args: &LotArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    if !(args.within > 0.0 && args.within <= 100.0) {
        return Err(Stop::Usage(
            "--within: per cent, above 0 and at most 100".to_owned(),
        ));
    }
    if let Some(table) = &args.table {
        return estimate_table(table, args, streams);
    }
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let asked = Wanted {
        lot: Want::Yes,
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
    let request = LotRequest {
        degrees: if args.satterthwaite {
            Degrees::Satterthwaite
        } else {
            Degrees::Counted
        },
        by_helper: args.by_helper,
        within: args.within / 100.0,
    };
    let Some(made) = lot_estimate(&priced, request) else {
        return Err(Stop::Failed(
            "bug: no strata where an estimate was asked for".to_owned(),
        ));
    };
    let Some(report) = lot_report(&priced, &made) else {
        return Err(Stop::Failed("bug: an estimate without strata".to_owned()));
    };
    if args.by_helper && report.lot.helper.is_none() {
        return Err(Stop::Usage(
            "--by-helper: storm.toml's [sample] names no `helper`, a column with a number for every car"
                .to_owned(),
        ));
    }
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        // No plain text is written here, so one that lies there is stale.
        let kinds = wanted(&[Handout::Html, Handout::Pdf, Handout::Tables]);
        LOT.write(&folder, &lot_content(&report), &[], &kinds, args.paper)?;
        say_stale(&LOT.stale(&folder, Some(&kinds)), streams);
    }
    if common.json {
        streams.json(&lot_json(&report))?;
    } else {
        streams.print(&document_text(&lot_page(&report), streams.table_width()))?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// The estimate of a priced storm; none where its strata are at fault.
pub fn lot_estimate(priced: &Priced, request: LotRequest) -> Option<LotEstimate> {
    let lot = priced.storm.lot.as_ref()?;
    let input = LotInput {
        storm: &priced.storm,
        rates: &priced.rates,
        priced: &priced.priced,
        lot,
        standard: priced.books.time.standard.as_ref(),
    };
    Some(LotEstimate::of(input, request))
}

/// What `storm` makes of it: an estimate where the folder means its cars as a
/// sample, and not all of them are counted or `lot.*` speaks of them.
pub fn lot_of_storm(priced: &Priced) -> Option<LotEstimate> {
    let lot = priced.storm.lot.as_ref().filter(|lot| lot.is_asked)?;
    let has_file = matches!(lot.source, LotSource::File(_));
    let request = LotRequest {
        by_helper: lot.helper.is_some(),
        ..LotRequest::default()
    };
    let made = lot_estimate(priced, request)?;
    (has_file || !made.is_whole()).then_some(made)
}

/// An estimate beside what it was made of.
pub fn lot_report<'a>(priced: &'a Priced, made: &'a LotEstimate) -> Option<LotReport<'a>> {
    Some(LotReport {
        storm: &priced.storm,
        lot: priced.storm.lot.as_ref()?,
        estimate: made,
        left_out: &priced.left_out,
    })
}

/// The files of an estimate.
pub fn lot_content<'a>(report: &'a LotReport<'a>) -> PageContent<'a> {
    PageContent {
        document: lot_page(report),
        table: lot_grid(report),
        currency: report.storm.currency,
        day: report.storm.date,
    }
}

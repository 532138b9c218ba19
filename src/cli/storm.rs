//! `hailyard storm`: everything that the folder allows. The stages stand here
//! in their order; later ones hang onto the end.

use super::Exit;
use super::arguments::StormArgs;
use super::books::SplitWanted;
use super::handouts::{self, Handout};
use super::inputs::{Input, price, say_cautions};
use super::output::{Stop, Streams};
use super::pay::say_stale;
use super::price::report_json;
use super::progress::Progress;
use crate::report::{
    PriceShown, ReportFolder, folder_name, split_summary, statement_files, storm_summary,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

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
        SplitWanted::WhereKnown,
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
    progress.stage("writing");
    let missing = handouts::write(&folder, &mut priced, &wanted, args.paper)?;
    drop(progress);
    if common.json {
        streams.json(&report_json(&priced, true))?;
    } else {
        let text = storm_summary(
            &priced.report(),
            PriceShown::DecisionsAndTotals,
            streams.table_width(),
        );
        streams.print(&text)?;
        if let Some(split) = &priced.split {
            let said = split_summary(&priced.split_input(), split, streams.table_width());
            streams.print(&said)?;
        }
        streams.print(&format!("\nwritten to {}\n", folder.path().display()))?;
    }
    if priced.split.is_none() && priced.books.are_wanted(SplitWanted::WhereKnown) {
        streams.say("no split: crew, work and paid hold errors\n");
        if folder.path().join("pay.csv").exists() {
            streams.say("caution: pay.csv, pay.html, pay.pdf, pay.txt and statements there are of an earlier run\n");
        }
    } else if priced.split.is_some() {
        say_stale(&folder, &statement_files(&priced.books.log.people), streams);
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

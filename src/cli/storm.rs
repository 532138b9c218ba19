//! `hailyard storm`: everything that the folder allows. The stages stand here
//! in their order; later ones hang onto the end.

use super::Exit;
use super::arguments::StormArgs;
use super::inputs::{Input, Priced, price, problem_text, say_cautions};
use super::output::{Stop, Streams};
use super::price::{report_json, write_tables};
use crate::report::{PriceShown, ReportFolder, Width, car_sheet, folder_name, storm_summary};
use std::path::{Path, PathBuf};

/// The width of texts in files, which belong to no window.
const FILE_WIDTH: Width = Width(120);

/// Runs the command.
pub fn run(args: &StormArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
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
    write_tables(&folder, &priced.report(), true)?;
    write_texts(&folder, &priced)?;
    if common.json {
        streams.json(&report_json(&priced, true))?;
    } else {
        let text = storm_summary(
            &priced.report(),
            PriceShown::DecisionsAndTotals,
            streams.table_width(),
        );
        streams.print(&text)?;
        streams.print(&format!("\nwritten to {}\n", folder.path().display()))?;
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// The summary, every car's sheet, and the problems, as text.
fn write_texts(folder: &ReportFolder, priced: &Priced) -> Result<(), Stop> {
    let report = priced.report();
    let summary = storm_summary(&report, PriceShown::DecisionsAndTotals, FILE_WIDTH);
    folder.write("summary.txt", summary.as_bytes())?;
    let sheets: Vec<String> = (0..priced.storm.cars.len())
        .map(|index| car_sheet(&report, index, FILE_WIDTH))
        .collect();
    folder.write("car-sheets.txt", sheets.join("\n").as_bytes())?;
    let problems = problem_text(&priced.problems, usize::MAX, false);
    folder.write("problems.txt", problems.as_bytes())?;
    Ok(())
}

//! `hailyard price`: the car table and the storm's totals.

use super::Exit;
use super::arguments::PriceArgs;
use super::books::Wanted;
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::priced::{Priced, price};
use super::problems::say_cautions;
use crate::report::{
    PriceShown, ReportFolder, StormReport, grid_to_json, storm_summary, to_csv, to_parquet,
};

/// Runs the command.
pub fn run(args: &PriceArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let input = Input::of(&args.paths)?;
    let priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        Wanted::default(),
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let folder = match &args.out {
        Some(out) => Some(ReportFolder::open(out, &input.paths())?),
        None => None,
    };
    if let Some(folder) = &folder {
        write_tables(folder, &priced.report(), !args.no_lines)?;
    }
    if common.json {
        streams.json(&report_json(&priced, !args.no_lines))?;
    } else {
        let text = storm_summary(
            &priced.report(),
            PriceShown::CarsAndTotals,
            streams.table_width(),
        );
        streams.print(&text)?;
        if let Some(folder) = &folder {
            streams.print(&format!("\nwritten to {}\n", folder.path().display()))?;
        }
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// Writes lines, cars and totals, each as CSV and as Parquet.
pub fn write_tables(
    folder: &ReportFolder,
    report: &StormReport<'_>,
    lines: bool,
) -> Result<(), Stop> {
    let currency = report.storm.currency;
    let mut grids = vec![("cars", report.cars()), ("totals", report.total_grid())];
    if lines {
        grids.insert(0, ("lines", report.lines()));
    }
    for (name, grid) in grids {
        folder.write(&format!("{name}.csv"), &to_csv(&grid, currency))?;
        folder.write(&format!("{name}.parquet"), &to_parquet(&grid, currency)?)?;
    }
    Ok(())
}

/// The report's struct as JSON.
pub fn report_json(priced: &Priced, lines: bool) -> serde_json::Value {
    let report = priced.report();
    let currency = priced.storm.currency;
    let spreads: Vec<serde_json::Value> = priced
        .totals
        .spreads
        .iter()
        .map(|spread| {
            let (by, key) = report.key(spread.by);
            serde_json::json!({
                "by": by, "key": key, "cars": spread.cars,
                "percentile_10": spread.percentiles[0],
                "percentile_50": spread.percentiles[1],
                "percentile_90": spread.percentiles[2],
                "largest": currency.text(spread.largest),
            })
        })
        .collect();
    let mut json = serde_json::json!({
        "format": 1,
        "storm": priced.storm.name,
        "date": priced.storm.date.map(|date| date.to_string()),
        "currency": currency.code(),
        "listed": priced.totals.listed,
        "counted": priced.totals.counted,
        "left_out": priced.left_out,
        "cars": grid_to_json(&report.cars(), currency),
        "totals": grid_to_json(&report.total_grid(), currency),
        "spreads": spreads,
    });
    if lines {
        json["lines"] = grid_to_json(&report.lines(), currency);
    }
    json
}

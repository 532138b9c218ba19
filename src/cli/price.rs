//! `hailyard price`: the car table and the storm's totals.

use super::Exit;
use super::arguments::PriceArgs;
use super::books::Wanted;
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::priced::price;
use super::problems::say_cautions;
use super::summed::price_in_sums;
use crate::intake::Problems;
use crate::money::Currency;
use crate::report::{
    Beside, PriceShown, ReportFolder, StormReport, SumReport, Tabular, WriteError, grid_to_json,
    storm_summary, to_parquet, write_csv,
};
use std::sync::{Mutex, PoisonError};
use std::thread::ScopedJoinHandle;

/// Runs the command.
pub fn run(args: &PriceArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let input = Input::of(&args.paths)?;
    let card = common.card.as_deref();
    if args.no_lines {
        let made = price_in_sums(&input, card, common.json, common.without_bad, streams)?;
        return match made {
            Ok(summed) => {
                let shown = Shown {
                    report: summed.report(),
                    lines: None,
                    problems: &summed.problems,
                };
                shown.show(args, &input, streams)?;
                let exit = summed.exit();
                // A million cars take a while to forget, which nobody waits for.
                rayon::spawn(move || drop(summed));
                Ok(exit)
            }
            Err(exit) => Ok(exit),
        };
    }
    let priced = price(
        &input,
        card,
        common.json,
        common.without_bad,
        Wanted::default(),
        streams,
    )?;
    match priced {
        Ok(priced) => {
            let shown = Shown {
                report: priced.report().in_sums(),
                lines: Some(priced.report()),
                problems: &priced.problems,
            };
            shown.show(args, &input, streams)?;
            Ok(priced.exit())
        }
        Err(exit) => Ok(exit),
    }
}

/// What the command shows and writes.
struct Shown<'a> {
    report: SumReport<'a>,
    lines: Option<StormReport<'a>>,
    problems: &'a Problems,
}

impl Shown<'_> {
    fn show(&self, args: &PriceArgs, input: &Input, streams: &mut Streams<'_>) -> Result<(), Stop> {
        let folder = match &args.out {
            Some(out) => Some(ReportFolder::open(out, &input.paths())?),
            None => None,
        };
        if let Some(folder) = &folder {
            write_tables(folder, &self.report, self.lines.as_ref())?;
        }
        if args.common.json {
            streams.json(&report_json(&self.report, self.lines.as_ref()))?;
        } else {
            let text = storm_summary(
                &self.report,
                PriceShown::CarsAndTotals,
                streams.table_width(),
            );
            streams.print(&text)?;
            if let Some(folder) = &folder {
                streams.print(&format!("\nwritten to {}\n", folder.path().display()))?;
            }
        }
        say_cautions(self.problems, streams);
        Ok(())
    }
}

/// Writes cars and totals and, where they are wanted, lines, each as CSV and
/// as Parquet, on all cores.
pub fn write_tables(
    folder: &ReportFolder,
    report: &SumReport<'_>,
    lines: Option<&StormReport<'_>>,
) -> Result<(), Stop> {
    let currency = report.storm.currency;
    if let Some(lines) = lines {
        write_table(folder, "lines", &lines.lines(), currency)?;
    }
    write_table(folder, "cars", &report.cars(), currency)?;
    write_table(folder, "totals", &report.total_grid(), currency)
}

fn write_table(
    folder: &ReportFolder,
    name: &str,
    table: &impl Tabular,
    currency: Currency,
) -> Result<(), Stop> {
    // The second file is made beside the first but written behind it, so that a
    // full disk leaves neither of them half new. No core waits for the disk.
    let written: Mutex<Option<Beside>> = Mutex::default();
    let finish = || {
        let text = written
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        text.map_or(Ok(()), Beside::finish)
    };
    std::thread::scope(|scope| {
        let (waiting, columns) = rayon::join(
            || {
                let text = folder.write_beside(&format!("{name}.csv"), |file| {
                    write_csv(table, currency, file)
                })?;
                *written.lock().unwrap_or_else(PoisonError::into_inner) = Some(text);
                Ok::<_, WriteError>(std::thread::Builder::new().spawn_scoped(scope, finish))
            },
            || to_parquet(table, currency),
        );
        match waiting?.map(ScopedJoinHandle::join) {
            Ok(finished) => finished.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?,
            // Where no thread is to be had, this one waits.
            Err(_) => finish()?,
        }
        folder.write(&format!("{name}.parquet"), &columns?)?;
        Ok(())
    })
}

/// The report's struct as JSON.
pub fn report_json(report: &SumReport<'_>, lines: Option<&StormReport<'_>>) -> serde_json::Value {
    let currency = report.storm.currency;
    let spreads: Vec<serde_json::Value> = report
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
        "storm": report.storm.name,
        "date": report.storm.date.map(|date| date.to_string()),
        "currency": currency.code(),
        "listed": report.totals.listed,
        "counted": report.totals.counted,
        "left_out": report.left_out,
        "cars": grid_to_json(&report.cars().grid(), currency),
        "totals": grid_to_json(&report.total_grid(), currency),
        "spreads": spreads,
    });
    if let Some(lines) = lines {
        json["lines"] = grid_to_json(&lines.lines(), currency);
    }
    json
}

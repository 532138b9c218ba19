//! `hailyard car`: one car explained.

use super::Exit;
use super::arguments::CarArgs;
use super::books::Wanted;
use super::handouts::write_document;
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::priced::price;
use crate::report::pages::{CarFiles, CarPhotos, car_page};
use crate::report::{ReportFolder, car_sheet, car_sheet_json};
use crate::storm::words;
use std::path::PathBuf;

/// Runs the command.
pub fn run(args: &CarArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
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
    let cars = &priced.storm.cars;
    let Some(index) = cars.iter().position(|car| car.vehicle.stock == args.stock) else {
        let folded: Vec<String> = cars
            .iter()
            .map(|car| words::fold(&car.vehicle.stock))
            .collect();
        let wanted = words::fold(&args.stock);
        let near = words::nearest(&wanted, folded.iter().map(String::as_str))
            .and_then(|near| folded.iter().position(|stock| stock == near))
            .map(|at| format!("; probably {}", cars[at].vehicle.stock))
            .unwrap_or_default();
        if priced.left_out.contains(&args.stock) {
            streams.say(&format!(
                "car {} is left out because of its errors\n",
                args.stock
            ));
            return Ok(Exit::Problems);
        }
        return Err(Stop::Usage(format!(
            "no car {} in this storm{near}",
            args.stock
        )));
    };
    let report = priced.report();
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        let name = CarFiles::of(cars).name(index).to_owned();
        let photos = priced.album.of(&args.stock);
        let sheet = car_page(&report, index, CarPhotos::Here(photos));
        write_document(&folder, &name, &sheet, args.paper, priced.storm.date)?;
        for fault in priced.album.faults() {
            streams.say(&format!("{fault}\n"));
        }
    }
    if common.json {
        streams.json(&car_sheet_json(&report, index))?;
    } else {
        streams.print(&car_sheet(&report, index, streams.table_width()))?;
    }
    Ok(priced.exit())
}

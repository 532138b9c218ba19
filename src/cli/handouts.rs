//! What `storm` writes for people: pages, sheets, workbook, texts, tables.

use super::bills::{books_of_storm, receivables_content};
use super::close::{close_content, close_report};
use super::forecast::forecast_content;
use super::lot::{lot_content, lot_report};
use super::output::Stop;
use super::page_files::{CLOSE, FORECAST, LOT, RECEIVABLES, STAFF};
use super::pay::{STATEMENTS, SplitKinds, write_split, write_statements};
use super::plan::{plan_report, write_plan_handouts};
use super::price::write_tables;
use super::priced::Priced;
use super::problems::problem_text;
use super::staff::{Crews, staff_content};
use crate::crew::HoursBook;
use crate::planning::LotPlan;
use crate::planning::forecast::LotForecast;
use crate::report::document::Document;
use crate::report::html::{Step, page, pages};
use crate::report::pages::{
    CarFiles, CarPhotos, IndexEntry, Links, car_page, index_page, split_page, storm_page,
};
use crate::report::pdf::{Paper, PdfFile, Setter};
use crate::report::{
    ForecastReport, PriceShown, ReportFolder, Width, document_text, storm_summary, storm_workbook,
};
use crate::sampling::LotEstimate;
use clap::ValueEnum;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// The width of texts in files, which belong to no window.
pub const FILE_WIDTH: Width = Width(120);
/// The folder of the cars' own sheets.
const CARS: &str = "cars";
/// The workbook.
const WORKBOOK: &str = "storm.xlsx";

/// A kind of file that `storm` writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum Handout {
    /// Pages for a browser: the storm, every car, an index
    Html,
    /// The storm and the cars' sheets to print or keep
    Pdf,
    /// A workbook with live sums
    Xlsx,
    /// Summary, sheets and problems as plain text
    Text,
    /// Lines, cars and totals as CSV and Parquet
    Tables,
}

/// The files beside each car's own, and what they are, as the index has them.
const FILES: [(Handout, &str, &str); 14] = [
    (
        Handout::Html,
        "storm.html",
        "the storm: what to decide first, totals, every car; for yourself and the lot, since it holds every payer's terms",
    ),
    (
        Handout::Html,
        "car-sheets.html",
        "every car's sheet, one after the other; to a payer or owner give the single ones",
    ),
    (Handout::Pdf, "storm.pdf", "the storm, to print or keep"),
    (
        Handout::Pdf,
        "car-sheets.pdf",
        "every car's sheet, to print or keep",
    ),
    (
        Handout::Xlsx,
        WORKBOOK,
        "a workbook whose sums follow when a line is changed",
    ),
    (Handout::Text, "summary.txt", "the storm as plain text"),
    (
        Handout::Text,
        "car-sheets.txt",
        "every car's sheet as plain text",
    ),
    (Handout::Text, "problems.txt", "what was found in the files"),
    (Handout::Tables, "lines.csv", "every line, and how it arose"),
    (Handout::Tables, "cars.csv", "one row a car"),
    (
        Handout::Tables,
        "totals.csv",
        "sums by payer, body and panel",
    ),
    (
        Handout::Tables,
        "lines.parquet",
        "the same for query engines",
    ),
    (Handout::Tables, "cars.parquet", "likewise"),
    (Handout::Tables, "totals.parquet", "likewise"),
];

/// The files of the split, where there is one.
const SPLIT_FILES: [(Handout, &str, &str); 4] = [
    (
        Handout::Html,
        "pay.html",
        "who gets what: shares, people, house, what is not yet earned; for yourself",
    ),
    (Handout::Pdf, "pay.pdf", "the same, to print or keep"),
    (Handout::Text, "pay.txt", "the same as plain text"),
    (
        Handout::Tables,
        "pay.csv",
        "every amount by car, panel and receiver",
    ),
];

/// From the index to a page.
fn steps_to(name: &str) -> [Step; 2] {
    [
        ("reports".to_owned(), Some("index.html".to_owned())),
        (name.to_owned(), None),
    ]
}

/// What was made beside prices and split.
#[derive(Clone, Copy)]
pub struct Reached<'a> {
    /// The plan.
    pub made: Option<&'a LotPlan>,
    /// Its odds.
    pub odds: Option<&'a LotForecast>,
    /// Crews of other sizes.
    pub crews: Option<&'a Crews>,
    /// What the whole lot comes to.
    pub lot: Option<&'a LotEstimate>,
    /// Estimated and logged hours.
    pub hours: Option<&'a HoursBook>,
}

/// All kinds, or those that were asked for.
pub fn wanted(only: &[Handout]) -> BTreeSet<Handout> {
    if only.is_empty() {
        Handout::value_variants().iter().copied().collect()
    } else {
        only.iter().copied().collect()
    }
}

/// Writes what is wanted, and an index of it where there are pages. What could
/// not be made of this storm is said in the lines that come back.
pub fn write(
    folder: &ReportFolder,
    priced: &mut Priced,
    reached: Reached<'_>,
    wanted: &BTreeSet<Handout>,
    paper: Paper,
) -> Result<Vec<String>, Stop> {
    let mut said = Vec::new();
    let mut entries: Vec<IndexEntry> = FILES
        .iter()
        .filter(|(kind, _, _)| wanted.contains(kind))
        .map(|(_, path, what)| IndexEntry {
            path: (*path).to_owned(),
            what,
        })
        .collect();
    let files = CarFiles::of(&priced.storm.cars);
    if wanted.contains(&Handout::Tables) {
        let lines = priced.report();
        write_tables(folder, &lines.in_sums(), Some(&lines))?;
    }
    let shows_photos = wanted.contains(&Handout::Html) || wanted.contains(&Handout::Pdf);
    let sheets = if shows_photos || wanted.contains(&Handout::Text) {
        sheets(priced, shows_photos)
    } else {
        Vec::new()
    };
    // A PDF is written front to back by one core; the other has all else to make
    // meanwhile.
    let this: &Priced = priced;
    let (pdfs, rest) = rayon::join(
        || -> Result<Option<String>, Stop> {
            if wanted.contains(&Handout::Pdf) {
                return write_pdfs(folder, this, &sheets, paper);
            }
            Ok(None)
        },
        || -> Result<(Vec<IndexEntry>, Option<String>), Stop> {
            // The workbook is one core's work as well; the others share the pages.
            let missing = match wanted.contains(&Handout::Xlsx) {
                true => write_workbook(folder, this)?,
                false => None,
            };
            let made = write_reached(folder, this, reached, wanted, paper)?;
            if wanted.contains(&Handout::Html) {
                write_pages(folder, this, &sheets, &files)?;
            }
            Ok((made, missing))
        },
    );
    said.extend(pdfs?);
    let (made, missing) = rest?;
    entries.extend(made);
    if let Some(missing) = missing {
        entries.retain(|entry| entry.path != WORKBOOK);
        said.push(missing);
    }
    // Only who decodes the photographs learns of a broken one.
    for fault in priced.album.faults() {
        priced.problems.push(fault);
    }
    if wanted.contains(&Handout::Text) {
        write_texts(folder, priced, &sheets)?;
    }
    if wanted.contains(&Handout::Html) {
        let index = index_page(&priced.storm, &entries, &priced.problems);
        folder.write("index.html", page(&index, &[])?.as_bytes())?;
    }
    Ok(said)
}

/// What was reached beside the prices: split, accounts, close, plan, odds, crews,
/// the whole lot; what of it the index is to list.
fn write_reached(
    folder: &ReportFolder,
    priced: &Priced,
    reached: Reached<'_>,
    wanted: &BTreeSet<Handout>,
    paper: Paper,
) -> Result<Vec<IndexEntry>, Stop> {
    let mut entries = write_split_files(folder, priced, wanted, paper)?;
    if let Some(books) = books_of_storm(priced) {
        let report = books.report();
        let steps = steps_to("billed and received");
        let content = receivables_content(&report);
        entries.extend(RECEIVABLES.write(folder, &content, &steps, wanted, paper)?);
        if let Some(split) = &priced.split {
            let close = close_report(priced, split, &report, reached.hours);
            let steps = steps_to("close");
            let content = close_content(&close);
            entries.extend(CLOSE.write(folder, &content, &steps, wanted, paper)?);
        }
    }
    if let (Some(jobs), Some(made)) = (&priced.jobs, reached.made) {
        let plan = plan_report(priced, jobs, made);
        entries.extend(write_plan_handouts(folder, &plan, wanted, paper)?);
        if let Some(forecast) = reached.odds {
            let report = ForecastReport { plan, forecast };
            let steps = steps_to("odds");
            let content = forecast_content(&report);
            entries.extend(FORECAST.write(folder, &content, &steps, wanted, paper)?);
        }
        if let Some(crews) = reached.crews {
            let steps = steps_to("crew to bring");
            let report = crews.report(plan);
            let content = staff_content(&report);
            entries.extend(STAFF.write(folder, &content, &steps, wanted, paper)?);
        }
    }
    if let Some(report) = reached.lot.and_then(|made| lot_report(priced, made)) {
        let steps = steps_to("the whole lot");
        let content = lot_content(&report);
        entries.extend(LOT.write(folder, &content, &steps, wanted, paper)?);
    }
    Ok(entries)
}

/// The split and everyone's statement; what of it the index is to list.
fn write_split_files(
    folder: &ReportFolder,
    priced: &Priced,
    wanted: &BTreeSet<Handout>,
    paper: Paper,
) -> Result<Vec<IndexEntry>, Stop> {
    let Some(split) = &priced.split else {
        return Ok(Vec::new());
    };
    let kinds = SplitKinds {
        csv: wanted.contains(&Handout::Tables),
        html: wanted.contains(&Handout::Html),
        pdf: wanted.contains(&Handout::Pdf).then_some(paper),
    };
    let steps = [
        ("reports".to_owned(), Some("index.html".to_owned())),
        ("pay".to_owned(), None),
    ];
    write_split(folder, priced, split, &steps, kinds)?;
    if wanted.contains(&Handout::Text) {
        let plain = split_page(&priced.split_input(), split, priced.left_out.len(), None);
        folder.write("pay.txt", document_text(&plain, FILE_WIDTH).as_bytes())?;
    }
    if !priced.books.log.people.is_empty() {
        write_statements(folder, STATEMENTS, priced, split, None, kinds)?;
    }
    let entries = SPLIT_FILES
        .iter()
        .filter(|(kind, _, _)| wanted.contains(kind));
    Ok(entries
        .map(|(_, path, what)| IndexEntry {
            path: (*path).to_owned(),
            what,
        })
        .collect())
}

/// The workbook; where a storm is too large for one, why there is none.
fn write_workbook(folder: &ReportFolder, priced: &Priced) -> Result<Option<String>, Stop> {
    match storm_workbook(&priced.report()) {
        Ok(bytes) => {
            folder.write(WORKBOOK, &bytes)?;
            Ok(None)
        }
        Err(error) => Ok(Some(format!("no {WORKBOOK}: {error}"))),
    }
}

/// Every car's sheet, with its photographs where there is room for all and
/// something can show them.
fn sheets(priced: &Priced, shows_photos: bool) -> Vec<Document> {
    let report = priced.report();
    let together = priced.album.fits_together();
    (0..priced.storm.cars.len())
        .into_par_iter()
        .map(|car| {
            let stock = &priced.storm.cars[car].vehicle.stock;
            let photos = match (together, shows_photos) {
                (true, true) => CarPhotos::Here(priced.album.of(stock)),
                (true, false) => CarPhotos::Here(Vec::new()),
                (false, _) => CarPhotos::OnItsOwn(priced.album.count(stock)),
            };
            car_page(&report, car, photos)
        })
        .collect()
}

/// The summary, every car's sheet, and the problems, as text.
fn write_texts(folder: &ReportFolder, priced: &Priced, sheets: &[Document]) -> Result<(), Stop> {
    let report = priced.report();
    let summary = storm_summary(
        &report.in_sums(),
        PriceShown::DecisionsAndTotals,
        FILE_WIDTH,
    );
    folder.write("summary.txt", summary.as_bytes())?;
    let texts: Vec<String> = sheets
        .par_iter()
        .map(|sheet| document_text(sheet, FILE_WIDTH))
        .collect();
    folder.write("car-sheets.txt", texts.join("\n").as_bytes())?;
    let problems = problem_text(&priced.problems, usize::MAX, false);
    folder.write("problems.txt", problems.as_bytes())?;
    Ok(())
}

/// The storm's page, a page for every car, and one of all cars.
fn write_pages(
    folder: &ReportFolder,
    priced: &Priced,
    sheets: &[Document],
    files: &CarFiles,
) -> Result<(), Stop> {
    let report = priced.report();
    let links = Links {
        files,
        folder: "cars/",
    };
    let storm = storm_page(&report, Some(links));
    let step =
        |label: &str, path: Option<&str>| -> Step { (label.to_owned(), path.map(str::to_owned)) };
    let steps = [
        step("reports", Some("index.html")),
        step("storm", None),
        step("all cars", Some("car-sheets.html")),
    ];
    folder.write("storm.html", page(&storm, &steps)?.as_bytes())?;
    let steps = [
        step("reports", Some("index.html")),
        step("storm", Some("storm.html")),
        step("all cars", None),
    ];
    let title = format!("{}: car sheets", priced.storm.name);
    folder.write("car-sheets.html", pages(&title, sheets, &steps)?.as_bytes())?;
    let cars = folder.inside(CARS)?;
    let together = priced.album.fits_together();
    sheets.par_iter().enumerate().try_for_each(|(car, sheet)| {
        let steps = [
            step("reports", Some("../index.html")),
            step("storm", Some("../storm.html")),
            step(&sheet.title, None),
        ];
        let stock = &priced.storm.cars[car].vehicle.stock;
        let text = if !together && priced.album.count(stock) > 0 {
            let photos = CarPhotos::Here(priced.album.of(stock));
            page(&car_page(&report, car, photos), &steps)?
        } else {
            page(sheet, &steps)?
        };
        cars.write(&format!("{}.html", files.name(car)), text.as_bytes())?;
        Ok(())
    })
}

/// One document as a page for a browser and as a PDF, side by side.
pub fn write_document(
    folder: &ReportFolder,
    name: &str,
    document: &Document,
    paper: Paper,
    day: Option<jiff::civil::Date>,
) -> Result<(), Stop> {
    folder.write(&format!("{name}.html"), page(document, &[])?.as_bytes())?;
    write_pdf(folder, name, document, paper, day)
}

/// One document as a PDF.
pub fn write_pdf(
    folder: &ReportFolder,
    name: &str,
    document: &Document,
    paper: Paper,
    day: Option<jiff::civil::Date>,
) -> Result<(), Stop> {
    let setter = Setter::new(paper);
    let laid_out = setter.lay_out(document);
    let bytes = PdfFile::made(&setter, &document.title, day, |file| file.add(&laid_out))?;
    folder.write(&format!("{name}.pdf"), &bytes)?;
    Ok(())
}

/// Cars that are laid out at once: both cores have work, and no more pages
/// than these wait in memory.
const AT_ONCE: usize = 64;

/// The storm and all cars' sheets as PDF.
fn write_pdfs(
    folder: &ReportFolder,
    priced: &Priced,
    sheets: &[Document],
    paper: Paper,
) -> Result<Option<String>, Stop> {
    let setter = Setter::new(paper);
    let name = &priced.storm.name;
    let day = priced.storm.date;
    let storm = setter.lay_out(&storm_page(&priced.report(), None));
    let bytes = PdfFile::made(&setter, name, day, |file| file.add(&storm))?;
    folder.write("storm.pdf", &bytes)?;
    let title = format!("{name}: car sheets");
    let bytes = PdfFile::made(&setter, &title, day, |file| {
        for chunk in sheets.chunks(AT_ONCE) {
            let laid_out: Vec<_> = chunk
                .par_iter()
                .map(|sheet| setter.lay_out(sheet))
                .collect();
            for sheet in &laid_out {
                file.add(sheet);
            }
        }
    })?;
    folder.write("car-sheets.pdf", &bytes)?;
    Ok(shapeless(&setter))
}

/// Says when the PDFs show signs in place of characters.
fn shapeless(setter: &Setter) -> Option<String> {
    let said = match setter.missing() {
        0 => return None,
        1 => "1 character has".to_owned(),
        many => format!("{many} characters have"),
    };
    Some(format!(
        "caution: {said} no shape in the fonts of the PDFs and stand as \u{fffd}; the pages show them"
    ))
}

//! What a command works on: a folder, lone sheets or the demo, read and checked.

use super::books::Books;
use super::output::{Stop, Streams};
use super::progress::Progress;
use crate::demo;
use crate::intake::{
    self, CardInstead, Cars, CarsRead, Disk, Intake, LoneSheets, Problems, SheetMeta, Source,
};
use crate::money::Currency;
use crate::pricing::check_agreed;
use crate::rates::Rates;
use crate::storm::Storm;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What a command works on.
pub enum Input {
    /// A storm's folder.
    Folder(PathBuf),
    /// Count sheets without a storm.
    Sheets(Vec<PathBuf>),
    /// The built-in demo.
    Demo,
}

impl Input {
    /// The input that the arguments mean.
    pub fn of(paths: &[PathBuf]) -> Result<Input, Stop> {
        match paths {
            [] if Path::new("storm.toml").is_file() => Ok(Input::Folder(PathBuf::from("."))),
            [] => Ok(Input::Demo),
            [folder] if folder.is_dir() => {
                if folder.join("storm.toml").exists() {
                    Ok(Input::Folder(folder.clone()))
                } else {
                    Err(Stop::Usage(format!(
                        "{} holds no storm.toml, so it is no storm's folder",
                        folder.display()
                    )))
                }
            }
            files => {
                for file in files {
                    if file.is_dir() {
                        return Err(Stop::Usage(format!(
                            "{} is a folder: give one folder, or count sheets only",
                            file.display()
                        )));
                    }
                    if !file.exists() {
                        return Err(Stop::Usage(format!(
                            "no such file or folder: {}",
                            file.display()
                        )));
                    }
                }
                Ok(Input::Sheets(files.to_vec()))
            }
        }
    }

    /// What is worked on, in one line.
    fn said(&self, card: Option<&Path>) -> String {
        let card = card.map(|card| card.display().to_string());
        match (self, card) {
            (Input::Folder(folder), None) => format!("storm folder {}", folder.display()),
            (Input::Folder(folder), Some(card)) => {
                format!(
                    "storm folder {}, every payer on the card {card}",
                    folder.display()
                )
            }
            (Input::Sheets(files), card) => {
                let names: Vec<String> = files
                    .iter()
                    .map(|file| file.display().to_string())
                    .collect();
                let card = card.unwrap_or_else(|| "the built-in example card".to_owned());
                format!("{}, without a storm: priced on {card}", names.join(", "))
            }
            (Input::Demo, None) => "the built-in demo storm (invented)".to_owned(),
            (Input::Demo, Some(card)) => {
                format!("the built-in demo storm (invented), every payer on the card {card}")
            }
        }
    }

    /// Where the inputs lie on disk.
    pub fn paths(&self) -> Vec<PathBuf> {
        match self {
            Input::Folder(folder) => vec![folder.clone()],
            Input::Sheets(files) => files.clone(),
            Input::Demo => Vec::new(),
        }
    }

    fn read(&self, card: Option<&Path>) -> Intake {
        self.with(card, intake::read_storm, |sheets| {
            intake::read_sheets(sheets)
        })
    }

    /// Reads for whoever goes through the cars once.
    pub fn read_cars<T>(
        &self,
        card: Option<&Path>,
        go_through: impl Fn(&mut Cars<'_>) -> T,
    ) -> CarsRead<T> {
        self.with(
            card,
            |source, card| intake::read_storm_cars(source, card, &go_through),
            |sheets| intake::read_sheet_cars(sheets, &go_through),
        )
    }

    fn with<T>(
        &self,
        card: Option<&Path>,
        read_storm: impl Fn(&dyn Source, Option<CardInstead<'_>>) -> T,
        read_sheets: impl Fn(LoneSheets<'_>) -> T,
    ) -> T {
        let cards = demo::cards();
        let (card_folder, card_name) = match card {
            Some(path) => (
                Some(Disk::new(path.parent().unwrap_or(Path::new("")))),
                path.file_name()
                    .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
            ),
            None => (None, demo::EXAMPLE_CARD.to_owned()),
        };
        let instead = card_folder.as_ref().map(|folder| CardInstead {
            source: folder as &dyn Source,
            path: &card_name,
        });
        match self {
            Input::Folder(folder) => read_storm(&Disk::new(folder), instead),
            Input::Demo => read_storm(&demo::storm(), instead),
            Input::Sheets(files) => {
                let paths: Vec<String> = files
                    .iter()
                    .map(|file| file.to_string_lossy().into_owned())
                    .collect();
                let name = files
                    .first()
                    .and_then(|file| file.file_stem())
                    .map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
                read_sheets(LoneSheets {
                    source: &Disk::new(""),
                    paths: &paths,
                    name: &name,
                    // A sheet without a storm says nothing of its currency.
                    currency: Currency::usd(),
                    card: instead.unwrap_or(CardInstead {
                        source: &cards,
                        path: demo::EXAMPLE_CARD,
                    }),
                })
            }
        }
    }
}

/// A storm that was read, with everything found wrong in it.
pub struct Opened {
    /// The storm and rates with the sound cars; none when nothing can be priced.
    pub storm: Option<(Storm, Rates)>,
    /// All problems.
    pub problems: Problems,
    /// Stocks of cars with errors, in lot order.
    pub left_out: Vec<String>,
    /// The sheets that were read, for places of problems found later.
    pub sheets: Vec<SheetMeta>,
    /// The files of photographs, by stock.
    pub photos: BTreeMap<String, Vec<String>>,
    /// The crew's files, and what was found wrong in them.
    pub books: Books,
    /// What was found wrong in `lot.*`.
    pub lot_problems: Problems,
}

/// Says on the first line what is worked on.
pub fn say_input(
    input: &Input,
    card: Option<&Path>,
    json: bool,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    if let Some(card) = card
        && !card.is_file()
    {
        return Err(Stop::Usage(format!(
            "no such rate card: {}",
            card.display()
        )));
    }
    let said = format!("{}\n", input.said(card));
    if json {
        streams.say(&said);
    } else {
        streams.print(&said)?;
    }
    Ok(())
}

/// Reads an input and says on the first line what it is.
pub fn open(
    input: &Input,
    card: Option<&Path>,
    json: bool,
    streams: &mut Streams<'_>,
) -> Result<Opened, Stop> {
    say_input(input, card, json, streams)?;
    let progress = Progress::start(streams.progress);
    progress.stage("reading");
    let intake = input.read(card);
    let mut problems = intake.problems;
    let mut left_out: Vec<(usize, String)> = intake.left_out;
    let storm = intake.storm.map(|(storm, rates)| {
        let mut bad = intake.agreed_at_fault;
        for (car, problem) in check_agreed(&storm, &rates, &intake.sheets) {
            bad.insert(car);
            problems.push(problem);
        }
        for car in &bad {
            left_out.push((
                intake.positions[*car],
                storm.cars[*car].vehicle.stock.clone(),
            ));
        }
        (storm.without(&bad), rates)
    });
    left_out.sort();
    Ok(Opened {
        storm,
        problems,
        sheets: intake.sheets,
        photos: intake.photos,
        books: Books {
            terms: intake.pay,
            time: intake.time,
            log: intake.crew,
            bill_terms: intake.bill_terms,
            billing: intake.billing,
            billing_at_fault: intake.billing_problems.errors() > 0,
            billing_problems: intake.billing_problems,
            problems: intake.crew_problems,
            plan_problems: intake.plan_problems,
        },
        lot_problems: intake.lot_problems,
        left_out: left_out.into_iter().map(|(_, stock)| stock).collect(),
    })
}

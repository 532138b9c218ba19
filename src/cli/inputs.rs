//! What a command works on: a folder, lone sheets or the demo, read and checked.

use super::Exit;
use super::album::Album;
use super::books::{Books, SplitWanted, share_cautions};
use super::output::{Stop, Streams};
use super::progress::Progress;
use crate::demo;
use crate::intake::{
    self, CardInstead, Disk, Intake, Problem, Problems, Severity, SheetMeta, Source, printable,
};
use crate::money::Currency;
use crate::pay::{Split, SplitInput, split_storm};
use crate::pricing::{PricedStorm, check_agreed, price_storm};
use crate::rates::Rates;
use crate::report::StormReport;
use crate::storm::Storm;
use crate::totals::StormTotals;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// How many problems are printed; more are only counted.
const SHOWN: usize = 1_000;
/// How many cautions are printed beside a price; `check` lists them all.
const CAUTIONS_SHOWN: usize = 20;

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
            Input::Folder(folder) => intake::read_storm(&Disk::new(folder), instead),
            Input::Demo => intake::read_storm(&demo::storm(), instead),
            Input::Sheets(files) => {
                let names: Vec<String> = files
                    .iter()
                    .map(|file| file.to_string_lossy().into_owned())
                    .collect();
                let name = files
                    .first()
                    .and_then(|file| file.file_stem())
                    .map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
                let card = instead.unwrap_or(CardInstead {
                    source: &cards,
                    path: demo::EXAMPLE_CARD,
                });
                // A sheet without a storm says nothing of its currency.
                intake::read_sheets(&Disk::new(""), &names, &name, Currency::usd(), card)
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
}

impl Opened {
    /// Takes the problems of the crew's files among the others.
    fn join_books(&mut self) {
        self.problems.join(std::mem::take(&mut self.books.problems));
    }

    /// Splits what was priced; what the log contradicts is added to the problems.
    fn split(&mut self, storm: &Storm, rates: &Rates, priced: &PricedStorm) -> Result<Split, Stop> {
        let (made, findings) = split_storm(self.books.input(storm, rates, priced))?;
        let cautions = share_cautions(&made, &self.books.terms, storm.currency);
        let findings = findings
            .into_iter()
            .map(|finding| finding.problem(&self.sheets));
        for problem in cautions.into_iter().chain(findings) {
            self.problems.push(problem);
        }
        Ok(made)
    }
}

/// Checks the crew's files, and the log against the prices of the sound cars.
pub fn examine_books(opened: &mut Opened) -> Result<(), Stop> {
    let can_price = !opened.problems.stops() && opened.books.are_wanted(SplitWanted::WhereKnown);
    opened.join_books();
    if let Some((storm, rates)) = opened.storm.take_if(|_| can_price) {
        let priced = price_storm(&storm, &rates);
        opened.split(&storm, &rates, &priced)?;
        opened.storm = Some((storm, rates));
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
            log: intake.crew,
            problems: intake.crew_problems,
        },
        left_out: left_out.into_iter().map(|(_, stock)| stock).collect(),
    })
}

/// A storm that was priced.
pub struct Priced {
    /// The storm.
    pub storm: Storm,
    /// Its rates.
    pub rates: Rates,
    /// The prices.
    pub priced: PricedStorm,
    /// The sums.
    pub totals: StormTotals,
    /// Everything found wrong or worth a look.
    pub problems: Problems,
    /// Stocks of cars left out.
    pub left_out: Vec<String>,
    /// The photographs.
    pub album: Album,
    /// The terms of pay and the crew's files.
    pub books: Books,
    /// Who gets what, where it was asked for and could be told.
    pub split: Option<Split>,
}

impl Priced {
    /// The struct behind every report.
    pub fn report(&self) -> StormReport<'_> {
        StormReport {
            storm: &self.storm,
            rates: &self.rates,
            priced: &self.priced,
            totals: &self.totals,
            left_out: &self.left_out,
        }
    }

    /// What the split is made of, beside the split.
    pub fn split_input(&self) -> SplitInput<'_> {
        self.books.input(&self.storm, &self.rates, &self.priced)
    }

    /// The exit status once all is written.
    pub fn exit(&self) -> Exit {
        if self.problems.errors() > 0 {
            Exit::Problems
        } else {
            Exit::Done
        }
    }
}

/// Reads and prices, and splits where it is asked for; `Err` with the exit
/// status when the inputs forbid it.
pub fn price(
    input: &Input,
    card: Option<&Path>,
    json: bool,
    without_bad: bool,
    wanted: SplitWanted,
    streams: &mut Streams<'_>,
) -> Result<Result<Priced, Exit>, Stop> {
    let mut opened = open(input, card, json, streams)?;
    let can_price = opened.storm.is_some() && !opened.problems.stops();
    let of_prices = opened.problems.errors();
    // A log is checked against the prices of the sound cars even where other
    // cars have errors, so that all is said in one go.
    let splits = can_price && opened.books.are_wanted(wanted);
    let priced = match opened.storm.take() {
        Some((storm, rates)) if splits || (can_price && (of_prices == 0 || without_bad)) => {
            let progress = Progress::start(streams.progress);
            progress.stage("pricing");
            let priced = price_storm(&storm, &rates);
            Some((storm, rates, priced))
        }
        _ => None,
    };
    if wanted != SplitWanted::No {
        opened.join_books();
    }
    let mut split = None;
    if let (Some((storm, rates, priced)), true) = (&priced, splits) {
        let made = opened.split(storm, rates, priced)?;
        split = (opened.problems.errors() == of_prices).then_some(made);
    }
    let errors = opened.problems.errors();
    // What a log contradicts is never split in part, whatever is left out.
    let refused = errors > 0 && !without_bad || wanted == SplitWanted::Yes && split.is_none();
    let (storm, rates, priced) = match priced {
        Some(priced) if !refused => priced,
        _ => {
            say_problems(&opened.problems, SHOWN, streams);
            let advice = if errors > of_prices && !can_price {
                "nothing was priced and nothing split, since not every error belongs to a car"
            } else if errors > of_prices && wanted == SplitWanted::Yes {
                "nothing was split: what crew, work and paid contradict belongs to no car that could be left out"
            } else if errors > of_prices && of_prices == 0 {
                "nothing was written; `--without-bad` prices the cars and leaves the split out"
            } else if opened.problems.stops() {
                "nothing was priced, since not every error belongs to a car"
            } else {
                "nothing was priced; `--without-bad` leaves the bad cars out and prices the others"
            };
            streams.say(&format!("{}; {advice}\n", counted(&opened.problems)));
            return Ok(Err(Exit::Problems));
        }
    };
    if errors > 0 {
        say_problems(&opened.problems, SHOWN, streams);
        say_left_out(&opened, streams);
    }
    let progress = Progress::start(streams.progress);
    progress.stage("adding up");
    let totals = StormTotals::of(&storm, &priced)?;
    drop(progress);
    Ok(Ok(Priced {
        storm,
        rates,
        priced,
        totals,
        problems: opened.problems,
        left_out: opened.left_out,
        album: Album::new(input, opened.photos),
        books: opened.books,
        split,
    }))
}

fn say_left_out(opened: &Opened, streams: &mut Streams<'_>) {
    let stocks: Vec<String> = opened
        .left_out
        .iter()
        .map(|stock| printable(stock))
        .collect();
    let left_out = match stocks.len() {
        0 => "no car is left out".to_owned(),
        1 => format!("1 car is left out: {}", stocks[0]),
        cars => format!("{cars} cars are left out: {}", stocks.join(", ")),
    };
    streams.say(&format!("{}; {left_out}\n", counted(&opened.problems)));
}

/// Notes and cautions after a result; where errors were printed, all was said already.
pub fn say_cautions(problems: &Problems, streams: &mut Streams<'_>) {
    if problems.errors() == 0 {
        say_problems(problems, CAUTIONS_SHOWN, streams);
    }
}

fn say_problems(problems: &Problems, most: usize, streams: &mut Streams<'_>) {
    let text = problem_text(problems, most, streams.bold);
    streams.say(&text);
}

/// The notes and problems as text, one a line, the first so many.
pub fn problem_text(problems: &Problems, most: usize, bold: bool) -> String {
    let mut text = String::new();
    for (place, said) in problems.notes().iter().take(most) {
        text.push_str(&format!("note: {place}: {said}\n"));
    }
    let mut list = problems.sorted();
    let all = problems.errors() + problems.cautions();
    if all > most {
        // Where not all can be shown, errors go before cautions.
        list.sort_by_key(|problem| problem.severity);
    }
    let shown = list.len().min(most);
    for problem in list.into_iter().take(most) {
        let line = problem.to_string();
        let word = problem.severity.word();
        match line.strip_prefix(word) {
            Some(rest) if bold => text.push_str(&format!("\x1b[1m{word}\x1b[0m{rest}\n")),
            _ => text.push_str(&format!("{line}\n")),
        }
    }
    if all > shown {
        let which = if most < SHOWN { "" } else { " --json" };
        text.push_str(&format!(
            "… and {} more: `hailyard check{which}` lists them\n",
            all - shown
        ));
    }
    text
}

/// `1 error, 2 cautions`.
pub fn counted(problems: &Problems) -> String {
    let plural = |count: usize, word: &str| match count {
        1 => format!("1 {word}"),
        count => format!("{count} {word}s"),
    };
    format!(
        "{}, {}",
        plural(problems.errors(), Severity::Error.word()),
        plural(problems.cautions(), Severity::Caution.word())
    )
}

/// Problems as JSON.
pub fn problems_json(problems: &Problems) -> serde_json::Value {
    let list: Vec<serde_json::Value> = problems.sorted().into_iter().map(problem_json).collect();
    serde_json::json!({
        "format": 1,
        "errors": problems.errors(),
        "cautions": problems.cautions(),
        "notes": problems
            .notes()
            .iter()
            .map(|(place, said)| serde_json::json!({"file": place.file, "sheet": place.sheet, "said": said}))
            .collect::<Vec<_>>(),
        "problems": list,
    })
}

fn problem_json(problem: &Problem) -> serde_json::Value {
    serde_json::json!({
        "severity": problem.severity.word(),
        "file": problem.place.file,
        "sheet": problem.place.sheet,
        "row": problem.place.row,
        "column": problem.place.column,
        "cell": problem.place.cell(),
        "found": problem.found,
        "expected": problem.expected,
        "meant": problem.meant,
        "stock": problem.stock,
    })
}

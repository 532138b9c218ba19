//! The command line as clap reads it.

use super::forecast::REPLICATIONS;
use super::handouts::Handout;
use super::plan::PLAN_SEED;
use crate::billing::BilledTogether;
use crate::planning::forecast::MOST_PEOPLE;
use crate::report::pdf::Paper;
use clap::{ArgGroup, Args as ClapArgs, Parser, Subcommand};
use jiff::civil::Date;
use std::path::PathBuf;

/// Prices hail damage car by car, and explains every amount.
///
/// A storm is a folder: storm.toml, rates/, counts/ and what else is known of
/// the lot. Without a folder the current one is taken if it holds storm.toml,
/// else the built-in demo.
#[derive(Debug, Parser)]
#[command(name = "hailyard", version, max_term_width = 100)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Do all that the folder allows, into reports/NAME/, and sum it up
    Storm(StormArgs),
    /// Read everything, price nothing, list every problem with its place
    Check(CheckArgs),
    /// Price every car: car table and storm totals
    Price(PriceArgs),
    /// Explain one car: each line and how it arose
    Car(CarArgs),
    /// Split the storm's money: shares, people, house; a statement for everyone
    Pay(PayArgs),
    /// Approve, bill, collect: every car from its price to what is open; numbered bills
    Bills(BillsArgs),
    /// Close the storm: what it earned, cost and leaves, and the hours it took
    Close(CloseArgs),
    /// Plan who does what when, and prove how near that is to the best
    Plan(PlanArgs),
    /// Say the odds of the date: when all is done, and which promises hold
    Forecast(ForecastArgs),
    /// Compare crews: days, odds and cost by size, and the cheapest that meets a date
    Staff(StaffArgs),
    /// Estimate the whole lot from the cars counted so far, and say how sure that is
    Lot(LotArgs),
    /// Make a new storm's folder: settings, example cards, a count workbook
    Start(StartArgs),
    /// Price the storm on several cards, side by side
    Compare(CompareArgs),
    /// Compare two counts of the same cars: the supplement, line by line
    Recount(RecountArgs),
    /// Print a completion script for a shell
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page (roff)
    Man,
}

/// What several commands share.
#[derive(Debug, Clone, ClapArgs)]
pub struct Common {
    /// Price every payer's cars on this card instead of their own
    #[arg(long, value_name = "FILE")]
    pub card: Option<PathBuf>,
    /// Leave cars with errors out, list them first, and price the others
    #[arg(long)]
    pub without_bad: bool,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `storm`.
#[derive(Debug, ClapArgs)]
pub struct StormArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// Where the reports land [default: reports/NAME]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write only these kinds of files; may be given several times
    #[arg(long, value_name = "WHAT", value_enum, value_delimiter = ',')]
    pub only: Vec<Handout>,
    /// The paper of the PDFs
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Show the index in the system's browser when all is written
    #[arg(long)]
    pub open: bool,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `check`.
#[derive(Debug, ClapArgs)]
pub struct CheckArgs {
    /// The storm's folder, or count sheets by themselves
    #[arg(value_name = "FOLDER|FILE")]
    pub paths: Vec<PathBuf>,
    /// Check against this card instead of the storm's own
    #[arg(long, value_name = "FILE")]
    pub card: Option<PathBuf>,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `price`.
#[derive(Debug, ClapArgs)]
pub struct PriceArgs {
    /// The storm's folder, or count sheets by themselves
    #[arg(value_name = "FOLDER|FILE")]
    pub paths: Vec<PathBuf>,
    /// Write lines, cars and totals as CSV and Parquet into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Leave the single lines out of what is written and printed
    #[arg(long)]
    pub no_lines: bool,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `car`.
#[derive(Debug, ClapArgs)]
pub struct CarArgs {
    /// The car's stock number
    pub stock: String,
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// Write the sheet as a page for a browser and as PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `pay`.
#[derive(Debug, ClapArgs)]
pub struct PayArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// One person's statement
    #[arg(long, value_name = "NAME")]
    pub person: Option<String>,
    /// One period only: any day of a week, or `storm`
    #[arg(long, value_name = "DAY")]
    pub period: Option<String>,
    /// Write pay.csv, the split and the statements as CSV, pages and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDFs
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `bills`.
#[derive(Debug, ClapArgs)]
pub struct BillsArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// Number what is not billed yet and write it into the folder's bills.csv
    #[arg(long, conflicts_with_all = ["card", "without_bad"])]
    pub issue: bool,
    /// The day of new bills, and up to which ages are reckoned; the books are read whole [default: today]
    #[arg(long, value_name = "DATE")]
    pub on: Option<Date>,
    /// What stands together on a payer's bill [default: as storm.toml's `[bills]` says]
    #[arg(long, value_name = "WHAT", value_enum)]
    pub per: Option<BilledTogether>,
    /// Bill only this car; may be given several times
    #[arg(long, value_name = "STOCK")]
    pub car: Vec<String>,
    /// Bill only this payer's cars; may be given several times
    #[arg(long, value_name = "NAME")]
    pub payer: Vec<String>,
    /// Write the accounts and every bill as pages, PDF, tables and a workbook into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write payers' bills as structured invoices too: EN 16931 in UBL 2.1
    #[arg(long, requires = "out")]
    pub ubl: bool,
    /// The paper of the PDFs
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `close`.
#[derive(Debug, ClapArgs)]
pub struct CloseArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// The day that stands on it [default: today]
    #[arg(long, value_name = "DATE")]
    pub on: Option<Date>,
    /// Write close.csv and the page as HTML and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `plan`.
#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// Plan from this day on what the log leaves [default: the day after the log]
    #[arg(long, value_name = "DATE")]
    pub from: Option<Date>,
    /// One person's work list
    #[arg(long, value_name = "NAME")]
    pub person: Option<String>,
    /// One day only
    #[arg(long, value_name = "DATE")]
    pub day: Option<Date>,
    /// Stop after so many changes: the same plan on any machine
    #[arg(long, value_name = "N", conflicts_with = "seconds")]
    pub rounds: Option<u64>,
    /// Stop after so much time
    #[arg(long, value_name = "S")]
    pub seconds: Option<f64>,
    /// The seed of the search
    #[arg(long, value_name = "N", default_value_t = PLAN_SEED)]
    pub seed: u64,
    /// Write plan.csv, plan.ics, the wall page and the work lists into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDFs
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// A bare problem as JSON, in place of a storm
    #[arg(long, value_name = "FILE", hide_short_help = true, conflicts_with_all = ["folder", "from", "person", "day", "out", "card", "without_bad"])]
    pub instance: Option<PathBuf>,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `forecast`.
#[derive(Debug, ClapArgs)]
pub struct ForecastArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// How often the lot is gone through
    #[arg(long, value_name = "N", default_value_t = REPLICATIONS, value_parser = replications)]
    pub replications: usize,
    /// The seed of chance
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Go on from this day with what the log leaves [default: the day after the log]
    #[arg(long, value_name = "DATE")]
    pub from: Option<Date>,
    /// Plan with so many changes before
    #[arg(long, value_name = "N")]
    pub rounds: Option<u64>,
    /// Write forecast.csv and the page as HTML and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `staff`.
#[derive(Debug, ClapArgs)]
pub struct StaffArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// The day by whose end all is to be done
    #[arg(long, value_name = "DATE")]
    pub by: Option<Date>,
    /// At which odds, in per cent
    #[arg(long, value_name = "PERCENT", default_value_t = 80, value_parser = clap::value_parser!(u32).range(1..=99))]
    pub odds: u32,
    /// The most people of a trade [default: four more than there are]
    #[arg(long, value_name = "N", value_parser = most)]
    pub most: Option<usize>,
    /// How often each crew is gone through [default: 500, of large lots less]
    #[arg(long, value_name = "N", value_parser = replications)]
    pub replications: Option<usize>,
    /// The seed of chance
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Go on from this day with what the log leaves [default: the day after the log]
    #[arg(long, value_name = "DATE")]
    pub from: Option<Date>,
    /// Write staff.csv and the page as HTML and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// As many people as can be dealt work.
fn most(text: &str) -> Result<usize, String> {
    text.parse()
        .ok()
        .filter(|people| (1..=MOST_PEOPLE).contains(people))
        .ok_or_else(|| format!("a whole number from 1 to {MOST_PEOPLE}"))
}

/// From 1 to a million: each leaves its figures in memory.
fn replications(text: &str) -> Result<usize, String> {
    text.parse()
        .ok()
        .filter(|times| (1..=1_000_000).contains(times))
        .ok_or_else(|| "a whole number from 1 to 1000000".to_owned())
}

/// Arguments of `lot`.
#[derive(Debug, ClapArgs)]
#[command(group = ArgGroup::new("how_many").args(["sizes", "cars"]))]
pub struct LotArgs {
    /// The storm's folder
    #[arg(conflicts_with = "table")]
    pub folder: Option<PathBuf>,
    /// By the helper that storm.toml's [sample] names too: money and hours of the whole lot
    #[arg(long, conflicts_with = "table")]
    pub by_helper: bool,
    /// Degrees of freedom by Satterthwaite, where strata spread very differently
    #[arg(long, conflicts_with = "table")]
    pub satterthwaite: bool,
    /// Say how many more to count for this many per cent to either side
    #[arg(long, value_name = "PERCENT", default_value_t = 5.0)]
    pub within: f64,
    /// Write lot.csv and the estimate as a page for a browser and as PDF into this folder
    #[arg(long, value_name = "DIR", conflicts_with = "table")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// In place of a storm a table (CSV or workbook) with a row for each one that was counted
    #[arg(long, value_name = "FILE", requires_all = ["value", "how_many"], conflicts_with_all = ["card", "without_bad"])]
    pub table: Option<PathBuf>,
    /// The table's column whose total is asked for
    #[arg(long, value_name = "COLUMN", requires = "table")]
    pub value: Option<String>,
    /// The table's column that parts them into strata
    #[arg(long, value_name = "COLUMN", requires = "sizes")]
    pub stratum: Option<String>,
    /// A table `stratum, cars`: how many there are of each
    #[arg(long, value_name = "FILE", requires = "stratum", requires = "table")]
    pub sizes: Option<PathBuf>,
    /// How many there are in all, without strata
    #[arg(long, value_name = "N", requires = "table", value_parser = clap::value_parser!(u64).range(1..=10_000_000))]
    pub cars: Option<u64>,
    /// The table's column of a helper that is known of all, for the ratio estimator
    #[arg(long, value_name = "COLUMN", requires_all = ["known", "table"])]
    pub ratio: Option<String>,
    /// The helper's total over all of them
    #[arg(long, value_name = "TOTAL", requires = "ratio")]
    pub known: Option<f64>,
    /// Shared.
    #[command(flatten)]
    pub common: Common,
}

/// Arguments of `compare`.
#[derive(Debug, ClapArgs)]
pub struct CompareArgs {
    /// The storm's folder
    pub folder: Option<PathBuf>,
    /// A card to set beside those agreed; may be given several times
    #[arg(long = "card", value_name = "FILE", required = true)]
    pub cards: Vec<PathBuf>,
    /// Write the comparison as CSV, a page for a browser and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `recount`.
#[derive(Debug, ClapArgs)]
pub struct RecountArgs {
    /// The earlier count: a storm's folder or a lone sheet
    pub old: PathBuf,
    /// The later count: a storm's folder or a lone sheet
    pub new: PathBuf,
    /// The storm whose terms price both counts, and whose other cars stand
    #[arg(long, value_name = "FOLDER")]
    pub storm: Option<PathBuf>,
    /// Write the supplement as CSV, a page for a browser and PDF into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// The paper of the PDF
    #[arg(long, value_name = "SIZE", value_enum, default_value = "a4")]
    pub paper: Paper,
    /// Print JSON instead of text
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `start`.
#[derive(Debug, ClapArgs)]
pub struct StartArgs {
    /// The folder to make; it must be empty or not there yet
    pub folder: PathBuf,
    /// A lot list whose cars and payers are taken over
    #[arg(long, value_name = "FILE")]
    pub lot: Option<PathBuf>,
}

//! Files → a checked [`Storm`] and its [`Rates`], or every problem in them at once.
//!
//! The order is the order of the reading: storm.toml and its cards (faults
//! there stop everything), the vehicle list, the count sheets, the agreed
//! amounts, the names of the photos, the crew's own files, bills and receipts, and
//! then what only the whole can tell.

mod agreed_list;
mod bill_ledger;
mod car_cell;
mod card_file;
mod cells;
mod count_sheet;
mod crew_list;
mod csv_text;
mod day_cell;
mod draft;
mod eight_bytes;
mod finding;
mod folder;
mod grid_file;
mod guard;
mod header;
mod list_row;
mod lot_sizes;
mod names;
mod outliers;
mod paid_list;
mod panel_cell;
mod panel_draft;
mod panel_list;
mod pay_cell;
mod photo_files;
mod photo_list;
mod plain_sheet;
mod problem;
mod received_list;
mod resolve;
mod run_panels;
mod sample_table;
mod sheet_meta;
mod source;
mod storm_file;
mod table;
mod text_blocks;
mod toml_doc;
mod vehicle_list;
pub mod vin;
mod work_log;
mod workbook;
mod xls_guard;
mod xlsb_sheet;
mod xlsx_paths;

pub use bill_ledger::{COLUMNS as BILL_COLUMNS, bill_number};
pub use draft::SheetMeta;
pub use finding::Finding;
pub use folder::{Cars, CarsRead};
pub use outliers::{anscombe, deviations};
pub use photo_files::car_photos;
pub use problem::{Place, Problem, Problems, Severity, column_letters, printable, printable_long};
pub use resolve::{SoundCar, SoundCars};
pub use sample_table::{SampleRequest, SampleStratum, read_sample};
pub use source::{Disk, EntryKind, InMemory, ReadError, Source};

use crate::billing::BillTerms;
use crate::crew::TimeTerms;
use crate::money::Currency;
use crate::pay::PayTerms;
use crate::rates::{RateCard, Rates};
use crate::storm::{Agreed, BillingLog, CrewLog, Storm};
use folder::FolderReader;
use names::Names;
use std::collections::{BTreeMap, BTreeSet};

/// What came out of reading a storm.
#[derive(Debug, Default)]
pub struct Intake {
    /// The storm and its rates, with the sound cars only; `None` when
    /// storm.toml or a card is at fault. Where [`Problems::stops`], it is for
    /// further checks and not for pricing.
    pub storm: Option<(Storm, Rates)>,
    /// All that was found wrong or worth a look.
    pub problems: Problems,
    /// Cars with an error: their place in the lot and their stock, in lot order.
    pub left_out: Vec<(usize, String)>,
    /// The place in the lot of every car of the storm.
    pub positions: Vec<usize>,
    /// Cars of the storm, by index, one of whose agreed rows is at fault. They
    /// are still in it, so that their other rows can be checked; whoever
    /// prices takes them out first.
    pub agreed_at_fault: BTreeSet<usize>,
    /// The sheets that a [`crate::storm::Provenance`] points to.
    pub sheets: Vec<SheetMeta>,
    /// The files of every car that has photos, by its stock, which stays the
    /// same when other cars are left out; for [`car_photos`]. They are only
    /// listed here, since decoding them takes longer than pricing the storm.
    pub photos: BTreeMap<String, Vec<String>>,
    /// Shares off the top, and how the crew is paid.
    pub pay: PayTerms,
    /// The crew, its work log and its ledger.
    pub crew: CrewLog,
    /// What was found wrong in these three. A price does not need them, so
    /// they stand apart; whoever splits adds them to the others.
    pub crew_problems: Problems,
    /// How cars are billed.
    pub bill_terms: BillTerms,
    /// Decisions of payers, receipts and the bill ledger.
    pub billing: BillingLog,
    /// What was found wrong in the last two: a matter of bills and of who is
    /// paid out of what came in.
    pub billing_problems: Problems,
    /// Hours, time standard and bays.
    pub time: TimeTerms,
    /// What was found wrong in the days of the cars: a matter of the plan alone.
    pub plan_problems: Problems,
    /// What was found wrong in `lot.*` and in what it is held against: a matter
    /// of the estimate of the whole lot alone.
    pub lot_problems: Problems,
}

/// A rate card that is used instead of those that storm.toml names.
#[derive(Clone, Copy)]
pub struct CardInstead<'a> {
    /// Where it lies.
    pub source: &'a dyn Source,
    /// Its path there.
    pub path: &'a str,
}

/// Reads a storm's folder.
pub fn read_storm(source: &dyn Source, card: Option<CardInstead<'_>>) -> Intake {
    let read = with_storm(source, card, |reader, agreed| reader.finish(agreed));
    read.unwrap_or_else(Intake::of_problems)
}

/// Reads a storm's folder for whoever goes through its cars once: a region's
/// cars do not fit in memory together with all that may be said of them.
pub fn read_storm_cars<T>(
    source: &dyn Source,
    card: Option<CardInstead<'_>>,
    go_through: impl FnOnce(&mut Cars<'_>) -> T,
) -> CarsRead<T> {
    let read = with_storm(source, card, |reader, agreed| {
        let mut cars = Cars::new(reader, agreed);
        let made = go_through(&mut cars);
        cars.close(made)
    });
    read.unwrap_or_else(CarsRead::of_problems)
}

fn with_storm<T>(
    source: &dyn Source,
    card: Option<CardInstead<'_>>,
    then: impl FnOnce(FolderReader<'_>, Vec<Agreed>) -> T,
) -> Result<T, Problems> {
    let mut problems = Problems::default();
    let card = card.map(|card| (card.source, card.path));
    let Some(settings) = storm_file::read(source, card, &mut problems) else {
        return Err(problems);
    };
    let mut reader = FolderReader::new(source, &settings, problems);
    reader.vehicles();
    reader.counts();
    let agreed = reader.agreed();
    reader.photos();
    reader.lot();
    reader.crew();
    reader.billing();
    Ok(then(reader, agreed))
}

impl Intake {
    /// Of storm.toml or a card at fault: nothing but problems.
    fn of_problems(problems: Problems) -> Intake {
        Intake {
            problems,
            ..Intake::default()
        }
    }
}

impl<T> CarsRead<T> {
    /// Of storm.toml or a card at fault: nothing but problems.
    fn of_problems(problems: Problems) -> CarsRead<T> {
        CarsRead {
            made: None,
            problems,
            left_out: Vec::new(),
        }
    }
}

/// Reads count sheets against the settings and the lot list of a storm's
/// folder, in place of the folder's own counts: an adjuster's count, a recount
/// after strip. Cars without a count there are no matter for a caution.
pub fn read_counts(source: &dyn Source, sheets_in: &dyn Source, sheets: &[String]) -> Intake {
    let mut problems = Problems::default();
    let Some(settings) = storm_file::read(source, None, &mut problems) else {
        return Intake {
            problems,
            ..Intake::default()
        };
    };
    let mut reader = FolderReader::new(source, &settings, problems);
    reader.vehicles();
    reader.read_in_place(sheets_in, sheets);
    reader.finish(Vec::new())
}

/// A car of a lot list, as far as a new storm needs it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LotCar {
    /// The stock.
    pub stock: String,
    /// The row of the lot, as written.
    pub row: String,
    /// The body, as written.
    pub body: String,
    /// The payer, as written.
    pub payer: String,
}

/// Reads a lot list by itself, in lot order.
pub fn read_lot(source: &dyn Source, path: &str) -> (Vec<LotCar>, Problems) {
    folder::read_lot(source, path)
}

/// Reads one more card for a storm that was read; its new names are added to
/// the storm's.
pub fn read_card(card: CardInstead<'_>, storm: &mut Storm) -> (Option<RateCard>, Problems) {
    let mut problems = Problems::default();
    let mut names = Names::of(&storm.size_names, &storm.code_names);
    let read = storm_file::lone_card(card.source, card.path, &mut names, &mut problems);
    storm.size_names = names.sizes.all_written().to_vec();
    storm.code_names = names.codes.all_written().to_vec();
    (read, problems)
}

/// Count sheets that belong to no storm, on one card. The card lies in its own
/// source; the sheets are paths in theirs.
#[derive(Clone, Copy)]
pub struct LoneSheets<'a> {
    /// Where the sheets lie.
    pub source: &'a dyn Source,
    /// Their paths there.
    pub paths: &'a [String],
    /// What they are called together.
    pub name: &'a str,
    /// The currency they are priced in.
    pub currency: Currency,
    /// The card they are priced on.
    pub card: CardInstead<'a>,
}

/// Reads lone count sheets.
pub fn read_sheets(sheets: LoneSheets<'_>) -> Intake {
    let read = with_sheets(sheets, |reader| reader.finish(Vec::new()));
    read.unwrap_or_else(Intake::of_problems)
}

/// Reads lone count sheets for whoever goes through their cars once.
pub fn read_sheet_cars<T>(
    sheets: LoneSheets<'_>,
    go_through: impl FnOnce(&mut Cars<'_>) -> T,
) -> CarsRead<T> {
    let read = with_sheets(sheets, |reader| {
        let mut cars = Cars::new(reader, Vec::new());
        let made = go_through(&mut cars);
        cars.close(made)
    });
    read.unwrap_or_else(CarsRead::of_problems)
}

fn with_sheets<T>(
    sheets: LoneSheets<'_>,
    then: impl FnOnce(FolderReader<'_>) -> T,
) -> Result<T, Problems> {
    let mut problems = Problems::default();
    let mut names = Names::default();
    let card = sheets.card;
    let Some(card) = storm_file::lone_card(card.source, card.path, &mut names, &mut problems)
    else {
        return Err(problems);
    };
    let settings = storm_file::lone(sheets.name, sheets.currency, card, names);
    let mut reader = FolderReader::new(sheets.source, &settings, problems);
    reader.sheets(sheets.paths);
    Ok(then(reader))
}

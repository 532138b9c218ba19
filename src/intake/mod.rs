//! Files → a checked [`Storm`] and its [`Rates`], or every problem in them at once.
//!
//! The order is the order of the reading: storm.toml and its cards (faults
//! there stop everything), the vehicle list, the count sheets, the agreed
//! amounts, and then what only the whole can tell.

mod agreed_list;
mod car_cell;
mod card_file;
mod cells;
mod count_sheet;
mod csv_text;
mod draft;
mod folder;
mod grid_file;
mod guard;
mod header;
mod names;
mod outliers;
mod plain_sheet;
mod problem;
mod resolve;
mod source;
mod storm_file;
mod table;
mod toml_doc;
mod vehicle_list;
pub mod vin;
mod workbook;
mod xlsx_paths;

pub use draft::SheetMeta;
pub use outliers::{anscombe, deviations};
pub use problem::{Place, Problem, Problems, Severity, column_letters, printable, printable_long};
pub use source::{Disk, EntryKind, InMemory, ReadError, Source};

use crate::money::Currency;
use crate::rates::Rates;
use crate::storm::Storm;
use folder::{COUNT_ORDER, FolderReader};
use names::Names;
use std::collections::BTreeSet;

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
    let mut problems = Problems::default();
    let card = card.map(|card| (card.source, card.path));
    let Some(settings) = storm_file::read(source, card, &mut problems) else {
        return Intake {
            problems,
            ..Intake::default()
        };
    };
    let mut reader = FolderReader::new(source, &settings, problems);
    reader.vehicles();
    reader.counts();
    let agreed = reader.agreed();
    reader.finish(agreed)
}

/// Reads count sheets that belong to no storm, on one card. The card lies in
/// its own source; the sheets are paths in theirs.
pub fn read_sheets(
    source: &dyn Source,
    sheets: &[String],
    name: &str,
    currency: Currency,
    card: CardInstead<'_>,
) -> Intake {
    let mut problems = Problems::default();
    let mut names = Names::default();
    let Some(card) = storm_file::lone_card(card.source, card.path, &mut names, &mut problems)
    else {
        return Intake {
            problems,
            ..Intake::default()
        };
    };
    let settings = storm_file::lone(name, currency, card, names);
    let mut reader = FolderReader::new(source, &settings, problems);
    for (index, sheet) in sheets.iter().enumerate() {
        let order = u32::try_from(index)
            .unwrap_or(u32::MAX)
            .saturating_add(COUNT_ORDER);
        reader.count_file(sheet, order);
    }
    reader.finish(Vec::new())
}

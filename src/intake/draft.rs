//! Cars as they come together from many sheets, before they are checked as a whole.

pub use super::sheet_meta::SheetMeta;

use super::header::{ListColumn, Role};
use super::panel_draft::PanelDraft;
use super::panel_list::{PanelRef, StoredPanel};
use super::problem::{Place, Problem, Problems, Severity};
use super::run_panels::{Panels, RunPanels};
use super::storm_file::Repeated;
use crate::storm::words;
use crate::storm::{CodeId, Provenance};
use compact_str::CompactString;
use hashbrown::{DefaultHashBuilder, HashTable};
use std::collections::{BTreeSet, HashMap};
use std::hash::BuildHasher;
use std::ops::Range;

/// A value of the vehicle list for one car, as written.
#[derive(Debug, Clone)]
pub struct Fact {
    /// Which column.
    pub column: ListColumn,
    /// What stands there.
    pub text: CompactString,
    /// Where.
    pub source: Provenance,
}

/// A removal that a car as a whole wants.
#[derive(Debug, Clone, Copy)]
pub struct CarRemoval {
    /// The code.
    pub code: CodeId,
    /// Where it is listed.
    pub source: Provenance,
}

/// One car as its rows have told so far.
#[derive(Debug, Clone, Default)]
pub struct CarDraft {
    /// The stock.
    pub stock: CompactString,
    /// Where it stands in the vehicle list.
    pub listed: Option<Provenance>,
    /// What the list, or without a list the count sheets, say of it.
    pub facts: Vec<Fact>,
    /// Its panels, in order of appearance.
    panels: CarPanels,
    /// What only car rows tell.
    of_car: Option<Box<OfCar>>,
    /// Where a count sheet first speaks of it.
    pub first_row: Option<Provenance>,
    /// Whether a count sheet speaks of it, soundly or not.
    pub spoken_of: bool,
    /// Whether an error stands against it.
    pub bad: bool,
}

/// Where a car's panels are.
#[derive(Debug, Clone)]
enum CarPanels {
    /// Among those of a block: of most cars of a region all rows stand together.
    Run {
        block: u32,
        first: u32,
        panels: u32,
        /// The row of the first.
        row: u32,
    },
    /// By themselves.
    Own(Vec<StoredPanel>),
}

impl Default for CarPanels {
    fn default() -> CarPanels {
        CarPanels::Own(Vec::new())
    }
}

/// What car rows tell of the car as a whole.
#[derive(Debug, Clone, Default)]
pub struct OfCar {
    /// Removals by car.
    pub removals: Vec<CarRemoval>,
    /// A remark.
    pub note: String,
}

impl CarDraft {
    /// A value of the list.
    #[must_use]
    pub fn fact(&self, column: ListColumn) -> Option<&Fact> {
        self.facts.iter().find(|fact| fact.column == column)
    }

    /// Removals by car.
    #[must_use]
    pub fn removals(&self) -> &[CarRemoval] {
        self.of_car.as_ref().map_or(&[], |of_car| &of_car.removals)
    }

    /// A remark on the car.
    #[must_use]
    pub fn note(&self) -> &str {
        self.of_car.as_ref().map_or("", |of_car| &of_car.note)
    }

    /// What car rows tell, to add to it.
    pub fn of_car_mut(&mut self) -> &mut OfCar {
        self.of_car.get_or_insert_default()
    }
}

/// Where a stock is. The hash stands beside the car, so that the table can grow
/// without a look at a million stocks.
#[derive(Debug, Clone, Copy)]
struct StockAt {
    car: u32,
    hash: u32,
}

impl StockAt {
    fn short(hash: u64) -> u32 {
        (hash >> 32) as u32
    }

    /// The short hash over all bits, of which the table uses both ends.
    fn spread(short: u32) -> u64 {
        u64::from(short).wrapping_mul(0x9e37_79b9_7f4a_7c15)
    }
}

/// All cars, all sheets, and the problems met on the way.
#[derive(Debug, Default)]
pub struct Drafts {
    /// In lot order.
    pub cars: Vec<CarDraft>,
    /// Sheets read so far.
    pub sheets: Vec<SheetMeta>,
    /// Whether there is a vehicle list.
    pub has_list: bool,
    /// Whether only some cars are to be counted at all.
    pub partial: bool,
    /// Whether there is one that can't be read: then nothing is said of what
    /// it would have told.
    pub list_unreadable: bool,
    /// Cars whose counts are sound but one of whose agreed rows is not.
    pub agreed_at_fault: BTreeSet<usize>,
    /// The cars by their stock.
    by_stock: HashTable<StockAt>,
    /// Panels that stay as they were read, block by block.
    blocks: Vec<RunPanels>,
    /// Whether a car has panels in the last of them.
    is_block_used: bool,
    hasher: DefaultHashBuilder,
    by_folded: Option<HashMap<String, Vec<usize>>>,
    /// Stocks that the list lacks, by their loose spelling: as written, and in which file.
    unknown: HashMap<String, (String, String)>,
}

impl Drafts {
    /// What hashes stocks for [`Drafts::find_hashed`], also on other threads.
    #[must_use]
    pub fn hasher(&self) -> DefaultHashBuilder {
        self.hasher.clone()
    }

    /// The car of a stock.
    #[must_use]
    pub fn find(&self, stock: &str) -> Option<usize> {
        self.find_hashed(stock, self.hasher.hash_one(stock))
    }

    /// The same where the hash is known.
    #[must_use]
    pub fn find_hashed(&self, stock: &str, hash: u64) -> Option<usize> {
        let short = StockAt::short(hash);
        let is_it = |at: &StockAt| at.hash == short && self.cars[at.car as usize].stock == stock;
        let found = self.by_stock.find(StockAt::spread(short), is_it);
        found.map(|at| at.car as usize)
    }

    /// The cars of many stocks. They lie far apart in memory: looked for in one go,
    /// first by hash alone, they are waited for together.
    #[must_use]
    pub fn find_all_hashed(&self, stocks: &[(&str, u64)]) -> Vec<Option<usize>> {
        let likely = stocks.iter().map(|(_, hash)| {
            let short = StockAt::short(*hash);
            let found = self
                .by_stock
                .find(StockAt::spread(short), |at| at.hash == short);
            found.map(|at| at.car as usize)
        });
        let likely: Vec<Option<usize>> = likely.collect();
        let is_it = |car: usize, stock: &str| self.cars[car].stock == stock;
        let stocks = stocks.iter().zip(likely);
        stocks
            .map(|((stock, hash), likely)| match likely {
                Some(car) if !is_it(car, stock) => self.find_hashed(stock, *hash),
                likely => likely,
            })
            .collect()
    }

    /// Adds a car at the end of the lot order.
    pub fn add(&mut self, stock: &str) -> usize {
        self.add_hashed(CompactString::new(stock), self.hasher.hash_one(stock))
    }

    /// The same where the hash is known.
    pub fn add_hashed(&mut self, stock: CompactString, hash: u64) -> usize {
        let index = self.cars.len();
        self.by_folded = None;
        self.cars.push(CarDraft {
            stock,
            ..CarDraft::default()
        });
        let at = StockAt {
            // A lot of more cars than fit in 32 bits does not fit in memory either.
            car: u32::try_from(index).expect("bug: more cars than memory can hold"),
            hash: StockAt::short(hash),
        };
        self.by_stock
            .insert_unique(StockAt::spread(at.hash), at, |at| StockAt::spread(at.hash));
        index
    }

    /// The panels of a car, in order of appearance.
    #[must_use]
    pub fn panels<'a>(&'a self, car: &'a CarDraft) -> Panels<'a> {
        match &car.panels {
            CarPanels::Own(panels) => Panels::own(panels),
            &CarPanels::Run {
                block,
                first,
                panels,
                row,
            } => {
                let first = first as usize;
                self.blocks[block as usize].run(first..first + panels as usize, row)
            }
        }
    }

    /// The same, to change them.
    fn panels_mut(&mut self, car: usize) -> &mut Vec<StoredPanel> {
        if let CarPanels::Run { .. } = self.cars[car].panels {
            let panels = self.panels(&self.cars[car]).iter();
            let panels = panels.map(|panel| panel.stored()).collect();
            self.cars[car].panels = CarPanels::Own(panels);
        }
        match &mut self.cars[car].panels {
            CarPanels::Own(panels) => panels,
            CarPanels::Run { .. } => unreachable!("bug: the panels were just made its own"),
        }
    }

    /// Opens a block of panels: cars can be given those of it that follow each other.
    pub fn open_block(&mut self, panels: RunPanels) {
        self.blocks.push(panels);
        self.is_block_used = false;
    }

    /// Gives a car panels of the block that was opened last, none of which it has.
    /// The first stands in `row`, each of the others in the row below.
    pub fn give_run(&mut self, car: usize, run: Range<usize>, row: u32) {
        let block = self.blocks.len() - 1;
        let is_new = self.panels(&self.cars[car]).is_empty();
        let place = (u32::try_from(block), u32::try_from(run.start));
        if let (true, (Ok(block), Ok(first))) = (is_new && run.len() >= LONG_RUN, place) {
            self.is_block_used = true;
            self.cars[car].panels = CarPanels::Run {
                block,
                first,
                panels: run.len() as u32,
                row,
            };
            return;
        }
        // The block is lent while the car's panels grow.
        let mut own = std::mem::take(self.panels_mut(car));
        if !is_new && own.capacity() < MOST_PANELS {
            // The rows of the car lie apart: most of them are still to come.
            own.reserve_exact(MOST_PANELS - own.len());
        }
        let run = self.blocks[block].run(run, row);
        own.extend(run.iter().map(|panel| panel.stored()));
        self.cars[car].panels = CarPanels::Own(own);
    }

    /// Closes it: it is kept where a car has panels in it.
    pub fn close_block(&mut self) {
        match self.blocks.last_mut() {
            Some(block) if self.is_block_used => block.shrink_to_fit(),
            _ => drop(self.blocks.pop()),
        }
    }

    /// Cars whose stock differs only in case, zeros or spaces; the first few.
    pub fn near_misses(&mut self, stock: &str) -> Vec<usize> {
        let cars = &self.cars;
        let by_folded = self.by_folded.get_or_insert_with(|| {
            let mut map: HashMap<String, Vec<usize>> = HashMap::new();
            for (index, car) in cars.iter().enumerate() {
                map.entry(loose(&car.stock)).or_default().push(index);
            }
            map
        });
        let near = by_folded.get(&loose(stock)).map_or(&[][..], Vec::as_slice);
        near.iter().copied().take(MOST_NEAR).collect()
    }

    /// Remembers a stock of a count sheet that the list lacks.
    pub fn note_unknown(&mut self, stock: &str, file: &str) {
        self.unknown
            .entry(loose(stock))
            .or_insert_with(|| (stock.to_owned(), file.to_owned()));
    }

    /// A stock that the list lacks and that differs from this one only in
    /// case, zeros or spaces, with its file.
    #[must_use]
    pub fn unknown_near(&self, stock: &str) -> Option<(String, String)> {
        self.unknown.get(&loose(stock)).cloned()
    }

    /// Adds a sheet; its index goes into every [`Provenance`] of it.
    pub fn add_sheet(&mut self, sheet: SheetMeta) -> u32 {
        self.sheets.push(sheet);
        u32::try_from(self.sheets.len() - 1).unwrap_or(u32::MAX)
    }

    /// The place of a provenance, and of the column that has a role.
    #[must_use]
    pub fn place(&self, source: Provenance, is_role: impl Fn(Role) -> bool) -> Place {
        self.sheets[source.sheet as usize].place(source.row, is_role)
    }

    /// Takes in the count of one panel, by the rule for repeated ones.
    /// `written` is how the sheet names the panel.
    pub fn take_panel(
        &mut self,
        car: usize,
        draft: PanelDraft,
        written: &str,
        repeated: Repeated,
        problems: &mut Problems,
    ) {
        let panels = self.panels(&self.cars[car]).iter();
        let mut known = panels.enumerate();
        let Some((known, first)) = known.find(|(_, known)| known.panel() == draft.panel) else {
            let draft = self.pack(draft);
            self.panels_mut(car).push(draft);
            return;
        };
        let first = first.source();
        let same_sheet = draft.adds_up && first.sheet == draft.source.sheet;
        match repeated {
            _ if same_sheet => self.join(car, known, draft, problems),
            Repeated::Add => self.join(car, known, draft, problems),
            Repeated::Last => {
                let draft = self.pack(draft);
                self.panels_mut(car)[known] = draft;
            }
            Repeated::Refuse => {
                let sheet = &self.sheets[first.sheet as usize];
                let sheet_word = sheet
                    .sheet
                    .as_ref()
                    .map_or(String::new(), |name| format!(", sheet {name}"));
                let expected = format!(
                    "a stock and panel once; first at row {} of {}{sheet_word} (`[intake] repeated` can add them or take the last)",
                    first.row, sheet.file
                );
                let role = move |role: Role| {
                    matches!(role, Role::Panel)
                        || matches!(role, Role::PanelCell(panel) if panel == draft.panel)
                };
                let place = self.place(draft.source, role);
                self.error(car, place, written, expected, None, problems);
            }
        }
    }

    fn join(&mut self, car: usize, known: usize, draft: PanelDraft, problems: &mut Problems) {
        let source = draft.source;
        let panel = draft.panel;
        let mut panels = self.panels(&self.cars[car]).iter();
        let before = panels.nth(known).expect("bug: a panel that was just seen");
        let mut joined = self.unpack(before);
        if let Err((role, found, expected)) = joined.join(draft) {
            let place = self.place(source, |at| {
                at == role || matches!(at, Role::PanelCell(cell) if cell == panel)
            });
            self.error(car, place, found, expected, None, problems);
        }
        let joined = self.pack(joined);
        self.panels_mut(car)[known] = joined;
    }

    fn pack(&self, draft: PanelDraft) -> StoredPanel {
        let sheet = &self.sheets[draft.source.sheet as usize];
        StoredPanel::pack(draft, &sheet.classes)
    }

    /// All that was said of a panel.
    #[must_use]
    pub fn unpack(&self, panel: PanelRef<'_>) -> PanelDraft {
        panel.unpack(&self.sheets[panel.source().sheet as usize].classes)
    }

    /// An error of one car.
    pub fn error(
        &mut self,
        car: usize,
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        meant: Option<String>,
        problems: &mut Problems,
    ) {
        self.cars[car].bad = true;
        problems.push(Problem {
            severity: Severity::Error,
            place,
            found: found.into(),
            expected: expected.into(),
            meant,
            stock: Some(self.cars[car].stock.to_string()),
        });
    }

    /// A caution about one car.
    pub fn caution(
        &self,
        car: usize,
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        problems: &mut Problems,
    ) {
        problems.push(Problem {
            severity: Severity::Caution,
            place,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: Some(self.cars[car].stock.to_string()),
        });
    }
}

/// Fewer panels than this are better moved than the rest of their block kept.
const LONG_RUN: usize = 4;
/// Room for the panels of a car whose rows lie apart: few have more.
const MOST_PANELS: usize = 16;

/// How many near misses of a stock are named.
const MOST_NEAR: usize = 5;

/// A stock without case, spaces and leading zeros: what people mix up.
fn loose(stock: &str) -> String {
    let folded = words::fold(stock);
    folded.trim_start_matches('0').to_owned()
}

//! Cars as they come together from many sheets, before they are checked as a whole.

use super::header::{Column, ListColumn, Role};
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Repeated;
use crate::storm::words;
use crate::storm::{Access, CodeId, Metal, Paint, Panel, Provenance, SizeId};
use crate::units::Millimetres;
use std::collections::{BTreeSet, HashMap};

/// A sheet that was read: what a [`Provenance`] points to.
#[derive(Debug, Clone)]
pub struct SheetMeta {
    /// Reading order of its file.
    pub order: u32,
    /// The file.
    pub file: String,
    /// The sheet, in workbooks.
    pub sheet: Option<String>,
    /// Its columns.
    pub columns: Vec<Column>,
}

impl SheetMeta {
    /// The place of a row, and of the column that has a role, where one has.
    #[must_use]
    pub fn place(&self, row: u32, is_role: impl Fn(Role) -> bool) -> Place {
        let column = self.columns.iter().find(|column| is_role(column.role));
        self.place_at(
            row,
            column.map(|column| (column.index, column.header.as_str())),
        )
    }

    /// The place of a row and of a column by its word: of a list's column, or
    /// of a count sheet's stock.
    #[must_use]
    pub fn place_of(&self, row: u32, word: &str) -> Place {
        self.place(row, |role| match role {
            Role::Named(name) => name == word,
            Role::Stock => word == "stock",
            _ => false,
        })
    }

    /// The place of a row and, where one is given, a column.
    #[must_use]
    pub fn place_at(&self, row: u32, column: Option<(usize, &str)>) -> Place {
        Place {
            order: self.order,
            file: self.file.clone(),
            sheet: self.sheet.clone(),
            row: Some(row),
            column_index: column.and_then(|(index, _)| u32::try_from(index).ok()),
            column: column.map(|(_, header)| header.to_owned()),
        }
    }
}

/// Dents of a measured diameter, and whether the `oversize` column held them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MeasuredDraft {
    /// The diameter.
    pub diameter: Millimetres,
    /// How many.
    pub dents: u32,
    /// Whether they stood as oversize.
    pub as_oversize: bool,
}

/// One panel of one car as its rows have told so far.
#[derive(Debug, Clone)]
pub struct PanelDraft {
    /// Which panel.
    pub panel: Panel,
    /// Dents by class name.
    pub sized: Vec<(SizeId, u32)>,
    /// Measured dents.
    pub measured: Vec<MeasuredDraft>,
    /// The metal, where one was said, and in which row.
    pub metal: Option<(Metal, u32)>,
    /// The access, where one was said, and in which row.
    pub access: Option<(Access, u32)>,
    /// Removals.
    pub removals: Vec<CodeId>,
    /// Referred by the counter.
    pub conventional: bool,
    /// Dents not of this storm.
    pub prior: u32,
    /// The paint.
    pub paint: Paint,
    /// A remark.
    pub note: String,
    /// Who counted.
    pub counted_by: String,
    /// When.
    pub counted_on: String,
    /// Where it stands first.
    pub source: Provenance,
    /// Whether rows of this sheet add up by themselves (dent rows).
    pub adds_up: bool,
}

impl PanelDraft {
    /// A panel of which nothing is said yet.
    #[must_use]
    pub fn new(panel: Panel, source: Provenance) -> PanelDraft {
        PanelDraft {
            panel,
            sized: Vec::new(),
            measured: Vec::new(),
            metal: None,
            access: None,
            removals: Vec::new(),
            conventional: false,
            prior: 0,
            paint: Paint::default(),
            note: String::new(),
            counted_by: String::new(),
            counted_on: String::new(),
            source,
            adds_up: false,
        }
    }

    /// Adds dents of a class; none leaves no trace.
    pub fn add_sized(&mut self, size: SizeId, dents: u32) {
        if dents == 0 {
            return;
        }
        match self.sized.iter_mut().find(|(known, _)| *known == size) {
            Some((_, total)) => *total = total.saturating_add(dents),
            None => self.sized.push((size, dents)),
        }
    }

    /// Adds measured dents; the same diameter adds up.
    pub fn add_measured(&mut self, diameter: Millimetres, dents: u32, as_oversize: bool) {
        if dents == 0 {
            return;
        }
        // Past the most dents of a panel the sizes no longer matter: the count
        // is an error, and only its total is kept.
        let full = self.measured.len() > super::resolve::MAX_DENTS as usize;
        let same = if full {
            Some(0)
        } else {
            self.measured
                .iter()
                .position(|known| known.diameter == diameter && known.as_oversize == as_oversize)
        };
        match same {
            Some(at) => self.measured[at].dents = self.measured[at].dents.saturating_add(dents),
            None => self.measured.push(MeasuredDraft {
                diameter,
                dents,
                as_oversize,
            }),
        }
    }

    /// Adds a removal, once.
    pub fn add_removal(&mut self, code: CodeId) {
        if !self.removals.contains(&code) {
            self.removals.push(code);
        }
    }

    /// All dents, in classes and measured.
    #[must_use]
    pub fn total(&self) -> u32 {
        let sized = self.sized.iter().map(|(_, dents)| *dents);
        let measured = self.measured.iter().map(|measured| measured.dents);
        sized.chain(measured).fold(0, u32::saturating_add)
    }

    /// Joins another count of the same panel into this one: counts, prior and
    /// lists join, conventional if either, the worse paint. `Err` names the
    /// role in which they do not agree.
    fn join(&mut self, other: PanelDraft) -> Result<(), (Role, String, String)> {
        if let (Some((mine, row)), Some((theirs, _))) = (self.metal, other.metal)
            && mine != theirs
        {
            return Err((
                Role::Metal,
                theirs.word().to_owned(),
                format!("one metal a panel; row {row} says {}", mine.word()),
            ));
        }
        if let (Some((mine, row)), Some((theirs, _))) = (self.access, other.access)
            && mine != theirs
        {
            return Err((
                Role::Access,
                theirs.word().to_owned(),
                format!("one access a panel; row {row} says {}", mine.word()),
            ));
        }
        self.metal = self.metal.or(other.metal);
        self.access = self.access.or(other.access);
        for (size, dents) in other.sized {
            self.add_sized(size, dents);
        }
        for measured in other.measured {
            self.add_measured(measured.diameter, measured.dents, measured.as_oversize);
        }
        for code in other.removals {
            self.add_removal(code);
        }
        self.conventional |= other.conventional;
        self.prior = self.prior.saturating_add(other.prior);
        self.paint = self.paint.max(other.paint);
        for (mine, theirs) in [
            (&mut self.note, other.note),
            (&mut self.counted_by, other.counted_by),
            (&mut self.counted_on, other.counted_on),
        ] {
            if mine.is_empty() {
                *mine = theirs;
            } else if !theirs.is_empty() && !mine.split("; ").any(|part| part == theirs) {
                mine.push_str("; ");
                mine.push_str(&theirs);
            }
        }
        Ok(())
    }
}

/// A value of the vehicle list for one car, as written.
#[derive(Debug, Clone)]
pub struct Fact {
    /// Which column.
    pub column: ListColumn,
    /// What stands there.
    pub text: String,
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
    pub stock: String,
    /// Where it stands in the vehicle list.
    pub listed: Option<Provenance>,
    /// What the list, or without a list the count sheets, say of it.
    pub facts: Vec<Fact>,
    /// Its panels, in order of appearance.
    pub panels: Vec<PanelDraft>,
    /// Removals by car.
    pub removals: Vec<CarRemoval>,
    /// A remark.
    pub note: String,
    /// Whether a count sheet speaks of it, soundly or not.
    pub spoken_of: bool,
    /// Where a count sheet first speaks of it.
    pub first_row: Option<Provenance>,
    /// Whether an error stands against it.
    pub bad: bool,
}

impl CarDraft {
    /// A value of the list.
    #[must_use]
    pub fn fact(&self, column: ListColumn) -> Option<&Fact> {
        self.facts.iter().find(|fact| fact.column == column)
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
    by_stock: HashMap<String, usize>,
    by_folded: Option<HashMap<String, Vec<usize>>>,
    /// Stocks that the list lacks, by their loose spelling: as written, and in which file.
    unknown: HashMap<String, (String, String)>,
}

impl Drafts {
    /// The car of a stock.
    #[must_use]
    pub fn find(&self, stock: &str) -> Option<usize> {
        self.by_stock.get(stock).copied()
    }

    /// Adds a car at the end of the lot order.
    pub fn add(&mut self, stock: &str) -> usize {
        let index = self.cars.len();
        self.by_stock.insert(stock.to_owned(), index);
        self.by_folded = None;
        self.cars.push(CarDraft {
            stock: stock.to_owned(),
            ..CarDraft::default()
        });
        index
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
        let known = self.cars[car]
            .panels
            .iter()
            .position(|known| known.panel == draft.panel);
        let Some(known) = known else {
            self.cars[car].panels.push(draft);
            return;
        };
        let first = self.cars[car].panels[known].source;
        let same_sheet = draft.adds_up && first.sheet == draft.source.sheet;
        match repeated {
            _ if same_sheet => self.join(car, known, draft, problems),
            Repeated::Add => self.join(car, known, draft, problems),
            Repeated::Last => self.cars[car].panels[known] = draft,
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
        if let Err((role, found, expected)) = self.cars[car].panels[known].join(draft) {
            let place = self.place(source, |at| {
                at == role || matches!(at, Role::PanelCell(cell) if cell == panel)
            });
            self.error(car, place, found, expected, None, problems);
        }
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
            stock: Some(self.cars[car].stock.clone()),
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
            stock: Some(self.cars[car].stock.clone()),
        });
    }
}

/// How many near misses of a stock are named.
const MOST_NEAR: usize = 5;

/// A stock without case, spaces and leading zeros: what people mix up.
fn loose(stock: &str) -> String {
    let folded = words::fold(stock);
    folded.trim_start_matches('0').to_owned()
}

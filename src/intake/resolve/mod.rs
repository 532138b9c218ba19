//! Drafts → checked cars. What only the whole can tell is told here: a class
//! that the car's own card lacks, a car without counts, a panel too many.

mod panels;
mod vehicle;

use super::draft::Drafts;
use super::header::{ListColumn, Role};
use super::outliers::{self, Neighbours};
use super::panel_list::{PanelRef, PlainPanel};
use super::problem::{Place, Problem, Problems, Severity};
use super::run_panels::PanelsIter;
use super::storm_file::Settings;
use crate::money::Currency;
use crate::rates::RateCard;
use crate::storm::words;
use crate::storm::{Body, Car, Panel, PanelCount, PlainCount, Provenance, SizeId};
use panels::count_of;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// The most dents on a panel.
pub const MAX_DENTS: u32 = 9_999;

/// The checked cars, and which draft each came from.
pub struct Resolved {
    /// In lot order, without the bad ones.
    pub cars: Vec<Car>,
    /// Index into the drafts, per car.
    pub drafts: Vec<usize>,
}

/// What was found of some cars.
#[derive(Debug, Default)]
pub struct Findings {
    /// What is wrong, or worth a look.
    pub problems: Problems,
    /// What is wrong with the days of the cars: no matter of their price.
    pub plan_problems: Problems,
    /// Drafts with an error.
    bad: Vec<usize>,
    /// Sheets whose `dents, size` stand under a card that does not price by the predominant class.
    one_size_sheets: BTreeSet<u32>,
    /// The counts of the sound cars.
    neighbours: Neighbours,
}

impl Findings {
    /// Adds what was found of later cars.
    fn join(&mut self, later: Findings) {
        self.problems.join(later.problems);
        self.plan_problems.join(later.plan_problems);
        self.bad.extend(later.bad);
        self.one_size_sheets.extend(later.one_size_sheets);
        self.neighbours.join(later.neighbours);
    }
}

/// Cars that one thread checks in one go.
pub const CHUNK: usize = 16_384;

/// Checks every draft, on all cores, and gives the sound cars chunk by chunk to
/// `visit`, each chunk with its own of `slots`. Bad cars are marked in the
/// drafts; what was found stands in lot order, whatever the number of cores.
pub fn each_chunk<S: Send, T: Send>(
    drafts: &mut Drafts,
    settings: &Settings,
    problems: &mut Problems,
    plan_problems: &mut Problems,
    slots: Vec<S>,
    visit: impl Fn(S, &mut SoundCars<'_>) -> T + Sync,
) -> Vec<T> {
    debug_assert_eq!(slots.len(), drafts.cars.len().div_ceil(CHUNK));
    let checked: Vec<(T, Findings)> = slots
        .into_par_iter()
        .enumerate()
        .map(|(chunk, slot)| {
            let mut cars = SoundCars::new(settings, drafts, chunk);
            let made = visit(slot, &mut cars);
            (made, cars.resolver.found)
        })
        .collect();
    let mut found = Findings::default();
    let mut all = Vec::with_capacity(checked.len());
    for (made, of_chunk) in checked {
        all.push(made);
        found.join(of_chunk);
    }
    for &car in &found.bad {
        drafts.cars[car].bad = true;
    }
    problems.join(found.problems);
    plan_problems.join(found.plan_problems);
    event_maxima(drafts, settings, problems);
    one_size_cautions(drafts, &found.one_size_sheets, problems);
    outliers::report(&found.neighbours, drafts, problems);
    all
}

/// Checks every draft and keeps the sound cars.
pub fn resolve(
    drafts: &mut Drafts,
    settings: &Settings,
    problems: &mut Problems,
    plan_problems: &mut Problems,
) -> Resolved {
    let slots = vec![(); drafts.cars.len().div_ceil(CHUNK)];
    let chunks = each_chunk(
        drafts,
        settings,
        problems,
        plan_problems,
        slots,
        |(), sound| {
            let mut kept = Vec::new();
            while let Some(sound) = sound.next() {
                kept.push((sound.place, sound.whole()));
            }
            kept
        },
    );
    let (drafts, cars) = chunks.into_iter().flatten().unzip();
    Resolved { cars, drafts }
}

/// The sound cars of one chunk of the lot, one after the other.
pub struct SoundCars<'a> {
    resolver: Resolver<'a>,
    left: std::ops::Range<usize>,
    car: Car,
    plain: Vec<PlainCount>,
}

/// A car against which nothing stands.
pub struct SoundCar<'s> {
    /// Its place in the lot.
    pub place: usize,
    /// The car. Of its panels it has those of which more was said than a
    /// [`PlainCount`] holds.
    pub car: &'s Car,
    /// Its other panels.
    pub plain: &'s [PlainCount],
    drafts: &'s Drafts,
}

impl SoundCar<'_> {
    /// A plain panel's count as any other one.
    #[must_use]
    pub fn count(&self, plain: &PlainCount) -> PanelCount {
        plain.whole(self.classes(plain))
    }

    /// The classes that a plain panel's dents are counted by.
    #[must_use]
    pub fn classes(&self, plain: &PlainCount) -> &[SizeId] {
        &self.drafts.sheets[plain.source.sheet as usize].classes
    }

    /// The car with all its panels in panel order.
    #[must_use]
    pub fn whole(&self) -> Car {
        let car = self.car;
        let plain = self.plain.iter().map(|plain| self.count(plain));
        let mut panels: Vec<PanelCount> = plain.chain(car.panels.iter().cloned()).collect();
        panels.sort_by_key(|count| count.panel);
        Car {
            vehicle: car.vehicle.clone(),
            panels,
            removals: car.removals.clone(),
            counted: car.counted,
            note: car.note.clone(),
        }
    }
}

impl<'a> SoundCars<'a> {
    fn new(settings: &'a Settings, drafts: &'a Drafts, chunk: usize) -> SoundCars<'a> {
        let end = ((chunk + 1) * CHUNK).min(drafts.cars.len());
        SoundCars {
            resolver: Resolver {
                settings,
                drafts,
                found: Findings::default(),
                is_bad: false,
                is_bare: false,
                quiet: Vec::new(),
            },
            left: chunk * CHUNK..end,
            car: Car::default(),
            plain: Vec::new(),
        }
    }

    /// The next one. The car is one and the same, filled anew.
    #[allow(clippy::should_implement_trait)] // the car is lent
    pub fn next(&mut self) -> Option<SoundCar<'_>> {
        loop {
            let place = self.left.next()?;
            let resolver = &mut self.resolver;
            resolver.is_bad = resolver.drafts.cars[place].bad;
            resolver.car(place, &mut self.car, &mut self.plain);
            if resolver.is_bad {
                resolver.found.bad.push(place);
                continue;
            }
            resolver.found.neighbours.add(&self.car, &self.plain);
            return Some(SoundCar {
                place,
                car: &self.car,
                plain: &self.plain,
                drafts: resolver.drafts,
            });
        }
    }
}

/// That an amount is finer than the currency.
#[must_use]
pub fn no_finer(currency: Currency) -> String {
    match currency.places() {
        0 => "no finer than the currency, which has no decimals".to_owned(),
        places => format!("no finer than the currency's {places} places"),
    }
}

struct Resolver<'a> {
    settings: &'a Settings,
    drafts: &'a Drafts,
    found: Findings,
    /// Whether an error stands against the car at hand.
    is_bad: bool,
    /// Whether nothing but its stock and its payer was said of the car before.
    is_bare: bool,
    /// By payer and sheet: one bit for every panel, body and set of classes with
    /// dents of which nothing was to be said.
    quiet: Vec<Option<Box<[u64; QUIET_WORDS]>>>,
}

/// Bits for every panel, body and set of eight classes.
const QUIET_WORDS: usize = Panel::ALL.len() * Body::ALL.len() * 256 / 64;

impl Resolver<'_> {
    fn error(
        &mut self,
        car: usize,
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
        meant: Option<String>,
    ) {
        self.is_bad = true;
        self.found.problems.push(Problem {
            severity: Severity::Error,
            place,
            found: found.into(),
            expected: expected.into(),
            meant,
            stock: Some(self.drafts.cars[car].stock.to_string()),
        });
    }

    fn caution(
        &mut self,
        car: usize,
        place: Place,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.drafts
            .caution(car, place, found, expected, &mut self.found.problems);
    }

    /// Fills in a car; of its panels the plain ones go to `plain`.
    fn car(&mut self, index: usize, car: &mut Car, plain: &mut Vec<PlainCount>) {
        let payer = self.payer(index);
        self.vehicle(index, payer.unwrap_or(0), &mut car.vehicle);
        self.uncounted(index);
        car.panels.clear();
        plain.clear();
        car.removals.clear();
        car.counted = false;
        car.note.clear();
        // Without a payer there is no card to check the count against.
        let Some(payer) = payer else { return };
        let drafts = self.drafts;
        let draft = &drafts.cars[index];
        let panels = drafts.panels(draft);
        car.counted = !panels.is_empty() || !draft.removals().is_empty();
        car.note.push_str(draft.note());
        let card = self.settings.rates.card_of(payer);
        let body = car.vehicle.body;
        let mut has_dents = false;
        let mut listed = None;
        let mut panels = panels.iter();
        while let Some(stored) = self.next_to_check(&mut panels, payer, body, plain) {
            if let PanelRef::Plain(packed) = stored
                && packed.total() <= MAX_DENTS
            {
                self.plain_panel(index, packed, card, payer, body);
                plain.push(packed.count());
                continue;
            }
            let panel = drafts.unpack(stored);
            self.panel(index, &panel, card, body);
            has_dents |= panel.total() > 0 && !panel.conventional;
            let is_first = listed.is_none_or(|(_, first, _)| panel.panel < first);
            if let (true, Some(code)) = (is_first, panel.removals.first()) {
                listed = Some((panel.source, panel.panel, *code));
            }
            car.panels.push(count_of(panel));
        }
        has_dents |= plain.iter().any(|count| count.dents > 0);
        car.panels.sort_by_key(|count| count.panel);
        self.car_removals(index, card, &mut car.removals);
        if car.counted && !has_dents {
            self.removal_without_panel(index, listed);
        }
    }

    /// Takes in plain panels of which nothing is to be said, up to one that is to be
    /// looked at. None of the rules looks at more of a plain panel than its kind: what
    /// was sound once is sound on the next car.
    #[inline(never)] // a loop of eleven million rounds, small enough for the registers
    fn next_to_check<'p>(
        &self,
        panels: &mut PanelsIter<'p>,
        payer: usize,
        body: Body,
        plain: &mut Vec<PlainCount>,
    ) -> Option<PanelRef<'p>> {
        let first = payer * self.drafts.sheets.len();
        for panel in panels {
            let PanelRef::Plain(packed) = panel else {
                return Some(panel);
            };
            let (word, bit) = kind_of(&packed, body);
            let is_quiet = match self.quiet.get(first + packed.sheet()) {
                Some(Some(quiet)) => quiet[word] & bit != 0,
                _ => false,
            };
            let count = packed.count();
            if !is_quiet || count.dents > MAX_DENTS {
                return Some(panel);
            }
            plain.push(count);
        }
        None
    }

    /// Checks a plain panel of no more dents than a panel may have. Where nothing is
    /// to be said, its kind is remembered.
    fn plain_panel(
        &mut self,
        index: usize,
        plain: PlainPanel,
        card: &RateCard,
        payer: usize,
        body: Body,
    ) {
        let problems = &self.found.problems;
        let before = problems.errors() + problems.cautions();
        let panel = self.drafts.unpack(PanelRef::Plain(plain));
        self.panel(index, &panel, card, body);
        let problems = &self.found.problems;
        if problems.errors() + problems.cautions() == before {
            let of_sheet = payer * self.drafts.sheets.len() + plain.sheet();
            if self.quiet.len() <= of_sheet {
                self.quiet.resize(of_sheet + 1, None);
            }
            let quiet = self.quiet[of_sheet].get_or_insert_with(|| Box::new([0; QUIET_WORDS]));
            let (word, bit) = kind_of(&plain, body);
            quiet[word] |= bit;
        }
    }
}

/// Where the kind of a plain panel is noted among those of its sheet: by panel, body
/// and the classes that have dents.
fn kind_of(plain: &PlainPanel, body: Body) -> (usize, u64) {
    let kind = (plain.panel.index() * Body::ALL.len() + body as usize) << u8::BITS
        | usize::from(plain.classes_present());
    (kind / 64, 1 << (kind % 64))
}

/// An event maximum under which neither the payer nor a car has a deductible.
fn event_maxima(drafts: &Drafts, settings: &Settings, problems: &mut Problems) {
    for (payer, alone) in settings.event_max_alone.iter().enumerate() {
        let Some((place, found)) = alone else {
            continue;
        };
        let name = words::fold(&settings.payers[payer].name);
        let only = settings.payers.len() == 1;
        let has = drafts.cars.iter().any(|car| {
            car.fact(ListColumn::Deductible).is_some()
                && car
                    .fact(ListColumn::Payer)
                    .map_or(only, |fact| words::fold(&fact.text) == name)
        });
        if !has {
            problems.push_stopping(super::storm_file::event_max_problem(place, found));
        }
    }
}

fn one_size_cautions(drafts: &Drafts, sheets: &BTreeSet<u32>, problems: &mut Problems) {
    for &sheet in sheets {
        let source = Provenance { sheet, row: 0 };
        let mut place = drafts.place(source, |role| role == Role::Size);
        place.row = None;
        problems.push(Problem {
                severity: Severity::Caution,
                place,
                found: "dents, size".to_owned(),
                expected: "a column per class, where the card prices by the largest or by each class: all dents count as the size given".to_owned(),
                meant: None,
                stock: None,
            });
    }
}

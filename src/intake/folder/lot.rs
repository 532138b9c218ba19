//! How many cars the whole lot has: `lot.*` against the vehicle list and the
//! counts.
//!
//! The problems are kept apart: a price needs none of this, an estimate of the
//! whole lot all of it.

use super::super::header::ListColumn;
use super::super::lot_sizes::{COLUMNS, LotSizes, MOST_STRATA};
use super::super::problem::{Place, Problem, Problems, Severity};
use super::super::resolve::Resolved;
use super::super::storm_file::ListWord;
use super::super::toml_doc::plain_decimal;
use super::{FolderReader, no_header};
use crate::storm::{BLANK_STRATUM, LotHelper, LotSource, LotStrata, LotStratum, WHOLE_LOT, words};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::collections::HashMap;

/// Reading order of `lot.*`, behind the agreed amounts.
const LOT_ORDER: u32 = 3_050_000_000;

/// Strata with the stratum of every draft, as the list or `lot.*` has them.
struct Parted {
    strata: Vec<LotStratum>,
    /// By draft; none for a car whose stratum `lot.*` lacks.
    of_draft: Vec<Option<usize>>,
}

impl FolderReader<'_> {
    /// Reads `lot.*`, where it is.
    pub fn lot(&mut self) {
        let of_storm = std::mem::take(&mut self.problems);
        if let Some(path) = self.table_file("lot", LOT_ORDER) {
            let options = &self.settings.intake;
            let tables = self.open(&path, LOT_ORDER, &|cells| COLUMNS.is_header(cells, options));
            let mut sizes = LotSizes::new(&path);
            let mut found = tables.is_empty();
            for table in &tables {
                found |= sizes.read(table, LOT_ORDER, options, &mut self.problems);
            }
            if !found {
                let problem = no_header(&path, LOT_ORDER, &COLUMNS.words());
                self.problems.push_stopping(problem);
            } else if sizes.rows.is_empty() && self.problems.errors() == 0 {
                let expected = "a row for each stratum, or no such file";
                self.stop(lot_place(&path), "a header and no row", expected);
            }
            self.lot_sizes = Some(sizes);
        }
        self.lot_problems = std::mem::replace(&mut self.problems, of_storm);
    }

    /// The strata of the lot, where nothing that they hang on is at fault.
    pub(super) fn lot_strata(&mut self, resolved: &Resolved) -> Option<LotStrata> {
        // Where not every car is known, all that could be said here would follow
        // from faults that were said already.
        if self.drafts.partial || self.drafts.list_unreadable || self.problems.stops() {
            return None;
        }
        let mut problems = std::mem::take(&mut self.lot_problems);
        let made = self.made_strata(resolved, &mut problems);
        let sound = problems.errors() == 0;
        self.lot_problems = problems;
        made.filter(|_| sound)
    }

    fn made_strata(&self, resolved: &Resolved, problems: &mut Problems) -> Option<LotStrata> {
        let terms = &self.settings.sample;
        let parted = match &self.lot_sizes {
            Some(sizes) => self.by_sizes(sizes, resolved, problems),
            None => self.by_list(problems),
        };
        let helper = terms
            .helper
            .as_ref()
            .map(|word| self.helper(word, parted.as_ref(), resolved, problems));
        let parted = parted?;
        let of_car: Option<Vec<usize>> = resolved
            .drafts
            .iter()
            .map(|draft| parted.of_draft[*draft])
            .collect();
        let source = match &self.lot_sizes {
            Some(sizes) => LotSource::File(sizes.path.clone()),
            None if self.drafts.has_list => LotSource::List,
            None => LotSource::Counts,
        };
        Some(LotStrata {
            column: terms.strata.as_ref().map(|word| word.word),
            strata: parted.strata,
            of_car: of_car?,
            helper: match helper {
                Some(helper) => Some(helper?),
                None => None,
            },
            picked: terms.picked.clone(),
            source,
            is_asked: terms.is_given || self.lot_sizes.is_some(),
        })
    }

    /// What stands in a column of a draft's row, as written.
    fn word_of(&self, draft: usize, column: ListColumn) -> &str {
        self.drafts.cars[draft]
            .fact(column)
            .map_or("", |fact| fact.text.trim())
    }

    /// The stratum of a draft by a column.
    fn stratum_of(&self, draft: usize, column: ListColumn) -> &str {
        match self.word_of(draft, column) {
            "" => BLANK_STRATUM,
            word => word,
        }
    }

    /// The list is the whole lot, and its strata are what occurs in it.
    fn by_list(&self, problems: &mut Problems) -> Option<Parted> {
        let drafts = self.drafts.cars.len();
        let Some(word) = &self.settings.sample.strata else {
            return Some(Parted {
                strata: vec![LotStratum {
                    name: WHOLE_LOT.to_owned(),
                    cars: drafts as u64,
                }],
                of_draft: vec![Some(0); drafts],
            });
        };
        if !self.drafts.has_list {
            problems.push(Problem {
                severity: Severity::Error,
                place: word.place.clone(),
                found: word.word.to_owned(),
                expected: "vehicles.* or lot.* beside it: nothing says how many cars there are"
                    .to_owned(),
                meant: None,
                stock: None,
            });
            return None;
        }
        let mut strata: Vec<LotStratum> = Vec::new();
        let mut places: HashMap<String, usize> = HashMap::new();
        let mut of_draft = Vec::with_capacity(drafts);
        for draft in 0..drafts {
            let name = self.stratum_of(draft, word.column);
            let at = *places.entry(words::fold(name)).or_insert_with(|| {
                strata.push(LotStratum {
                    name: name.to_owned(),
                    cars: 0,
                });
                strata.len() - 1
            });
            strata[at].cars += 1;
            of_draft.push(Some(at));
        }
        if strata.len() > MOST_STRATA {
            problems.push(Problem {
                severity: Severity::Error,
                place: word.place.clone(),
                found: word.word.to_owned(),
                expected: format!(
                    "a column by which cars are alike: this one has {} different words, and \
                     {MOST_STRATA} strata are the most",
                    strata.len()
                ),
                meant: None,
                stock: None,
            });
            return None;
        }
        Some(Parted { strata, of_draft })
    }

    /// `lot.*` says how many there are.
    fn by_sizes(
        &self,
        sizes: &LotSizes,
        resolved: &Resolved,
        problems: &mut Problems,
    ) -> Option<Parted> {
        if sizes.rows.is_empty() {
            return None;
        }
        let column = match &self.settings.sample.strata {
            Some(word) => Some(word.column),
            None if sizes.rows.len() == 1 => None,
            None => {
                problems.push(self.no_column(sizes));
                return None;
            }
        };
        let mut of_draft: Vec<Option<usize>> = Vec::with_capacity(self.drafts.cars.len());
        // By what `lot.*` lacks: the first car, how many, and its name.
        let mut lacking: Vec<(usize, u64, &str)> = Vec::new();
        let mut lacking_at: HashMap<String, usize> = HashMap::new();
        for (draft, car) in self.drafts.cars.iter().enumerate() {
            let Some(column) = column else {
                of_draft.push(Some(0));
                continue;
            };
            let name = self.stratum_of(draft, column);
            let found = sizes.find(name);
            of_draft.push(found);
            // A car with an error is in no sample, and its cell may be the fault.
            if found.is_some() || car.bad {
                continue;
            }
            let at = *lacking_at.entry(words::fold(name)).or_insert_with(|| {
                lacking.push((draft, 0, name));
                lacking.len() - 1
            });
            lacking[at].1 += 1;
        }
        for (draft, cars, name) in &lacking {
            let cars = match cars {
                1 => "1 car".to_owned(),
                cars => format!("{cars} cars"),
            };
            problems.push(Problem {
                severity: Severity::Error,
                place: self.list_place(*draft, column),
                found: (*name).to_owned(),
                expected: format!("a stratum of {} for {cars}", sizes.path),
                meant: sizes.nearest(name),
                stock: Some(self.drafts.cars[*draft].stock.to_string()),
            });
        }
        let counted = |at: usize| {
            let cars = resolved.cars.iter().zip(&resolved.drafts);
            cars.filter(|(car, draft)| car.counted && of_draft[**draft] == Some(at))
                .count() as u64
        };
        let mut strata = Vec::with_capacity(sizes.rows.len());
        let mut listed = vec![0_u64; sizes.rows.len()];
        for at in of_draft.iter().flatten() {
            listed[*at] += 1;
        }
        for (at, row) in sizes.rows.iter().enumerate() {
            // Without a figure that was said already.
            let Some(cars) = row.cars else { continue };
            let counted = if listed[at] > cars { counted(at) } else { 0 };
            let (severity, expected) = if counted > cars {
                let expected = format!("at least what is counted: {counted}");
                (Severity::Error, expected)
            } else {
                let expected = format!("at least what is listed: {}", listed[at]);
                (Severity::Caution, expected)
            };
            if listed[at] > cars {
                problems.push(Problem {
                    severity,
                    place: row.place.clone(),
                    found: cars.to_string(),
                    expected,
                    meant: None,
                    stock: None,
                });
            }
            strata.push(LotStratum {
                name: row.name.clone(),
                cars,
            });
        }
        Some(Parted { strata, of_draft })
    }

    /// Several strata, and nothing says which car is in which.
    fn no_column(&self, sizes: &LotSizes) -> Problem {
        let meant = ListColumn::ALL.iter().find(|(column, _)| {
            let mut cars = 0..self.drafts.cars.len();
            !cars.is_empty() && cars.all(|car| sizes.find(self.stratum_of(car, *column)).is_some())
        });
        let names: Vec<&str> = sizes.rows.iter().map(|row| row.name.as_str()).collect();
        Problem {
            severity: Severity::Error,
            place: lot_place(&sizes.path),
            found: names.join(", "),
            expected: "one stratum, or `[sample] strata` in storm.toml: the column of the vehicle \
                       list that says which car is in which"
                .to_owned(),
            meant: meant.map(|(_, word)| format!("strata = \"{word}\"")),
            stock: None,
        }
    }

    fn list_place(&self, draft: usize, column: Option<ListColumn>) -> Place {
        let car = &self.drafts.cars[draft];
        let source = column
            .and_then(|column| car.fact(column))
            .map(|fact| fact.source)
            .or(car.listed)
            .or(car.first_row)
            .unwrap_or_default();
        let mut place = self.drafts.place(source, |role| {
            column.is_some_and(|column| role == super::super::header::Role::List(column))
        });
        if place.column.is_none() {
            place.column = ListColumn::ALL
                .iter()
                .find(|(known, _)| Some(*known) == column)
                .map(|(_, word)| (*word).to_owned());
        }
        place
    }

    /// The helper of every car; an error for each one without it.
    fn helper(
        &self,
        word: &ListWord,
        parted: Option<&Parted>,
        resolved: &Resolved,
        problems: &mut Problems,
    ) -> Option<LotHelper> {
        let before = problems.errors();
        let mut figures: Vec<Decimal> = Vec::with_capacity(self.drafts.cars.len());
        for draft in 0..self.drafts.cars.len() {
            let text = self.word_of(draft, word.column);
            match plain_decimal(text) {
                Ok(figure) => figures.push(figure),
                Err(meant) => {
                    figures.push(Decimal::ZERO);
                    problems.push(Problem {
                        severity: Severity::Error,
                        place: self.list_place(draft, Some(word.column)),
                        found: text.to_owned(),
                        expected: format!(
                            "a number, 0 or more: `[sample] helper` is {}, which helps only where \
                             every car has it",
                            word.word
                        ),
                        meant,
                        stock: Some(self.drafts.cars[draft].stock.to_string()),
                    });
                }
            }
        }
        let total = match self.settings.sample.helper_total {
            Some(total) => total,
            None => {
                let all = parted.map_or(0, |parted| {
                    parted.strata.iter().map(|stratum| stratum.cars).sum()
                });
                let listed = self.drafts.cars.len() as u64;
                if all > listed {
                    problems.push(Problem {
                        severity: Severity::Error,
                        place: word.place.clone(),
                        found: word.word.to_owned(),
                        expected: format!(
                            "`helper_total` beside it: the list has {listed} of {all} cars, so \
                             its sum is not that of the lot"
                        ),
                        meant: None,
                        stock: None,
                    });
                }
                // At most ten digits each, and fewer cars than a decimal has room for.
                figures.iter().sum()
            }
        };
        if problems.errors() > before {
            return None;
        }
        let statistic = |figure: &Decimal| figure.to_f64().unwrap_or(0.0);
        Some(LotHelper {
            column: word.word,
            of_car: resolved
                .drafts
                .iter()
                .map(|draft| statistic(&figures[*draft]))
                .collect(),
            total: statistic(&total),
        })
    }
}

fn lot_place(path: &str) -> Place {
    Place {
        order: LOT_ORDER,
        ..Place::file(path)
    }
}

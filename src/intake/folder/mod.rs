//! The files of a storm's folder, one after the other.

mod billing;
mod cars;
mod counts;
mod crew;
mod lot;

pub use cars::{Cars, CarsRead};

use super::draft::{CarDraft, Drafts};
use super::header::ListColumn;
use super::lot_sizes::LotSizes;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::{EntryKind, Source};
use super::storm_file::{IntakeOptions, Settings};
use super::table::{Table, open_tables};
use super::{Intake, LotCar, agreed_list, photo_list, resolve, vehicle_list, workbook};
use crate::storm::words;
use crate::storm::{Agreed, BillingLog, Car, CrewLog, LotStrata, Storm};
use std::collections::BTreeMap;

/// Reading order of the lists, behind storm.toml and the cards.
const LIST_ORDER: u32 = 10_000;
/// Reading order of the first count sheet.
const COUNT_ORDER: u32 = 20_000;
/// Reading order of the agreed amounts, behind every count sheet.
const AGREED_ORDER: u32 = 3_000_000_000;

/// Reads a lot list by itself.
pub fn read_lot(source: &dyn Source, path: &str) -> (Vec<LotCar>, Problems) {
    let (mut drafts, mut problems) = (Drafts::default(), Problems::default());
    let options = IntakeOptions::default();
    let columns = vehicle_list::COLUMNS;
    match open_tables(source, path, &|cells| columns.is_header(cells, &options)) {
        Ok((tables, _)) => {
            let mut found = false;
            for table in &tables {
                found |= vehicle_list::read(table, 0, &options, &mut drafts, &mut problems);
            }
            if !found {
                problems.push_stopping(no_header(path, 0, &columns.words()));
            }
        }
        Err(unreadable) => problems.push_stopping(Problem {
            severity: Severity::Error,
            place: Place {
                row: unreadable.row,
                ..Place::file(path)
            },
            found: unreadable.found,
            expected: unreadable.expected,
            meant: None,
            stock: None,
        }),
    }
    let text = |car: &CarDraft, column| {
        car.fact(column)
            .map_or(String::new(), |fact| fact.text.to_string())
    };
    let lot = drafts
        .cars
        .iter()
        .map(|car| LotCar {
            stock: car.stock.to_string(),
            row: text(car, ListColumn::Row),
            body: text(car, ListColumn::Body),
            payer: text(car, ListColumn::Payer),
        })
        .collect();
    (lot, problems)
}

/// That a file has no header where one was expected.
fn no_header(path: &str, order: u32, words: &str) -> Problem {
    Problem {
        severity: Severity::Error,
        place: Place {
            order,
            ..Place::file(path)
        },
        found: "no header".to_owned(),
        expected: format!("a header within the first 20 rows: {words}"),
        meant: None,
        stock: None,
    }
}

/// Reads the tables of one folder into drafts.
pub struct FolderReader<'a> {
    source: &'a dyn Source,
    settings: &'a Settings,
    drafts: Drafts,
    problems: Problems,
    photos: BTreeMap<String, Vec<String>>,
    crew: CrewLog,
    crew_problems: Problems,
    billing: BillingLog,
    billing_problems: Problems,
    lot_sizes: Option<LotSizes>,
    lot_problems: Problems,
}

impl<'a> FolderReader<'a> {
    /// A reader that has read nothing yet.
    pub fn new(
        source: &'a dyn Source,
        settings: &'a Settings,
        problems: Problems,
    ) -> FolderReader<'a> {
        FolderReader {
            source,
            settings,
            drafts: Drafts::default(),
            problems,
            photos: BTreeMap::new(),
            crew: CrewLog::default(),
            crew_problems: Problems::default(),
            billing: BillingLog::default(),
            billing_problems: Problems::default(),
            lot_sizes: None,
            lot_problems: Problems::default(),
        }
    }

    fn stop(&mut self, place: Place, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    fn caution(&mut self, place: Place, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(Problem {
            severity: Severity::Caution,
            place,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    fn open(&mut self, path: &str, order: u32, is_header: &dyn Fn(&[&str]) -> bool) -> Vec<Table> {
        let place = Place {
            order,
            ..Place::file(path)
        };
        match open_tables(self.source, path, is_header) {
            Ok((tables, other_encoding)) => {
                if let Some(encoding) = other_encoding {
                    self.problems
                        .note(place, format!("not UTF-8: read as {encoding}"));
                }
                tables
            }
            Err(unreadable) => {
                let place = Place {
                    row: unreadable.row,
                    ..place
                };
                self.stop(place, unreadable.found, unreadable.expected);
                Vec::new()
            }
        }
    }

    /// The one file `stem.*` of the folder, CSV or workbook.
    fn table_file(&mut self, stem: &str, order: u32) -> Option<String> {
        let names = self.source.list("").unwrap_or_default();
        let found: Vec<String> = names
            .into_iter()
            .filter(|(_, kind)| *kind != EntryKind::Folder)
            .filter_map(|(name, _)| {
                let (start, ending) = name.rsplit_once('.')?;
                let ending = ending.to_lowercase();
                let known = ending == "csv" || workbook::ENDINGS.contains(&ending.as_str());
                (start.to_lowercase() == stem && known).then_some(name)
            })
            .collect();
        if found.len() > 1 {
            let place = Place {
                order,
                ..Place::file(&found[0])
            };
            self.stop(place, found.join(", "), format!("one file named {stem}"));
        }
        found.into_iter().next()
    }

    fn no_header(&mut self, path: &str, order: u32, words: &str) {
        self.problems.push_stopping(no_header(path, order, words));
    }

    /// Tables beside storm.toml whose name is nearly that of a list: they are
    /// not read, and that is said.
    fn strangers(&mut self) {
        const KNOWN: [&str; 8] = [
            "vehicles", "agreed", "lot", "crew", "work", "paid", "received", "bills",
        ];
        for (name, kind) in self.source.list("").unwrap_or_default() {
            let Some((stem, ending)) = name.rsplit_once('.') else {
                continue;
            };
            let ending = ending.to_lowercase();
            let is_table = ending == "csv" || workbook::ENDINGS.contains(&ending.as_str());
            let stem = stem.to_lowercase();
            let hidden = name.starts_with('.') || name.starts_with("~$");
            if kind == EntryKind::Folder || !is_table || hidden || KNOWN.contains(&stem.as_str()) {
                continue;
            }
            let Some(near) = words::nearest(&stem, KNOWN.into_iter()) else {
                continue;
            };
            let place = Place {
                order: LIST_ORDER,
                ..Place::file(&name)
            };
            let expected =
                format!("the name of a storm's table; probably {near}.{ending}. It is not read");
            self.caution(place, name.clone(), expected);
        }
    }

    /// Reads the lot list, where there is one.
    pub fn vehicles(&mut self) {
        self.strangers();
        let columns = vehicle_list::COLUMNS;
        let Some(path) = self.table_file("vehicles", LIST_ORDER) else {
            return;
        };
        let options = &self.settings.intake;
        let tables = self.open(&path, LIST_ORDER, &|cells| {
            columns.is_header(cells, options)
        });
        let mut found = false;
        for table in &tables {
            found |= vehicle_list::read(
                table,
                LIST_ORDER,
                options,
                &mut self.drafts,
                &mut self.problems,
            );
        }
        if !found && !tables.is_empty() {
            self.no_header(&path, LIST_ORDER, &columns.words());
        }
        self.drafts.has_list = found;
        self.drafts.list_unreadable = !found;
    }

    /// Reads what people agreed by hand, where there is a list of it.
    pub fn agreed(&mut self) -> Vec<Agreed> {
        let columns = agreed_list::COLUMNS;
        let Some(path) = self.table_file("agreed", AGREED_ORDER) else {
            return Vec::new();
        };
        let options = &self.settings.intake;
        let tables = self.open(&path, AGREED_ORDER, &|cells| {
            columns.is_header(cells, options)
        });
        let mut rows = agreed_list::AgreedRows::default();
        let mut found = tables.is_empty();
        for table in &tables {
            found |= agreed_list::read(
                table,
                AGREED_ORDER,
                self.settings,
                &mut self.drafts,
                &mut rows,
                &mut self.problems,
            );
        }
        if !found {
            self.no_header(&path, AGREED_ORDER, &columns.words());
        }
        self.billing.decisions = rows.decisions;
        for problem in rows.of_decisions {
            self.billing_problems.push(problem);
        }
        rows.agreed
    }

    /// Lists the photos of the cars that were read so far.
    pub fn photos(&mut self) {
        self.photos = photo_list::read(self.source, &mut self.drafts, &mut self.problems);
    }

    /// Cars with an error, in lot order.
    fn left_out(&self) -> Vec<(usize, String)> {
        let cars = self.drafts.cars.iter().enumerate();
        cars.filter(|(_, car)| car.bad)
            .map(|(position, car)| (position, car.stock.to_string()))
            .collect()
    }

    /// The storm with these cars.
    fn storm(&self, cars: Vec<Car>, agreed: Vec<Agreed>, lot: Option<LotStrata>) -> Storm {
        let settings = self.settings;
        Storm {
            name: settings.name.clone(),
            date: settings.date,
            currency: settings.currency,
            unit: settings.unit,
            sender: settings.sender.clone(),
            payers: settings.payers.clone(),
            cars,
            agreed,
            lot,
            size_names: settings.names.sizes.all_written().to_vec(),
            code_names: settings.names.codes.all_written().to_vec(),
        }
    }

    /// Checks the whole and closes the reading.
    pub fn finish(mut self, agreed: Vec<Agreed>) -> Intake {
        let settings = self.settings;
        let mut plan_problems = Problems::default();
        let resolved = resolve::resolve(
            &mut self.drafts,
            settings,
            &mut self.problems,
            &mut plan_problems,
        );
        let mut new_index = vec![None; self.drafts.cars.len()];
        for (new, old) in resolved.drafts.iter().enumerate() {
            new_index[*old] = Some(new);
        }
        let agreed = agreed
            .into_iter()
            .filter_map(|entry| {
                Some(Agreed {
                    car: new_index[entry.car]?,
                    ..entry
                })
            })
            .collect();
        let agreed_at_fault = self
            .drafts
            .agreed_at_fault
            .iter()
            .filter_map(|car| new_index[*car])
            .collect();
        let left_out = self.left_out();
        let lot = self.lot_strata(&resolved);
        let storm = self.storm(resolved.cars, agreed, lot);
        Intake {
            storm: Some((storm, settings.rates.clone())),
            problems: self.problems,
            left_out,
            positions: resolved.drafts,
            agreed_at_fault,
            sheets: self.drafts.sheets,
            photos: self.photos,
            pay: self.settings.pay.clone(),
            crew: self.crew,
            crew_problems: self.crew_problems,
            bill_terms: self.settings.bills.clone(),
            billing: self.billing,
            billing_problems: self.billing_problems,
            time: self.settings.time.clone(),
            plan_problems,
            lot_problems: self.lot_problems,
        }
    }
}

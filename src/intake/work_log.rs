//! `work.*`: who did what on which car, when, and for how long.

use super::cells::{self, Refusal};
use super::count_sheet::stock_text;
use super::crew_list::People;
use super::day_cell;
use super::draft::Drafts;
use super::list_row::{ListRow, remember_sheet, source};
use super::pay_cell;
use super::plain_sheet::Columns;
use super::problem::Problems;
use super::storm_file::Settings;
use super::table::{Cell, Table};
use crate::storm::words::{self, PanelWord};
use crate::storm::{Panel, Trade, WorkRow};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::sync::Arc;

/// The columns of the log.
pub const COLUMNS: Columns = Columns {
    key: "person",
    others: &[
        "date", "stock", "panel", "trade", "hours", "part", "redo", "done",
    ],
    key_alone: false,
};

const DATE: usize = 1;
const STOCK: usize = 2;
const PANEL: usize = 3;
const TRADE: usize = 4;
const HOURS: usize = 5;
const PART: usize = 6;
const REDO: usize = 7;
const DONE: usize = 8;

/// The most rows of one car: parts are exact fractions, whose figures grow with
/// every row that has one of its own.
const MOST_ROWS: u32 = 400;
/// The most of them that do work again: each makes the figures of all parts longer.
const MOST_REDOS: u32 = 40;

/// What a log is read against, and what it has met so far.
pub struct WorkLog<'a> {
    settings: &'a Settings,
    people: &'a People,
    /// Whether every stock of the storm is known.
    all_known: bool,
    stocks: HashMap<usize, Arc<str>>,
    hours: HashMap<(usize, Date), Decimal>,
    seen: HashMap<RowKey, String>,
    rows_of: HashMap<usize, (u32, u32)>,
    /// The sound rows, in file order.
    pub rows: Vec<WorkRow>,
}

/// All that a row says, to know it again.
type RowKey = (
    Date,
    usize,
    Option<usize>,
    Option<Panel>,
    Trade,
    Option<Decimal>,
    Option<num_rational::BigRational>,
    bool,
    bool,
);

impl<'a> WorkLog<'a> {
    /// A log of which nothing is read yet.
    pub fn new(settings: &'a Settings, people: &'a People, all_known: bool) -> WorkLog<'a> {
        WorkLog {
            settings,
            people,
            all_known,
            stocks: HashMap::new(),
            hours: HashMap::new(),
            seen: HashMap::new(),
            rows_of: HashMap::new(),
            rows: Vec::new(),
        }
    }

    /// Reads one table. Whether it had the header.
    pub fn read(
        &mut self,
        table: &Table,
        order: u32,
        drafts: &mut Drafts,
        problems: &mut Problems,
    ) -> bool {
        let mut sheet = None;
        let options = &self.settings.intake;
        COLUMNS.read(table, order, options, problems, |header, row, problems| {
            let sheet =
                *sheet.get_or_insert_with(|| remember_sheet(drafts, table, order, COLUMNS, header));
            let mut row = ListRow {
                table,
                order,
                columns: COLUMNS,
                header,
                row,
                problems,
                stock: None,
            };
            if let Some(entry) = self.row(&mut row, drafts, sheet) {
                self.rows.push(entry);
            }
        })
    }

    fn row(&mut self, row: &mut ListRow<'_>, drafts: &mut Drafts, sheet: u32) -> Option<WorkRow> {
        let person = find_person(row, 0, self.people);
        let date = row.need(DATE, "the day", day_cell::day);
        let trade = self.trade(row);
        let car = match trade {
            // A row of waiting needs no car; what it names must be one all the same.
            Some(Trade::Other) if row.cell(STOCK).is_blank() => Ok(None),
            _ => {
                let column = (STOCK, "a stock; only `other` has none");
                find_car(row, column, drafts, self.all_known)
                    .map(Some)
                    .ok_or(())
            }
        };
        if let Ok(Some(car)) = car {
            row.stock = Some(drafts.cars[car].stock.to_string());
        }
        let panel = self.panel(row, trade);
        let comma = row.decimal_comma();
        let hours = row.read(HOURS, |cell| day_cell::hours(cell, comma));
        let part = row.read(PART, |cell| pay_cell::part(cell, comma));
        let redo = row.read(REDO, cells::yes_no);
        let done = row.read(DONE, |cell| match cell {
            Cell::Blank => Ok(true),
            cell => cells::yes_no(cell),
        });
        let (person, date, car) = (person?, date?, car.ok()?);
        let (trade, panel, hours) = (trade?, panel?, hours?);
        let (part, redo, done) = (part?, redo?, done?);
        if let Some(car) = car {
            let (all, again) = self.rows_of.entry(car).or_default();
            *all += 1;
            *again += u32::from(redo);
            let refused = if *all > MOST_ROWS {
                Some((STOCK, format!("at most {MOST_ROWS} rows of one car")))
            } else if *again > MOST_REDOS {
                Some((
                    REDO,
                    format!("at most {MOST_REDOS} rows of work done again on one car"),
                ))
            } else {
                None
            };
            if let Some((column, expected)) = refused {
                row.refuse(column, Refusal::new(expected));
                return None;
            }
        }
        if let Some(hours) = hours {
            self.day_is_long_enough(row, person, date, hours)?;
        }
        let here = &self.people.list[person];
        if !here.is_here(date) && !self.people.faulty {
            row.caution(
                DATE,
                format!("a day on which {} is here, by the crew list", here.name),
            );
        }
        if redo && part.is_none() && !matches!(trade, Trade::Finish | Trade::Other) {
            row.caution(
                PART,
                "how much was done again, such as 25%: a blank is all of it",
            );
        }
        if redo && matches!(trade, Trade::Finish | Trade::Other) {
            row.caution(
                REDO,
                format!("no redo: {} is no part of a pool", trade.word()),
            );
        }
        if part.is_some() && matches!(trade, Trade::Finish | Trade::Other) {
            row.caution(
                PART,
                format!(
                    "no part: {} is no part of a pool. It is not used",
                    trade.word()
                ),
            );
        }
        let key = (
            date,
            person,
            car,
            panel,
            trade,
            hours,
            part.clone(),
            redo,
            done,
        );
        row.once(DATE, key, &mut self.seen);
        let stock = car.map(|car| {
            let known = self.stocks.entry(car);
            Arc::clone(known.or_insert_with(|| Arc::from(drafts.cars[car].stock.as_str())))
        });
        Some(WorkRow {
            date,
            stock,
            panel,
            person,
            trade,
            hours,
            part,
            redo,
            done,
            source: source(sheet, row.row),
        })
    }

    fn trade(&self, row: &mut ListRow<'_>) -> Option<Trade> {
        let known = Trade::ALL.map(|trade| (trade.word(), trade));
        let trade = row.read(TRADE, |cell| {
            cells::word(cell, &known, |text| Trade::from_word(&words::fold(text)))
        })?;
        Some(trade.unwrap_or(Trade::Dents))
    }

    /// The panel of dents; other work is by the car. `None` where the word is at fault.
    fn panel(&self, row: &mut ListRow<'_>, trade: Option<Trade>) -> Option<Option<Panel>> {
        let vocabulary = &self.settings.vocabulary;
        let panel = row.read(PANEL, |cell| {
            let text = cells::text(cell)?;
            if text.trim().is_empty() {
                return Ok(None);
            }
            match vocabulary.panel(&text) {
                Some(PanelWord::One(panel)) => Ok(Some(panel)),
                Some(PanelWord::NoSide(panels)) => {
                    let sides: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                    let sides = super::toml_doc::one_of(&sides);
                    Err(Refusal::new(format!("a side: {sides}")))
                }
                None => Err(Refusal {
                    expected: "a panel, or blank for the whole car".to_owned(),
                    meant: vocabulary.nearest_panel(&text),
                }),
            }
        })?;
        match (panel, trade) {
            (Some(_), Some(trade)) if trade != Trade::Dents => {
                row.caution(
                    PANEL,
                    format!(
                        "no panel: {} is by the car. The panel is not used",
                        trade.word()
                    ),
                );
                Some(None)
            }
            _ => Some(panel),
        }
    }

    /// Nobody works more than a day has.
    fn day_is_long_enough(
        &mut self,
        row: &mut ListRow<'_>,
        person: usize,
        date: Date,
        hours: Decimal,
    ) -> Option<()> {
        let so_far = self.hours.entry((person, date)).or_default();
        *so_far += hours;
        if *so_far <= Decimal::from(24) {
            return Some(());
        }
        let expected = format!(
            "at most 24 hours of one person on one day; with this row {} has {} on {date}",
            self.people.list[person].name,
            so_far.normalize()
        );
        row.refuse(HOURS, Refusal::new(expected));
        None
    }
}

/// The person that a column names.
pub fn find_person(row: &mut ListRow<'_>, which: usize, people: &People) -> Option<usize> {
    let name = row.need(which, "a person of the crew list", |cell| {
        cells::text(cell).map(|name| Some(name.trim().to_owned()).filter(|name| !name.is_empty()))
    })?;
    let found = people.find(&name);
    // Where the crew list is at fault, its own error is enough.
    if found.is_none() && !people.faulty {
        let refusal = Refusal {
            expected: "a person of the crew list".to_owned(),
            meant: people.nearest(&name),
        };
        row.refuse(which, refusal);
    }
    found
}

/// The car that a row names in a column that must not be blank: its draft.
pub fn find_car(
    row: &mut ListRow<'_>,
    (which, expected): (usize, &str),
    drafts: &mut Drafts,
    all_known: bool,
) -> Option<usize> {
    let stock = row.need(which, expected, |cell| {
        stock_text(cell).map(|stock| Some(stock).filter(|stock| !stock.is_empty()))
    })?;
    if let Some(car) = drafts.find(&stock) {
        return Some(car);
    }
    if !all_known {
        return None;
    }
    let near = drafts.near_misses(&stock);
    let names: Vec<&str> = near
        .iter()
        .map(|car| drafts.cars[*car].stock.as_str())
        .collect();
    let refusal = Refusal {
        expected: "a stock of the storm".to_owned(),
        meant: (!names.is_empty()).then(|| names.join(" or ")),
    };
    row.refuse(which, refusal);
    None
}

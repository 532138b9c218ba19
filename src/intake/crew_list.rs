//! `crew.*`: who works here, and for what.

use super::cells::{self, Refusal};
use super::day_cell;
use super::list_row::ListRow;
use super::pay_cell;
use super::plain_sheet::Columns;
use super::problem::Problems;
use super::storm_file::Settings;
use super::table::Table;
use crate::storm::{Person, Trade, words};
use rust_decimal::Decimal;
use std::collections::HashMap;

/// The columns of the list.
pub const COLUMNS: Columns = Columns {
    key: "name",
    others: &[
        "trades",
        "speed",
        "from",
        "to",
        "off",
        "pay",
        "guarantee",
        "employee",
    ],
    key_alone: true,
};

/// The most people of a crew: a storm has 3 to 40.
const MOST_PEOPLE: usize = 2_000;

/// What the trades column may hold.
const TRADES: [(&str, Trade); 4] = [
    ("dents", Trade::Dents),
    ("strip", Trade::Strip),
    ("fit", Trade::Fit),
    ("finish", Trade::Finish),
];

/// The people of a crew by their folded names.
#[derive(Debug, Default)]
pub struct People {
    /// In the order of the list.
    pub list: Vec<Person>,
    by_folded: HashMap<String, (usize, u32)>,
    /// Rows without a sound name or with a fault: their people are not known.
    pub faulty: bool,
}

impl People {
    /// The person of a written name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.by_folded.get(&words::fold(name)).map(|(at, _)| *at)
    }

    /// The name that was probably meant.
    pub fn nearest(&self, name: &str) -> Option<String> {
        let known = self.by_folded.keys().map(String::as_str);
        // Equal distances: the first in the list, whatever the map's order.
        let folded = words::fold(name);
        let mut sorted: Vec<&str> = known.collect();
        sorted.sort_unstable_by_key(|name| self.by_folded[*name].0);
        let near = words::nearest(&folded, sorted.into_iter())?;
        Some(self.list[self.by_folded[near].0].name.clone())
    }
}

/// Reads one table. Whether it had the header.
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    people: &mut People,
    problems: &mut Problems,
) -> bool {
    COLUMNS.read(
        table,
        order,
        &settings.intake,
        problems,
        |header, row, problems| {
            let mut row = ListRow {
                table,
                order,
                columns: COLUMNS,
                header,
                row,
                problems,
                stock: None,
            };
            let before = row.problems.errors();
            person(&mut row, settings, people);
            people.faulty |= row.problems.errors() > before;
        },
    )
}

fn person(row: &mut ListRow<'_>, settings: &Settings, people: &mut People) {
    let Some(name) = row.need(0, "a name", |cell| {
        cells::text(cell).map(|name| Some(name.trim().to_owned()).filter(|name| !name.is_empty()))
    }) else {
        return;
    };
    let trades = row.read(1, |cell| day_cell::words_of(cell, &TRADES));
    let comma = row.decimal_comma();
    let speed = row.read(2, |cell| {
        let wanted = "a pace from 0.01 to 100: 1.0 is that of the time standard";
        match cells::figure(cell, comma, wanted)? {
            None => Ok(Decimal::ONE),
            Some(speed) if !sound_pace(speed) => Err(Refusal::new(wanted)),
            Some(speed) => Ok(speed),
        }
    });
    let from = row.read(3, day_cell::day).flatten();
    let to = row.read(4, day_cell::day).flatten();
    if let (Some(from), Some(to)) = (from, to)
        && to < from
    {
        row.refuse(4, Refusal::new(format!("a day not before {from}")));
    }
    let off = row.read(5, day_cell::stretches);
    let pay = row.read(6, |cell| pay_cell::pay(cell, settings.currency, comma));
    let guarantee = row.read(7, |cell| {
        let Some(figure) = cells::figure(cell, comma, "money, 0 or more")? else {
            return Ok(None);
        };
        settings
            .currency
            .amount(figure)
            .map(Some)
            .ok_or_else(|| Refusal::new(super::resolve::no_finer(settings.currency)))
    });
    let employee = row.read(8, cells::yes_no);
    let folded = words::fold(&name);
    if let Some((_, first)) = people.by_folded.get(&folded) {
        let expected =
            format!("a name once, however it is spaced or capitalised; first at row {first}");
        row.refuse(0, Refusal::new(expected));
        return;
    }
    if people.list.len() >= MOST_PEOPLE {
        row.refuse(0, Refusal::new(format!("at most {MOST_PEOPLE} people")));
        return;
    }
    if pay.is_some_and(|pay| pay.is_none()) && guarantee == Some(None) {
        row.caution(6, format!("what {name} is paid: no pay comes of any work"));
    }
    people
        .by_folded
        .insert(folded, (people.list.len(), row.row.number));
    people.list.push(Person {
        name,
        trades: trades.unwrap_or_default(),
        speed: speed.unwrap_or(Decimal::ONE),
        from,
        to,
        off: off.unwrap_or_default(),
        pay: pay.unwrap_or_default(),
        guarantee: guarantee.flatten(),
        employee: employee.unwrap_or_default(),
    });
}

/// Whether somebody may have this pace: what is slower or quicker is a slip of
/// the pen, and would make minutes without bounds.
fn sound_pace(speed: Decimal) -> bool {
    Decimal::new(1, 2) <= speed && speed <= Decimal::ONE_HUNDRED
}

//! `lot.*`: how many cars there are in all, by stratum.

use super::cells::{self, Read, Refusal};
use super::count_sheet::is_sum_row;
use super::list_row::ListRow;
use super::plain_sheet::Columns;
use super::problem::{Place, Problems};
use super::storm_file::IntakeOptions;
use super::table::{Cell, Table};
use crate::storm::{BLANK_STRATUM, words};
use std::collections::HashMap;

/// The columns of the table.
pub const COLUMNS: Columns = Columns {
    key: "stratum",
    others: &["cars"],
    key_alone: false,
};

/// Cars of a lot at most.
pub const MOST_CARS: u64 = 10_000_000;
/// Strata of a lot at most: people group cars, they do not number them.
pub const MOST_STRATA: usize = 1_000;

/// One row of it.
#[derive(Debug)]
pub struct LotSize {
    /// The stratum, as written.
    pub name: String,
    /// Its cars; none where the cell is at fault.
    pub cars: Option<u64>,
    /// Where its cars stand.
    pub place: Place,
    row: u32,
}

/// Its rows, each stratum once.
#[derive(Debug)]
pub struct LotSizes {
    /// The file.
    pub path: String,
    /// In the order of the file.
    pub rows: Vec<LotSize>,
    by_folded: HashMap<String, usize>,
    all: u64,
}

impl LotSizes {
    /// Of a file of which nothing is read yet.
    pub fn new(path: &str) -> LotSizes {
        LotSizes {
            path: path.to_owned(),
            rows: Vec::new(),
            by_folded: HashMap::new(),
            all: 0,
        }
    }

    /// The row of a stratum.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.by_folded.get(&words::fold(name)).copied()
    }

    /// The stratum that was probably meant.
    pub fn nearest(&self, name: &str) -> Option<String> {
        let folded: Vec<String> = self.rows.iter().map(|row| words::fold(&row.name)).collect();
        let near = words::nearest(&words::fold(name), folded.iter().map(String::as_str))?;
        let at = self.by_folded.get(near)?;
        Some(self.rows[*at].name.clone())
    }

    /// Reads one table. Whether it had the header.
    pub fn read(
        &mut self,
        table: &Table,
        order: u32,
        options: &IntakeOptions,
        problems: &mut Problems,
    ) -> bool {
        COLUMNS.read(table, order, options, problems, |header, row, problems| {
            self.row(&mut ListRow {
                table,
                order,
                columns: COLUMNS,
                header,
                row,
                problems,
                stock: None,
            });
        })
    }

    fn row(&mut self, row: &mut ListRow<'_>) {
        let Some(name) = row.read(0, stratum) else {
            return;
        };
        let cars = row.need(1, "how many cars there are", cars);
        if let Some(first) = self.find(&name) {
            let first = self.rows[first].row;
            let expected = format!("a stratum once; first at row {first}");
            row.refuse(0, Refusal::new(expected));
            return;
        }
        if self.rows.len() >= MOST_STRATA {
            row.refuse(0, Refusal::new(format!("at most {MOST_STRATA} strata")));
            return;
        }
        self.all = self.all.saturating_add(cars.unwrap_or(0));
        if cars.is_some() && self.all > MOST_CARS {
            row.refuse(1, Refusal::new("at most 10,000,000 cars in all"));
        }
        self.by_folded.insert(words::fold(&name), self.rows.len());
        self.rows.push(LotSize {
            name,
            cars,
            place: row.place(1),
            row: row.row.number,
        });
    }
}

/// How many cars; a blank says nothing.
fn cars(cell: Cell<'_>) -> Read<Option<u64>> {
    const WANTED: &str = "a whole number of cars, at most 10,000,000";
    match cell {
        Cell::Blank => Ok(None),
        Cell::Text(text) if text.len() > 9 && text.bytes().all(|b| b.is_ascii_digit()) => {
            Err(Refusal::new(WANTED))
        }
        cell => cells::whole(cell, WANTED).map(|cars| Some(u64::from(cars))),
    }
}

/// A stratum's name; a blank one is that of cars of which nothing is said.
fn stratum(cell: Cell<'_>) -> Read<String> {
    let text = cells::text(cell)?.trim().to_owned();
    if is_sum_row(&text) {
        return Err(Refusal::new("a stratum; this looks like a row of sums"));
    }
    Ok(if text.is_empty() {
        BLANK_STRATUM.to_owned()
    } else {
        text
    })
}

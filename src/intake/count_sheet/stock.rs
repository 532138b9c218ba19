//! Which car a row belongs to.

use super::super::cells::{self, Read, Refusal};
use super::super::header::Role;
use super::super::problem::{Place, Problem, Severity};
use super::super::table::{Cell, Row};
use super::SheetReader;
use crate::storm::words;

impl SheetReader<'_> {
    /// The car of a row; `None` when the row can belong to no car.
    pub(super) fn car_of(&mut self, row: Row<'_>) -> Option<usize> {
        let index = self.index_of(Role::Stock)?;
        let cell = row.cell(index);
        if let Some(merge) = self.table.merge_over(row.number, index) {
            let car = if merge.first_row == row.number {
                let stock = stock_text(cell).unwrap_or_default();
                let car = self.known_car(&stock);
                let place = self.place(row.number, index);
                let found = format!("{} merged", merge.range);
                self.row_error(
                    place,
                    &found,
                    Refusal::new("one stock a row, not merged"),
                    car,
                );
                self.is_last_sound = car.is_some();
                car
            } else {
                None
            };
            self.last_stock = car.or(self.last_stock);
            return None;
        }
        if cell.is_blank() {
            let above = self.settings.intake.stock_above;
            if above && self.is_last_sound && self.last_stock.is_some() {
                return self.last_stock;
            }
            let place = self.place(row.number, index);
            let refusal = Refusal::new(if above {
                "a stock: no row above has one that is known"
            } else {
                "a stock; `[intake] blank_stock = \"above\"` takes the one above"
            });
            // The row may belong to the car above, which is then not whole.
            self.row_error(place, "", refusal, self.last_stock);
            return None;
        }
        // Until the stock is found to be a car's, it is none to go on with.
        self.is_last_sound = false;
        let stock = match stock_text(cell) {
            Ok(stock) => stock,
            Err(refusal) => {
                let place = self.place(row.number, index);
                self.row_error(place, &cell.shown(), refusal, None);
                return None;
            }
        };
        if is_sum_row(&stock) {
            let place = self.place(row.number, index);
            let refusal = Refusal::new("a car; this looks like a row of sums");
            self.row_error(place, &stock, refusal, None);
            return None;
        }
        if let Some(car) = self.drafts.find(&stock) {
            self.last_stock = Some(car);
            self.is_last_sound = true;
            return Some(car);
        }
        if self.drafts.has_list {
            let near = self.drafts.near_misses(&stock);
            let place = self.place(row.number, index);
            let mut refusal = Refusal::new("a stock of the vehicle list");
            let names: Vec<&str> = near
                .iter()
                .map(|car| self.drafts.cars[*car].stock.as_str())
                .collect();
            if !names.is_empty() {
                refusal.meant = Some(names.join(" or "));
            }
            for &car in &near {
                self.drafts.cars[car].bad = true;
            }
            self.drafts.note_unknown(&stock, &self.table.file);
            self.row_error(place, &stock, refusal, None);
            return None;
        }
        let car = self.drafts.add(&stock);
        self.last_stock = Some(car);
        self.is_last_sound = true;
        Some(car)
    }

    pub(super) fn known_car(&mut self, stock: &str) -> Option<usize> {
        if stock.is_empty() {
            return None;
        }
        match self.drafts.find(stock) {
            Some(car) => Some(car),
            None if self.drafts.has_list => None,
            None => Some(self.drafts.add(stock)),
        }
    }

    /// An error of a row that names no sound car. `suspect` is the car that
    /// the row may belong to.
    pub(super) fn row_error(
        &mut self,
        place: Place,
        found: &str,
        refusal: Refusal,
        suspect: Option<usize>,
    ) {
        if let Some(car) = suspect {
            self.drafts.cars[car].bad = true;
            self.drafts.cars[car].spoken_of = true;
        }
        self.problems.push(Problem {
            severity: Severity::Error,
            place,
            found: found.to_owned(),
            expected: refusal.expected,
            meant: refusal.meant,
            stock: suspect.map(|car| self.drafts.cars[car].stock.to_string()),
        });
    }
}

/// A stock as text: outer blanks and our own guard taken off; a workbook's
/// whole number becomes its digits.
pub fn stock_text(cell: Cell<'_>) -> Read<String> {
    match cell {
        Cell::Number(number) if number.fract() == 0.0 && (0.0..1e15).contains(&number) => {
            Ok(format!("{number:.0}"))
        }
        Cell::Number(_) => Err(Refusal::new("a stock; a number here is a whole one")),
        Cell::Text(text) => Ok(cells::unguarded(text).trim().to_owned()),
        Cell::Date(_) => Err(Refusal::new("a stock, not a date")),
        Cell::Truth(_) => Err(Refusal::new("a stock, not a yes or no")),
        Cell::NoValue(_) => Err(Refusal::new("a formula with a stored value")),
        Cell::Fault(_) => Err(Refusal::new("a stock, not an error value")),
        Cell::Blank => Ok(String::new()),
    }
}

/// Whether a stock is the label of a row of sums.
#[must_use]
pub fn is_sum_row(stock: &str) -> bool {
    ["total", "totals", "sum", "sums", "subtotal", "grandtotal"]
        .contains(&words::fold(stock).trim_end_matches(':'))
}

//! Columns of the vehicle list that stand in a count sheet.

use super::super::cells::{self, Read, Refusal};
use super::super::draft::Fact;
use super::super::header::{ListColumn, Role};
use super::super::table::{Cell, Row};
use super::super::vehicle_list::three_after_comma;
use super::SheetReader;
use crate::storm::Provenance;
use crate::storm::words;

impl SheetReader<'_> {
    /// Columns of the vehicle list that stand in a count sheet.
    pub(super) fn facts(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let listed: Vec<(usize, ListColumn)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::List(list) => Some((column.index, list)),
                _ => None,
            })
            .collect();
        for (index, column) in listed {
            let cell = row.cell(index);
            if cell.is_blank() {
                continue;
            }
            let comma = self.table.decimal_comma();
            let text = self.get_at(row, index, car, |cell| fact_text(cell, column, comma));
            if text.is_empty() {
                continue;
            }
            if comma
                && matches!(column, ListColumn::Value | ListColumn::Deductible)
                && three_after_comma(&cell.shown())
            {
                let place = self.place(row.number, index);
                let expected = format!("money: the comma is taken as a decimal comma, {text}");
                self.drafts
                    .caution(car, place, cell.shown(), expected, self.problems);
            }
            let known = self.drafts.cars[car].fact(column).cloned();
            match known {
                None if self.drafts.has_list => {}
                None => self.drafts.cars[car].facts.push(Fact {
                    column,
                    text: text.into(),
                    source,
                }),
                Some(known) if same_meaning(&known.text, &text) => {}
                Some(known) => {
                    let place = self.place(row.number, index);
                    let other = &self.drafts.sheets[known.source.sheet as usize];
                    let expected = format!(
                        "{}, as row {} of {} says",
                        known.text, known.source.row, other.file
                    );
                    if self.drafts.has_list {
                        self.drafts
                            .caution(car, place, text, expected, self.problems);
                    } else {
                        self.drafts
                            .error(car, place, text, expected, None, self.problems);
                    }
                }
            }
        }
    }
}

/// The text of a list column; figures and dates as people write them.
pub fn fact_text(cell: Cell<'_>, column: ListColumn, decimal_comma: bool) -> Read<String> {
    if matches!(column, ListColumn::Value | ListColumn::Deductible) {
        let figure = cells::figure(cell, decimal_comma, "money, 0 or more")?;
        return Ok(figure.map_or(String::new(), |figure| figure.to_string()));
    }
    match cell {
        Cell::Date(_) if matches!(column, ListColumn::Body | ListColumn::Payer) => {
            Err(Refusal::new("a word, not a date"))
        }
        cell => cells::text(cell),
    }
}

/// Whether two writings mean the same: equal figures, or equal once folded.
#[must_use]
fn same_meaning(one: &str, other: &str) -> bool {
    let figure = |text: &str| text.trim().parse::<rust_decimal::Decimal>().ok();
    match (figure(one), figure(other)) {
        (Some(one), Some(other)) => one == other,
        _ => words::fold(one) == words::fold(other),
    }
}

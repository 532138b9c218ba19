//! `vehicles.*`: the lot list.

use super::cells;
use super::count_sheet::{fact_text, is_sum_row, stock_text};
use super::draft::{Drafts, Fact, SheetMeta};
use super::header::{Column, ListColumn, Role};
use super::plain_sheet::Columns;
use super::problem::{Problem, Problems, Severity};
use super::storm_file::IntakeOptions;
use super::table::Table;
use crate::storm::Provenance;

/// The columns of the list.
pub const COLUMNS: Columns = Columns {
    key: "stock",
    others: &[
        "vin",
        "year",
        "make",
        "model",
        "body",
        "payer",
        "value",
        "deductible",
        "arrives",
        "due",
        "parts_due",
        "priority",
        "row",
        "claim",
        "plate",
        "colour",
        "odometer",
        "owner",
    ],
    key_alone: true,
};

/// Reads one table of the list into drafts, in lot order. Whether it had the header.
pub fn read(
    table: &Table,
    order: u32,
    options: &IntakeOptions,
    drafts: &mut Drafts,
    problems: &mut Problems,
) -> bool {
    let mut sheet = None;
    COLUMNS.read(table, order, options, problems, |header, row, problems| {
        let sheet = *sheet.get_or_insert_with(|| {
            let mut columns: Vec<Column> = Vec::new();
            for which in 0..=ListColumn::ALL.len() {
                let Some((index, written)) = header.column(which) else {
                    continue;
                };
                let role = match which {
                    0 => Role::Stock,
                    which => Role::List(ListColumn::ALL[which - 1].0),
                };
                columns.push(Column {
                    index,
                    header: written.to_owned(),
                    role,
                });
            }
            drafts.add_sheet(SheetMeta::new(
                order,
                &table.file,
                table.sheet.as_deref(),
                columns,
            ))
        });
        let source = Provenance {
            sheet,
            row: row.number,
        };
        let columns = drafts.sheets[sheet as usize].columns.clone();
        let at = |role: Role| columns.iter().find(|column| column.role == role);
        let Some(stock_column) = at(Role::Stock) else {
            return;
        };
        let cell = row.cell(stock_column.index);
        let merged = table.merge_over(row.number, stock_column.index);
        let read = match stock_text(cell) {
            _ if merged.is_some() => Err(cells::Refusal::new("one stock a row, not merged")),
            Ok(stock) if stock.is_empty() => Err(cells::Refusal::new("a stock")),
            Ok(stock) if is_sum_row(&stock) => {
                Err(cells::Refusal::new("a car; this looks like a row of sums"))
            }
            other => other,
        };
        let stock = match read {
            Ok(stock) => stock,
            Err(refusal) => {
                let found = merged.map_or_else(
                    || cell.shown().into_owned(),
                    |merge| format!("{} merged", merge.range),
                );
                problems.push(Problem {
                    severity: Severity::Error,
                    place: drafts.place(source, |role| role == Role::Stock),
                    found,
                    expected: refusal.expected,
                    meant: refusal.meant,
                    stock: None,
                });
                return;
            }
        };
        if let Some(known) = drafts.find(&stock) {
            let first = drafts.cars[known].listed.map_or(0, |first| first.row);
            let place = drafts.place(source, |role| role == Role::Stock);
            let expected = format!("a stock once; first at row {first}");
            drafts.error(known, place, stock, expected, None, problems);
            return;
        }
        let car = drafts.add(&stock);
        drafts.cars[car].listed = Some(source);
        for column in &columns {
            let Role::List(list) = column.role else {
                continue;
            };
            let cell = row.cell(column.index);
            let place = || drafts.place(source, |role| role == column.role);
            if table.merge_over(row.number, column.index).is_some() {
                let place = place();
                drafts.error(
                    car,
                    place,
                    cell.shown(),
                    "one value a row, not merged",
                    None,
                    problems,
                );
                continue;
            }
            match fact_text(cell, list, table.decimal_comma()) {
                Ok(text) if text.is_empty() => {}
                Ok(text) => {
                    if table.decimal_comma()
                        && matches!(list, ListColumn::Value | ListColumn::Deductible)
                        && three_after_comma(&cell.shown())
                    {
                        let place = place();
                        drafts.caution(
                            car,
                            place,
                            cell.shown(),
                            format!("money: the comma is taken as a decimal comma, {text}"),
                            problems,
                        );
                    }
                    drafts.cars[car].facts.push(Fact {
                        column: list,
                        text: text.into(),
                        source,
                    });
                }
                Err(refusal) => {
                    let place = place();
                    drafts.error(
                        car,
                        place,
                        cell.shown(),
                        refusal.expected,
                        refusal.meant,
                        problems,
                    );
                }
            }
        }
    })
}

/// `1,234` in a file of decimal commas: a thousand, or one and a bit?
#[must_use]
pub fn three_after_comma(text: &str) -> bool {
    text.split_once(',').is_some_and(|(whole, fraction)| {
        !whole.is_empty() && fraction.len() == 3 && fraction.bytes().all(|b| b.is_ascii_digit())
    })
}

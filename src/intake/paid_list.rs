//! `paid.*`: what was handed over, kept or owed beside the work.

use super::cells::{self, Refusal};
use super::crew_list::People;
use super::day_cell;
use super::draft::Drafts;
use super::list_row::{ListRow, remember_sheet, source};
use super::plain_sheet::Columns;
use super::problem::Problems;
use super::storm_file::Settings;
use super::table::Table;
use super::work_log::find_person;
use crate::storm::{PaidKind, PaidRow, words};
use std::collections::HashMap;

/// The columns of the list.
pub const COLUMNS: Columns = Columns {
    key: "person",
    others: &["date", "kind", "amount", "note"],
    key_alone: false,
};

/// Reads one table. Whether it had the header. `seen` are the rows met so far.
#[expect(clippy::too_many_arguments)] // what a list is read against, and into
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    people: &People,
    drafts: &mut Drafts,
    seen: &mut HashMap<String, String>,
    paid: &mut Vec<PaidRow>,
    problems: &mut Problems,
) -> bool {
    let mut sheet = None;
    COLUMNS.read(
        table,
        order,
        &settings.intake,
        problems,
        |header, row, problems| {
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
            let Some(entry) = paid_row(&mut row, settings, people, sheet) else {
                return;
            };
            let key = format!(
                "{}|{}|{}|{}|{}",
                entry.date,
                entry.person,
                entry.kind.word(),
                settings.currency.text(entry.amount),
                entry.note
            );
            row.once(0, key, seen);
            paid.push(entry);
        },
    )
}

fn paid_row(
    row: &mut ListRow<'_>,
    settings: &Settings,
    people: &People,
    sheet: u32,
) -> Option<PaidRow> {
    let person = find_person(row, 0, people);
    let date = row.need(1, "the day", day_cell::day);
    let kinds = PaidKind::ALL.map(|kind| (kind.word(), kind));
    let kind = row.need(2, "what it is for", |cell| {
        cells::word(cell, &kinds, |text| {
            let folded = words::fold(text);
            kinds
                .iter()
                .find(|(word, _)| words::fold(word) == folded)
                .map(|(_, kind)| *kind)
        })
    });
    let comma = row.decimal_comma();
    let amount = row.need(3, "the amount", |cell| {
        let wanted = "money, 0 or more: the kind says which way it goes";
        let Some(figure) = cells::figure(cell, comma, wanted)? else {
            return Ok(None);
        };
        settings
            .currency
            .amount(figure)
            .map(Some)
            .ok_or_else(|| Refusal::new(super::resolve::no_finer(settings.currency)))
    });
    let note = row.read(4, cells::text);
    Some(PaidRow {
        date: date?,
        person: person?,
        kind: kind?,
        amount: amount?,
        note: note?,
        source: source(sheet, row.row),
    })
}

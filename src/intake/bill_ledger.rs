//! `bills.csv`: the ledger of numbered bills, one row for every car on one. It is
//! written by this program and only ever grows; whoever edits it is told where it
//! no longer holds together.

use super::cells::{self, Refusal};
use super::count_sheet::stock_text;
use super::day_cell;
use super::draft::Drafts;
use super::list_row::{ListRow, remember_sheet, source};
use super::plain_sheet::Columns;
use super::problem::Problems;
use super::storm_file::Settings;
use super::table::Table;
use crate::money::{Money, Percent};
use crate::storm::{BillKind, BillNumber, BillParts, BillRow, Debtor, Group, words};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

/// The columns of the ledger.
pub const COLUMNS: Columns = Columns {
    key: "number",
    others: &[
        "date",
        "due",
        "kind",
        "to",
        "stock",
        "of",
        "dents",
        "removal",
        "parts",
        "extra",
        "conventional",
        "tax",
        "not_approved",
        "other_part",
        "credit",
        "amount",
        "tax_rates",
    ],
    key_alone: false,
};

/// Its prefix and twenty figures.
const LONGEST_NUMBER: usize = 44;

/// Figures of a number stay below.
const MOST_BILLS: u64 = 1_000_000_000_000_000;

const NUMBER: usize = 0;
const DATE: usize = 1;
const DUE: usize = 2;
const KIND: usize = 3;
const TO: usize = 4;
const STOCK: usize = 5;
const OF: usize = 6;
const FIRST_GROUP: usize = 7;
const NOT_APPROVED: usize = 13;
const OTHER_PART: usize = 14;
const CREDIT: usize = 15;
const AMOUNT: usize = 16;
const TAX_RATES: usize = 17;

/// A bill's number: letters, figures, `-`, `_` and `.`, the figures that go up at
/// its end. Files are named after it.
#[must_use]
pub fn bill_number(text: &str) -> Option<BillNumber> {
    let text = text.trim();
    let is_plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.');
    let is_sound = text.len() <= LONGEST_NUMBER && text.bytes().all(is_plain);
    let figures = text.bytes().rev().take_while(u8::is_ascii_digit).count();
    let serial = text[text.len() - figures..].parse::<u64>().ok();
    // So far from the last number that there is always a next one.
    serial
        .filter(|serial| is_sound && *serial < MOST_BILLS)
        .map(|serial| BillNumber {
            text: text.to_owned(),
            serial,
        })
}

/// Reads one table. Whether it had the header.
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    all_known: bool,
    drafts: &mut Drafts,
    rows: &mut Vec<BillRow>,
    problems: &mut Problems,
) -> bool {
    let mut sheet = None;
    let mut strangers = HashSet::new();
    // The stocks of the bill at hand.
    let mut on_bill: HashSet<Arc<str>> = HashSet::new();
    let options = &settings.intake;
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
        let mut reader = LedgerRow {
            row: &mut row,
            settings,
            strangers: &mut strangers,
        };
        let Some(read) = reader.read(sheet, all_known, drafts) else {
            return;
        };
        if let Some(refusal) = out_of_line(rows.last(), &read) {
            row.refuse(NUMBER, refusal);
        }
        if rows.last().is_none_or(|above| above.number != read.number) {
            on_bill.clear();
        }
        if !on_bill.insert(read.stock.clone()) {
            row.refuse(STOCK, Refusal::new("a car once on a bill"));
        }
        if let Some(expected) = misfit(&read) {
            row.refuse(KIND, Refusal::new(expected));
        }
        rows.push(read);
    })
}

/// What a row can't be: parts that its kind or debtor does not have.
fn misfit(row: &BillRow) -> Option<&'static str> {
    let BillParts {
        groups,
        not_approved,
        credit,
        ..
    } = row.parts;
    let billed = row.parts.billed();
    let has_work = groups.iter().any(|amount| !amount.is_zero()) || !not_approved.is_zero();
    match row.kind {
        _ if credit > Money::ZERO => Some("a credit at most 0"),
        BillKind::Credit if !billed.is_zero() || has_work => {
            Some("in a credit nothing but the credit")
        }
        BillKind::Bill | BillKind::Supplement if billed < Money::ZERO => {
            Some("a correction, where less than nothing is billed")
        }
        BillKind::Correction if billed > Money::ZERO => {
            Some("a supplement, where more than nothing is billed")
        }
        _ if row.debtor() == Debtor::Owner && has_work => {
            Some("of an owner nothing but the other part")
        }
        _ if row.due < row.date => Some("a due day on or after the bill's"),
        _ => None,
    }
}

/// What is wrong with a row behind the one above: numbers go up by one, days do not
/// go back, and the rows of one bill are of one day, kind and debtor.
fn out_of_line(above: Option<&BillRow>, row: &BillRow) -> Option<Refusal> {
    let above = above?;
    if above.number == row.number {
        let same = (above.date, above.due, above.kind, &above.to)
            == (row.date, row.due, row.kind, &row.to);
        return (!same)
            .then(|| Refusal::new("one date, due day, kind and debtor for all rows of a bill"));
    }
    if row.date < above.date {
        return Some(Refusal::new(format!(
            "bills in the order of their days; the one above is of {}",
            above.date
        )));
    }
    let next = above.number.serial.saturating_add(1);
    (row.number.serial != next).then(|| {
        Refusal::new(format!(
            "the next number, which ends in {next}: bills stand in their order, each number once"
        ))
    })
}

struct LedgerRow<'r, 'a> {
    row: &'r mut ListRow<'a>,
    settings: &'r Settings,
    /// Names that no payer has, met so far.
    strangers: &'r mut HashSet<String>,
}

impl LedgerRow<'_, '_> {
    fn read(&mut self, sheet: u32, all_known: bool, drafts: &mut Drafts) -> Option<BillRow> {
        let number = self.row.need(NUMBER, "the bill's number", |cell| {
            let text = cells::text(cell)?;
            if text.trim().is_empty() {
                return Ok(None);
            }
            let expected = "a bill's number: letters, figures, - _ or ., with figures last";
            bill_number(&text)
                .map(Some)
                .ok_or_else(|| Refusal::new(expected))
        });
        let date = self.row.need(DATE, "the bill's day", day_cell::day);
        let due = self.row.need(DUE, "the day it is due", day_cell::day);
        let kinds = BillKind::ALL.map(|kind| (kind.word(), kind));
        let kind = self.row.need(KIND, "what kind of bill it is", |cell| {
            cells::word(cell, &kinds, |text| {
                let folded = words::fold(text);
                let known = kinds.iter().find(|(word, _)| *word == folded);
                known.map(|(_, kind)| *kind)
            })
        });
        let to = self.to();
        let stock = self.stock(all_known, drafts)?;
        let of = self.row.read(OF, cells::text);
        let parts = self.parts();
        let tax_rates = self
            .row
            .read(TAX_RATES, |cell| tax_rates(&cells::text(cell)?));
        if let (Some(parts), Some(rates)) = (&parts, &tax_rates)
            && !parts.groups[Group::Tax.index()].is_zero()
            && rates.iter().all(|rate| rate.is_zero())
        {
            let expected = "the rates of its tax, such as parts 7.55; extra 7.55";
            self.row.refuse(TAX_RATES, Refusal::new(expected));
        }
        Some(BillRow {
            number: number?,
            date: date?,
            due: due?,
            kind: kind?,
            to: to?,
            stock,
            of: of?,
            parts: parts?,
            tax_rates: tax_rates?,
            source: Some(source(sheet, self.row.row)),
        })
    }

    /// The stock. One that the storm has no longer was billed all the same: what
    /// was billed on it stands apart.
    fn stock(&mut self, all_known: bool, drafts: &mut Drafts) -> Option<Arc<str>> {
        let stock = self.row.need(STOCK, "the car's stock", |cell| {
            stock_text(cell).map(|stock| Some(stock).filter(|stock| !stock.is_empty()))
        })?;
        if drafts.find(&stock).is_some() {
            self.row.stock = Some(stock.clone());
        } else if all_known {
            let near = drafts.near_misses(&stock);
            let near: Vec<&str> = near
                .iter()
                .map(|car| drafts.cars[*car].stock.as_str())
                .collect();
            let near = match near.len() {
                0 => String::new(),
                _ => format!(" (there is {})", near.join(", ")),
            };
            let expected = format!(
                "a stock of the storm{near}; what was billed on it stands apart from its cars"
            );
            self.row.caution(STOCK, expected);
        }
        Some(Arc::from(stock.as_str()))
    }

    /// A payer's name as storm.toml has it, or the owner's word.
    fn to(&mut self) -> Option<String> {
        let payers = &self.settings.payers;
        let text = self.row.need(TO, "who is billed", |cell| {
            let text = cells::text(cell)?;
            // As this program guards a text that a spreadsheet would run.
            let text = match text.strip_prefix('\'') {
                Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest.to_owned(),
                _ => text,
            };
            Ok(Some(text.trim().to_owned()).filter(|text| !text.is_empty()))
        })?;
        let folded = words::fold(&text);
        if folded == Debtor::OWNER {
            return Some(folded);
        }
        let known: Vec<String> = payers
            .iter()
            .map(|payer| words::fold(&payer.name))
            .collect();
        if let Some(at) = known.iter().position(|known| *known == folded) {
            return Some(payers[at].name.clone());
        }
        // Payers may be renamed; what they were billed stays billed.
        if self.strangers.insert(folded) {
            let expected = "a payer of storm.toml, or owner; it is taken for the car's payer";
            self.row.caution(TO, expected);
        }
        Some(text)
    }

    fn money(&mut self, which: usize) -> Option<Money> {
        let comma = self.row.decimal_comma();
        let currency = self.settings.currency;
        self.row.read(which, |cell| {
            let figure = cells::signed_figure(cell, comma, "money")?.unwrap_or_default();
            let finer = || Refusal::new(super::resolve::no_finer(currency));
            currency.amount(figure).ok_or_else(finer)
        })
    }

    /// The parts, which sum to the amount.
    fn parts(&mut self) -> Option<BillParts> {
        let groups: Vec<Option<Money>> = (0..Group::ALL.len())
            .map(|group| self.money(FIRST_GROUP + group))
            .collect();
        let (not_approved, other_part) = (self.money(NOT_APPROVED), self.money(OTHER_PART));
        let (credit, amount) = (self.money(CREDIT), self.money(AMOUNT));
        let groups: Option<Vec<Money>> = groups.into_iter().collect();
        let parts = BillParts {
            groups: groups?.try_into().ok()?,
            not_approved: not_approved?,
            other_part: other_part?,
            credit: credit?,
        };
        if parts.amount() != amount? {
            let sum = self.settings.currency.text(parts.amount());
            let expected = format!("the sum of its parts, {sum}");
            self.row.refuse(AMOUNT, Refusal::new(expected));
            return None;
        }
        Some(parts)
    }
}

/// Percents by group as the ledger writes them: `parts 7.55; extra 7.55`.
fn tax_rates(text: &str) -> Result<[Percent; 6], Refusal> {
    let refused = || {
        Refusal::new(
            "percents by group with at most three decimals, such as parts 7.55; extra 7.55",
        )
    };
    let mut rates: BTreeMap<Group, Decimal> = BTreeMap::new();
    for part in text
        .split(';')
        .map(str::trim)
        .filter(|part| !part.is_empty())
    {
        let (word, percent) = part.split_once(' ').ok_or_else(refused)?;
        let group = Group::from_word(word).ok_or_else(refused)?;
        let percent = percent.trim().parse::<Decimal>().map_err(|_| refused())?;
        let is_sound = !percent.is_sign_negative()
            && percent <= Decimal::ONE_HUNDRED
            && percent.normalize().scale() <= Percent::PLACES;
        if !is_sound || rates.insert(group, percent).is_some() {
            return Err(refused());
        }
    }
    Ok(Group::ALL.map(|group| Percent(rates.get(&group).copied().unwrap_or_default())))
}

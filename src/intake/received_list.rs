//! `received.*`: what came in, from whom, and for which car or bill.

use super::cells::{self, Refusal};
use super::count_sheet::stock_text;
use super::day_cell;
use super::draft::Drafts;
use super::header::ListColumn;
use super::list_row::{ListRow, remember_sheet, source};
use super::plain_sheet::Columns;
use super::problem::Problems;
use super::storm_file::Settings;
use super::table::Table;
use super::work_log::find_car;
use crate::money::Money;
use crate::storm::{BillRow, Debtor, Receipt, ReceiptFor, words};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// The columns of the list.
pub const COLUMNS: Columns = Columns {
    key: "stock",
    others: &["date", "from", "amount", "note", "bill"],
    key_alone: false,
};

const STOCK: usize = 0;
const DATE: usize = 1;
const FROM: usize = 2;
const AMOUNT: usize = 3;
const NOTE: usize = 4;
const BILL: usize = 5;

/// Numbers that an unknown one is compared with.
const MOST_COMPARED: usize = 1_000;

/// What the list is read against, and what it has met so far.
pub struct ReceivedList<'a> {
    /// The storm's terms.
    pub settings: &'a Settings,
    /// The bill ledger.
    pub bills: &'a [BillRow],
    /// Its rows by their folded number: of each bill the first.
    pub by_number: HashMap<String, usize>,
    /// The stocks that were billed.
    pub billed: HashSet<Arc<str>>,
    /// Whether every stock of the storm is known.
    pub all_known: bool,
    /// The rows so far, by all that they say.
    pub seen: HashMap<String, u32>,
    /// The sound rows, in file order.
    pub rows: Vec<Receipt>,
}

impl ReceivedList<'_> {
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
            if let Some(receipt) = self.receipt(&mut row, sheet, drafts) {
                self.rows.push(receipt);
            }
        })
    }

    fn receipt(
        &mut self,
        row: &mut ListRow<'_>,
        sheet: u32,
        drafts: &mut Drafts,
    ) -> Option<Receipt> {
        let bill = row.read(BILL, cells::text)?.trim().to_owned();
        let of = if bill.is_empty() {
            self.of_car(row, drafts)
        } else {
            self.of_bill(row, &bill)
        };
        let date = row.need(DATE, "the day", day_cell::day);
        let amount = self.amount(row);
        let note = row.read(NOTE, cells::text)?;
        let (of, from) = of?;
        let receipt = Receipt {
            date: date?,
            of,
            from,
            amount: amount?,
            note,
            source: source(sheet, row.row),
        };
        let amount = self.settings.currency.text(receipt.amount);
        let key = format!(
            "{} {:?} {:?} {amount} {}",
            receipt.date, receipt.of, receipt.from, receipt.note
        );
        if let Some(first) = self.seen.get(&key) {
            let expected = format!(
                "a receipt once; the same stands at row {first}. Where it came twice, the notes tell the two apart"
            );
            row.refuse(STOCK, Refusal::new(expected));
            return None;
        }
        self.seen.insert(key, row.row.number);
        Some(receipt)
    }

    fn amount(&self, row: &mut ListRow<'_>) -> Option<Money> {
        let comma = row.decimal_comma();
        let currency = self.settings.currency;
        row.need(AMOUNT, "the amount", |cell| {
            let wanted = "money; below 0 where it went back";
            let Some(figure) = cells::signed_figure(cell, comma, wanted)? else {
                return Ok(None);
            };
            if figure.is_zero() {
                return Err(Refusal::new("an amount other than 0"));
            }
            let finer = || Refusal::new(super::resolve::no_finer(currency));
            currency.amount(figure).map(Some).ok_or_else(finer)
        })
    }

    fn of_car(&self, row: &mut ListRow<'_>, drafts: &mut Drafts) -> Option<(ReceiptFor, Debtor)> {
        let expected = (STOCK, "a stock; or in the column `bill` a bill's number");
        let written = stock_text(row.cell(STOCK)).unwrap_or_default();
        if let (None, Some(stock)) = (drafts.find(&written), self.billed.get(written.as_str())) {
            // The storm has it no longer; its money is not turned away.
            row.caution(
                STOCK,
                "a stock of the storm; it was billed, and stands apart",
            );
            let from = row.read(FROM, cells::text)?;
            let from = match words::fold(&from).as_str() {
                Debtor::OWNER => Debtor::Owner,
                _ => Debtor::Payer,
            };
            return Some((ReceiptFor::Car(stock.clone()), from));
        }
        let car = find_car(row, expected, drafts, self.all_known)?;
        let draft = &drafts.cars[car];
        let stock: Arc<str> = Arc::from(draft.stock.as_str());
        row.stock = Some(stock.to_string());
        let payer = draft.fact(ListColumn::Payer).map(|fact| fact.text.as_str());
        let payer = match (payer, &self.settings.payers[..]) {
            (None, [only]) => Some(only.name.as_str()),
            (payer, _) => payer,
        };
        let from = row.read(FROM, |cell| {
            let text = cells::text(cell)?;
            let folded = words::fold(&text);
            let is_payer = payer.is_some_and(|payer| words::fold(payer) == folded);
            match folded.as_str() {
                "" => Ok(Debtor::Payer),
                Debtor::OWNER => Ok(Debtor::Owner),
                // A car without a payer has an error of its own.
                _ if is_payer || payer.is_none() => Ok(Debtor::Payer),
                _ => {
                    let payer = payer.unwrap_or_default();
                    let known = [words::fold(payer), Debtor::OWNER.to_owned()];
                    let near = words::nearest(&folded, known.iter().map(String::as_str));
                    Err(Refusal {
                        expected: format!("the car's payer, {payer}, or owner"),
                        meant: near.map(|near| match near {
                            Debtor::OWNER => near.to_owned(),
                            _ => payer.to_owned(),
                        }),
                    })
                }
            }
        })?;
        Some((ReceiptFor::Car(stock), from))
    }

    /// A receipt for all cars of a bill.
    fn of_bill(&self, row: &mut ListRow<'_>, bill: &str) -> Option<(ReceiptFor, Debtor)> {
        if !row.cell(STOCK).is_blank() {
            let expected = "a stock or a bill, not both: a bill's money goes to its cars in order";
            row.refuse(BILL, Refusal::new(expected));
            return None;
        }
        let folded = words::fold(bill);
        let known = self.by_number.get(&folded).map(|at| &self.bills[*at]);
        let Some(known) = known else {
            let numbers = self.by_number.values().take(MOST_COMPARED);
            let mut numbers: Vec<&str> = numbers
                .map(|at| self.bills[*at].number.text.as_str())
                .collect();
            numbers.sort_unstable();
            let numbers = numbers.into_iter();
            let refusal = Refusal {
                expected: "the number of a bill in bills.csv".to_owned(),
                meant: words::nearest(bill, numbers).map(str::to_owned),
            };
            row.refuse(BILL, refusal);
            return None;
        };
        let to = row.read(FROM, cells::text)?;
        if !to.trim().is_empty() && words::fold(&to) != words::fold(&known.to) {
            let expected = format!("{}, who was billed, or blank", known.to);
            row.refuse(FROM, Refusal::new(expected));
            return None;
        }
        Some((ReceiptFor::Bill(known.number.text.clone()), known.debtor()))
    }
}

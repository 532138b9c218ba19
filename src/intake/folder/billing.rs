//! The bill ledger and what came in.
//!
//! Their problems, like those of decisions, are kept apart: a price needs none of
//! them, whoever bills or pays out of receipts needs all.

use super::super::bill_ledger;
use super::super::received_list::{self, ReceivedList};
use super::FolderReader;
use crate::storm::words;
use std::collections::HashMap;

/// Reading order of the bill ledger, behind the crew's files.
const LEDGER_ORDER: u32 = 3_200_000_000;
/// Reading order of the receipts.
const RECEIVED_ORDER: u32 = 3_200_000_001;

impl FolderReader<'_> {
    /// Reads the bill ledger and the receipts, where they are.
    pub fn billing(&mut self) {
        let of_storm = std::mem::take(&mut self.problems);
        // Where a sheet or list could not be read, the stocks are not all known.
        let all_known = self.drafts.has_list || !of_storm.stops();
        self.ledger(all_known);
        self.received(all_known);
        let log = &mut self.billing;
        log.is_kept |= !log.decisions.is_empty() || self.billing_problems.errors() > 0;
        let found = std::mem::replace(&mut self.problems, of_storm);
        self.billing_problems.join(found);
    }

    fn ledger(&mut self, all_known: bool) {
        let settings = self.settings;
        let columns = bill_ledger::COLUMNS;
        let Some(tables) = self.list("bills", LEDGER_ORDER, columns) else {
            return;
        };
        self.billing.is_kept = true;
        let mut rows = Vec::new();
        self.each(&tables, LEDGER_ORDER, columns, |reader, table, problems| {
            bill_ledger::read(
                table,
                LEDGER_ORDER,
                settings,
                all_known,
                &mut reader.drafts,
                &mut rows,
                problems,
            )
        });
        self.billing.bills = rows;
    }

    fn received(&mut self, all_known: bool) {
        let settings = self.settings;
        let columns = received_list::COLUMNS;
        let Some(tables) = self.list("received", RECEIVED_ORDER, columns) else {
            return;
        };
        self.billing.is_kept = true;
        let bills = std::mem::take(&mut self.billing.bills);
        let mut by_number = HashMap::new();
        for (at, row) in bills.iter().enumerate() {
            by_number.entry(words::fold(&row.number.text)).or_insert(at);
        }
        let mut list = ReceivedList {
            settings,
            bills: &bills,
            by_number,
            billed: bills.iter().map(|row| row.stock.clone()).collect(),
            all_known,
            seen: HashMap::new(),
            rows: Vec::new(),
        };
        self.each(
            &tables,
            RECEIVED_ORDER,
            columns,
            |reader, table, problems| {
                list.read(table, RECEIVED_ORDER, &mut reader.drafts, problems)
            },
        );
        self.billing.receipts = list.rows;
        self.billing.bills = bills;
    }
}

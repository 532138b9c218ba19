//! How long what is open has been open, from the day of its bill.

use super::account::{Accounts, AccountsInput};
use crate::money::Money;
use crate::storm::{BillRow, Debtor};
use jiff::civil::Date;
use std::collections::HashMap;

/// The stretches of days, by their last; the last stretch has none.
pub const AGES: [Option<i32>; 4] = [Some(30), Some(60), Some(90), None];

/// What one payer, or all owners together, owe.
#[derive(Debug, Clone, Default)]
pub struct AgeRow {
    /// Cars on which something is open.
    pub cars: u32,
    /// What is open, by [`AGES`].
    pub open: [Money; AGES.len()],
    /// What came in above what was billed: it is owed to them.
    pub over: Money,
}

impl AgeRow {
    /// All that is open.
    #[must_use]
    pub fn total(&self) -> Money {
        self.open.into_iter().sum()
    }

    /// Adds another row.
    pub fn join(&mut self, other: &AgeRow) {
        self.cars += other.cars;
        for (sum, more) in self.open.iter_mut().zip(other.open) {
            *sum += more;
        }
        self.over += other.over;
    }
}

/// Which stretch so many days fall into.
fn stretch(days: i32) -> usize {
    AGES.iter()
        .position(|last| last.is_none_or(|last| days <= last))
        .unwrap_or(AGES.len() - 1)
}

/// What each payer owes by age on a day, in the order of storm.toml; last all
/// owners together.
///
/// What came in for a car, and what a correction took off, pays its oldest bill
/// first.
#[must_use]
pub fn open_by_age(input: AccountsInput<'_>, accounts: &Accounts<'_>, on: Date) -> Vec<AgeRow> {
    let payers = input.storm.payers.len();
    let mut rows = vec![AgeRow::default(); payers + 1];
    let mut bills: HashMap<(&str, Debtor), Vec<&BillRow>> = HashMap::new();
    for row in input.log.bills.iter().filter(|row| row.kind.bills()) {
        let of = bills.entry((&*row.stock, row.debtor())).or_default();
        of.push(row);
    }
    for (car, account) in input.storm.cars.iter().zip(&accounts.cars) {
        let vehicle = &car.vehicle;
        for (debtor, of) in Debtor::ALL.into_iter().zip(&account.debtors) {
            let row = match debtor {
                Debtor::Payer => &mut rows[vehicle.payer],
                Debtor::Owner => &mut rows[payers],
            };
            let open = of.open();
            row.over += (-open).max(Money::ZERO);
            if open <= Money::ZERO {
                continue;
            }
            row.cars += 1;
            let bills = bills.get(&(vehicle.stock.as_str(), debtor));
            let bills = bills.map_or(&[][..], Vec::as_slice);
            let amounts = bills.iter().map(|bill| bill.parts.billed());
            let taken_off: Money = amounts.filter(|amount| *amount < Money::ZERO).sum();
            let mut paid = of.received - taken_off;
            for bill in bills {
                let amount = bill.parts.billed().max(Money::ZERO);
                let part = amount.min(paid);
                paid = paid - part;
                let days = (on - bill.date).get_days();
                row.open[stretch(days)] += amount - part;
            }
        }
    }
    rows
}

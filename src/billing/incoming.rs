//! Receipts car by car: what came for a whole bill is laid on its cars.

use crate::money::Money;
use crate::storm::{BillingLog, Debtor, ReceiptFor};
use jiff::civil::Date;
use std::collections::HashMap;
use std::sync::Arc;

/// What came in for one car from one of its debtors.
#[derive(Debug, Clone)]
pub struct CarReceipt {
    /// The day.
    pub date: Date,
    /// The car's stock.
    pub stock: Arc<str>,
    /// From whom.
    pub from: Debtor,
    /// How much; below zero where it went back.
    pub amount: Money,
    /// Index into [`BillingLog::receipts`].
    pub receipt: usize,
}

/// A car and one of its debtors.
type Account = (Arc<str>, Debtor);

/// What receipts are laid on: what was billed and received so far, by account and
/// by each account's rows of the ledger.
struct Books<'a> {
    billed: HashMap<Account, Money>,
    received: HashMap<Account, Money>,
    /// Per bill: its accounts with what is open of their rows.
    bills: HashMap<&'a str, Vec<(Account, Money)>>,
}

/// All receipts by car, in order of date, then file.
///
/// What came for a bill goes to its cars in the bill's order, to each no more
/// than the bill says of it and is open of it; then to what else is open of these
/// cars; what is left over stands on the last. What went back of a bill is taken
/// where more came in than was billed, then from the last.
#[must_use]
pub fn by_car(log: &BillingLog) -> Vec<CarReceipt> {
    let mut order: Vec<usize> = (0..log.receipts.len()).collect();
    order.sort_by_key(|at| (log.receipts[*at].date, *at));
    let mut books = Books {
        billed: HashMap::new(),
        received: HashMap::new(),
        bills: HashMap::new(),
    };
    for row in &log.bills {
        let account = (row.stock.clone(), row.debtor());
        let of_bill = books.bills.entry(row.number.text.as_str()).or_default();
        of_bill.push((account.clone(), row.parts.amount().max(Money::ZERO)));
        if row.kind.bills() {
            *books.billed.entry(account).or_default() += row.parts.billed();
        }
    }
    let mut by_car = Vec::with_capacity(order.len());
    for at in order {
        let receipt = &log.receipts[at];
        let parts = match &receipt.of {
            ReceiptFor::Car(stock) => {
                let account = (stock.clone(), receipt.from);
                *books.received.entry(account).or_default() += receipt.amount;
                vec![(stock.clone(), receipt.amount)]
            }
            ReceiptFor::Bill(number) => books.lay(number, receipt.amount),
        };
        by_car.extend(parts.into_iter().map(|(stock, amount)| CarReceipt {
            date: receipt.date,
            stock,
            from: receipt.from,
            amount,
            receipt: at,
        }));
    }
    by_car
}

impl Books<'_> {
    /// What is open of an account; below zero what is over.
    fn open(&self, account: &Account) -> Money {
        let of = |sums: &HashMap<Account, Money>| sums.get(account).copied().unwrap_or(Money::ZERO);
        of(&self.billed) - of(&self.received)
    }

    /// Lays what came in for a bill on its cars.
    fn lay(&mut self, number: &str, amount: Money) -> Vec<(Arc<str>, Money)> {
        let rows = self.bills.get_mut(number).map(std::mem::take);
        let mut rows = rows.unwrap_or_default();
        let mut parts = vec![Money::ZERO; rows.len()];
        let mut left = amount;
        // First the bill's own rows, then all that is open of its cars.
        for is_own in [true, false] {
            for ((account, of_row), part) in rows.iter_mut().zip(&mut parts) {
                if left.is_zero() {
                    break;
                }
                let open = self.open(account);
                let here = if amount < Money::ZERO {
                    // Nothing is taken where nothing is over.
                    -((-left).min((-open).max(Money::ZERO)))
                } else {
                    let open = if is_own { open.min(*of_row) } else { open };
                    left.min(open.max(Money::ZERO))
                };
                left = left - here;
                *part += here;
                *of_row = *of_row - here;
                *self.received.entry(account.clone()).or_default() += here;
            }
        }
        if let (false, Some(last), Some((account, _))) =
            (left.is_zero(), parts.last_mut(), rows.last())
        {
            *last += left;
            *self.received.entry(account.clone()).or_default() += left;
        }
        let of_cars = rows.iter().zip(parts);
        let laid = of_cars
            .filter(|(_, part)| !part.is_zero())
            .map(|((account, _), part)| (account.0.clone(), part))
            .collect();
        if let Some(of_bill) = self.bills.get_mut(number) {
            *of_bill = rows;
        }
        laid
    }
}

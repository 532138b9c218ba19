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

/// All receipts by car, in order of date, then file.
///
/// What came for a bill goes to its cars in the bill's order, to each no more
/// than is open there of this bill and those before; what is left over stands on
/// the last. What went back of it is taken likewise, first where more came in
/// than was billed.
#[must_use]
pub fn by_car(log: &BillingLog) -> Vec<CarReceipt> {
    let mut order: Vec<usize> = (0..log.receipts.len()).collect();
    order.sort_by_key(|at| (log.receipts[*at].date, *at));
    // Per row of the ledger: what its car was billed up to it.
    let mut billed: HashMap<Account, Money> = HashMap::new();
    let mut bills: HashMap<&str, Vec<(Account, Money)>> = HashMap::new();
    for row in log.bills.iter().filter(|row| row.kind.bills()) {
        let account = (row.stock.clone(), row.debtor());
        let sum = billed.entry(account.clone()).or_default();
        *sum += row.parts.amount();
        let of_bill = bills.entry(row.number.text.as_str()).or_default();
        of_bill.push((account, *sum));
    }
    let mut received: HashMap<Account, Money> = HashMap::new();
    let mut by_car = Vec::with_capacity(order.len());
    for at in order {
        let receipt = &log.receipts[at];
        let parts = match &receipt.of {
            ReceiptFor::Car(stock) => vec![(stock.clone(), receipt.amount)],
            ReceiptFor::Bill(number) => {
                let cars = bills.get(number.as_str()).map_or(&[][..], Vec::as_slice);
                on_cars(receipt.amount, cars, &received)
            }
        };
        for (stock, amount) in parts {
            *received.entry((stock.clone(), receipt.from)).or_default() += amount;
            by_car.push(CarReceipt {
                date: receipt.date,
                stock,
                from: receipt.from,
                amount,
                receipt: at,
            });
        }
    }
    by_car
}

fn on_cars(
    amount: Money,
    cars: &[(Account, Money)],
    received: &HashMap<Account, Money>,
) -> Vec<(Arc<str>, Money)> {
    let mut left = amount;
    let mut parts: Vec<(Arc<str>, Money)> = Vec::new();
    for (account, billed) in cars {
        let received = received.get(account).copied().unwrap_or(Money::ZERO);
        let open = *billed - received;
        let part = if amount < Money::ZERO {
            // Nothing is taken where nothing is over.
            -((-left).min((-open).max(Money::ZERO)))
        } else {
            left.min(open.max(Money::ZERO))
        };
        left = left - part;
        if !part.is_zero() {
            parts.push((account.0.clone(), part));
        }
    }
    if let (false, Some(((last, _), _))) = (left.is_zero(), cars.last()) {
        match parts.iter_mut().find(|(stock, _)| stock == last) {
            Some((_, part)) => *part += left,
            None => parts.push((last.clone(), left)),
        }
    }
    parts
}

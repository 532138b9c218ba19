//! Receipts car by car: what came for a whole bill is laid on its cars.

use crate::money::Money;
use crate::storm::{BillRow, BillingLog, Debtor, ReceiptFor};
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

/// All receipts by car, in order of date, then file.
///
/// What came for a bill goes to its cars in the bill's order, to each no more
/// than is open there; what is left over stands on the last. What went back of
/// it is taken likewise, first where more came in than was billed.
#[must_use]
pub fn by_car(log: &BillingLog) -> Vec<CarReceipt> {
    let mut order: Vec<usize> = (0..log.receipts.len()).collect();
    order.sort_by_key(|at| (log.receipts[*at].date, *at));
    let mut open: HashMap<(Arc<str>, Debtor), Money> = HashMap::new();
    for row in log.bills.iter().filter(|row| row.kind.bills()) {
        *open.entry((row.stock.clone(), row.debtor())).or_default() += row.parts.amount();
    }
    let mut by_car = Vec::with_capacity(order.len());
    for at in order {
        let receipt = &log.receipts[at];
        let parts = match &receipt.of {
            ReceiptFor::Car(stock) => vec![(stock.clone(), receipt.amount)],
            ReceiptFor::Bill(number) => {
                let rows = log.bills.iter().filter(|row| row.number.text == *number);
                on_cars(receipt.amount, &rows.collect::<Vec<_>>(), &open)
            }
        };
        for (stock, amount) in parts {
            let left = open.entry((stock.clone(), receipt.from)).or_default();
            *left = *left - amount;
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
    rows: &[&BillRow],
    open: &HashMap<(Arc<str>, Debtor), Money>,
) -> Vec<(Arc<str>, Money)> {
    let mut left = amount;
    let mut parts: Vec<(Arc<str>, Money)> = Vec::new();
    for row in rows {
        let key = (row.stock.clone(), row.debtor());
        let open = open.get(&key).copied().unwrap_or(Money::ZERO);
        let part = if amount < Money::ZERO {
            // Nothing is taken where nothing is over.
            -((-left).min((-open).max(Money::ZERO)))
        } else {
            left.min(open.max(Money::ZERO))
        };
        left = left - part;
        if !part.is_zero() {
            parts.push((row.stock.clone(), part));
        }
    }
    if let (false, Some(last)) = (left.is_zero(), rows.last()) {
        match parts.iter_mut().find(|(stock, _)| *stock == last.stock) {
            Some((_, part)) => *part += left,
            None => parts.push((last.stock.clone(), left)),
        }
    }
    parts
}

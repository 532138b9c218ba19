//! A percent of an amount, as a formula that rounds like the tool.
//!
//! `ROUND(219.40*12.5/100,2)` is not safe in a spreadsheet: 27.425 has no
//! binary form, and the product may lie on either side of it. So formulas
//! reckon in whole numbers, which are exact up to 2^53: the amount in minor
//! units times the percent in thousandths. Divided by 100,000 that is the
//! part in minor units. A half of one is exact in binary, and any other part
//! is at least 0.00001 away from it, so rounding to a whole number sees what
//! the exact decimals see. Dividing a whole number by the minor units of one
//! unit then gives the number nearest to the decimal: what a cell with that
//! amount holds.

use crate::money::{Currency, Money, Percent, RoundingRule};
use rust_decimal::prelude::ToPrimitive;

/// Thousandths of a percent in one whole.
const PARTS: u32 = 100_000;
/// Whole numbers up to here are exact in a spreadsheet's numbers.
const EXACT: i128 = 1 << 53;

/// The rounded part, from the cells of the amount and of the percent; an
/// empty text where either is 0, since no line is made then. `sign` goes
/// before it: `0-` or `0+`, so that it is never minus zero.
pub fn part(amount: &str, percent: &str, sign: &str, minor: u64, rule: RoundingRule) -> String {
    let product = format!("ROUND({amount}*{minor},0)*ROUND({percent}*1000,0)");
    let rounded = match rule {
        RoundingRule::HalfUp => format!("ROUND({product}/{PARTS},0)"),
        // A spreadsheet rounds halves away from zero. On a half, the even
        // neighbour is twice the rounded half of the number.
        RoundingRule::HalfEven => format!(
            "IF(ABS({product}/{PARTS}-TRUNC({product}/{PARTS}))=0.5,2*ROUND({product}/{},0),ROUND({product}/{PARTS},0))",
            2 * PARTS
        ),
    };
    format!("=IF(OR({amount}=0,{percent}=0),\"\",{sign}{rounded}/{minor})")
}

/// Whether the formula's whole numbers are exact for these figures.
pub fn is_exact(amount: Money, percent: Percent, currency: Currency) -> bool {
    let thousandths = (percent.0 * rust_decimal::Decimal::from(1_000)).to_i128();
    let product =
        thousandths.and_then(|thousandths| amount.minor_units(currency).checked_mul(thousandths));
    product.is_some_and(|product| product.abs() < EXACT)
}

/// A sum, rounded to the places: binary sums of cents drift, and rounding
/// brings them back to the decimal.
pub fn rounded(sum: &str, currency: Currency) -> String {
    format!("ROUND({sum},{})", currency.places())
}

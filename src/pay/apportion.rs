//! An amount in parts by weights, no minor unit made or lost: the method of
//! largest remainders (Hamilton).

use crate::money::{Currency, Money};
use num_bigint::BigUint;
use std::cmp::Reverse;

/// Parts of an amount by weights. Each part is first its exact share, rounded
/// towards zero; the units that are left over go one each to the largest
/// remainders, ties to the earlier. A negative amount is the mirror image of
/// the positive one, a weight of 0 gets nothing.
///
/// The parts sum to the amount. `None` where all weights are 0 and the amount
/// is not: then there is nobody to give it to.
#[must_use]
pub fn apportion(amount: Money, weights: &[BigUint], currency: Currency) -> Option<Vec<Money>> {
    let units = amount.minor_units(currency);
    let whole = BigUint::from(units.unsigned_abs());
    let all: BigUint = weights.iter().sum();
    if all == BigUint::ZERO {
        return (units == 0).then(|| vec![Money::ZERO; weights.len()]);
    }
    let mut parts: Vec<u128> = Vec::with_capacity(weights.len());
    let mut remainders: Vec<(BigUint, usize)> = Vec::with_capacity(weights.len());
    for (at, weight) in weights.iter().enumerate() {
        let product = &whole * weight;
        // A part is no larger than the amount, which is an i128.
        parts.push(u128::try_from(&product / &all).unwrap_or(0));
        remainders.push((product % &all, at));
    }
    let given: u128 = parts.iter().sum();
    let over = units.unsigned_abs() - given;
    remainders.sort_by_key(|(remainder, at)| (Reverse(remainder.clone()), *at));
    // Fewer units are left over than there are remainders above 0.
    for (_, at) in remainders.iter().take(usize::try_from(over).unwrap_or(0)) {
        parts[*at] += 1;
    }
    let signed = |part: u128| {
        let part = i128::try_from(part).unwrap_or(0);
        Money::from_minor_units(if units < 0 { -part } else { part }, currency)
    };
    Some(parts.into_iter().map(signed).collect())
}

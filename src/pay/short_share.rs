//! Shares of which not as much was left as their percent asks.

use super::{PayTerms, Split};
use crate::intake::{Place, Problem, Severity};
use crate::money::Currency;

/// Shares that got less than their percent, since not as much was left.
#[must_use]
pub fn share_cautions(split: &Split, terms: &PayTerms, currency: Currency) -> Vec<Problem> {
    let shares = terms.shares.iter().zip(&split.shares);
    shares
        .filter_map(|(share, sum)| {
            let (cars, short) = sum.short?;
            let word = if cars == 1 { "car" } else { "cars" };
            Some(Problem {
                severity: Severity::Caution,
                place: Place {
                    row: Some(share.line),
                    column: Some("percent".to_owned()),
                    ..Place::file("storm.toml")
                },
                found: share.percent.0.normalize().to_string(),
                expected: format!(
                    "as much left of {}: {} is {} short on {cars} {word}",
                    share.of.said(),
                    share.to,
                    currency.text(short)
                ),
                meant: None,
                stock: None,
            })
        })
        .collect()
}

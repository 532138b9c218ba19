//! Who shares one pool, and by how much.

use crate::storm::WorkRow;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Zero};
use rust_decimal::Decimal;

/// What one person may claim of a pool.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// Index into the crew list.
    pub person: usize,
    /// How much of it, 0 to 1.
    pub fraction: BigRational,
    /// Whether a row of the person names the pool.
    pub named: bool,
}

/// Why a pool can't be shared, by the row at fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClaimFault {
    /// Hours on some rows and not on others: this one has none.
    HoursMissing(usize),
    /// With this row the parts are more than the whole.
    PartsOverWhole(usize),
}

/// The rows of one person on one pool, as one.
struct Together {
    person: usize,
    first: usize,
    part: Option<BigRational>,
    hours: Option<Decimal>,
    without_hours: Option<usize>,
}

/// The claims on a pool, in crew order, and whether the rows that stand behind
/// came to it at all.
///
/// Rows that name the pool come first; what they leave open goes to the rows
/// that stand behind them, in the same way. Of each, those with a part get it
/// (of what the rows before left), the others share the rest by hours, or
/// equally where none has hours. `log` is the whole log; rows are indices into it.
///
/// # Errors
/// When the parts pass the whole, or hours stand on some rows only.
pub fn claims(
    log: &[WorkRow],
    named: &[usize],
    behind: &[usize],
) -> Result<(Vec<Claim>, bool), ClaimFault> {
    let mut came = false;
    let mut all: Vec<Claim> = Vec::new();
    let mut open = BigRational::one();
    for (rows, named) in [(named, true), (behind, false)] {
        // Rows that stand behind others who have all of it say nothing of this pool.
        if rows.is_empty() || (open.is_zero() && !named) {
            continue;
        }
        came |= !named;
        let mut given = BigRational::zero();
        for claim in tier(log, rows)? {
            let fraction = &claim.fraction * &open;
            given += &fraction;
            match all.iter_mut().find(|known| known.person == claim.person) {
                Some(known) => known.fraction += fraction,
                None => all.push(Claim {
                    fraction,
                    named,
                    ..claim
                }),
            }
        }
        open -= given;
    }
    all.sort_by_key(|claim| claim.person);
    Ok((all, came))
}

fn tier(log: &[WorkRow], rows: &[usize]) -> Result<Vec<Claim>, ClaimFault> {
    let mut people: Vec<Together> = Vec::new();
    let mut parts = BigRational::zero();
    for &at in rows {
        let row = &log[at];
        let known = people.iter().position(|known| known.person == row.person);
        let known = known.unwrap_or_else(|| {
            people.push(Together {
                person: row.person,
                first: at,
                part: None,
                hours: None,
                without_hours: None,
            });
            people.len() - 1
        });
        let person = &mut people[known];
        if let Some(part) = &row.part {
            parts += part;
            *person.part.get_or_insert_with(BigRational::zero) += part;
            if parts > BigRational::one() {
                return Err(ClaimFault::PartsOverWhole(at));
            }
        }
        match row.hours {
            Some(hours) => *person.hours.get_or_insert(Decimal::ZERO) += hours,
            None => person.without_hours = person.without_hours.or(Some(at)),
        }
    }
    let rest = BigRational::one() - parts;
    let without_part: Vec<&Together> = people
        .iter()
        .filter(|person| person.part.is_none())
        .collect();
    let by_hours = without_part.iter().any(|person| person.hours.is_some());
    if by_hours && let Some(row) = without_part.iter().find_map(|person| person.without_hours) {
        return Err(ClaimFault::HoursMissing(row));
    }
    let weight = |person: &Together| match person.hours {
        Some(hours) if by_hours => BigRational::new(
            BigInt::from(hours.mantissa()),
            BigInt::from(10).pow(hours.scale()),
        ),
        _ => BigRational::one(),
    };
    let mut weights: Vec<BigRational> = without_part.iter().map(|person| weight(person)).collect();
    let mut sum: BigRational = weights.iter().sum();
    if sum.is_zero() {
        // Nothing but noughts says as little as no hours at all.
        weights.fill(BigRational::one());
        sum = BigRational::from(BigInt::from(weights.len()));
    }
    let shares: Vec<(usize, BigRational)> = without_part
        .iter()
        .zip(weights)
        .map(|(person, weight)| (person.first, &rest * weight / &sum))
        .collect();
    let claims = people.iter().map(|person| Claim {
        person: person.person,
        named: false,
        fraction: person.part.clone().unwrap_or_else(|| {
            shares
                .iter()
                .find(|(first, _)| *first == person.first)
                .map_or_else(BigRational::zero, |(_, share)| share.clone())
        }),
    });
    Ok(claims.collect())
}

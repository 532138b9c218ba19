//! Strata that stand together for the variance only.

use super::Stratum;

/// A group of strata: its places in the lot, at least one.
pub type Group = Vec<usize>;

/// The groups of all strata with a counted car, in lot order; `None` where a
/// stratum of one counted car of several has no partner at all.
///
/// Such a stratum has no variance of its own. It is collapsed with the next one
/// in lot order that has a counted car and is not counted in full, or, where
/// none comes after it, with the one before. The partner is taken by order and
/// never by its result, which would make errors look small. Several in a row
/// join one group (Cochran 1977, 5A.12, collapsed strata).
#[must_use]
pub fn groups(strata: &[Stratum]) -> Option<Vec<Group>> {
    let counted: Vec<usize> = (0..strata.len())
        .filter(|at| strata[*at].counted() > 0)
        .collect();
    let open: Vec<usize> = counted
        .iter()
        .copied()
        .filter(|at| !strata[*at].is_whole())
        .collect();
    // By place in `open`: whether it is in one group with the next.
    let mut joined = vec![false; open.len()];
    for (place, at) in open.iter().enumerate() {
        if strata[*at].counted() > 1 {
            continue;
        }
        if place + 1 < open.len() {
            joined[place] = true;
        } else if place > 0 {
            joined[place - 1] = true;
        } else {
            return None;
        }
    }
    let mut groups: Vec<Group> = Vec::new();
    // How many open ones came, and the group of the last of them.
    let (mut place, mut last_open) = (0, 0);
    for at in counted {
        if strata[at].is_whole() {
            groups.push(vec![at]);
            continue;
        }
        if place > 0 && joined[place - 1] {
            groups[last_open].push(at);
        } else {
            last_open = groups.len();
            groups.push(vec![at]);
        }
        place += 1;
    }
    Some(groups)
}

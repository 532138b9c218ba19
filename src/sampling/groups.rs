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
    for at in counted {
        let joins = open
            .iter()
            .position(|known| *known == at)
            .is_some_and(|place| place > 0 && joined[place - 1]);
        if joins {
            // The open one before it is in the last group that is not whole.
            let before = groups
                .iter_mut()
                .rev()
                .find(|group| !strata[group[0]].is_whole());
            if let Some(group) = before {
                group.push(at);
                continue;
            }
        }
        groups.push(vec![at]);
    }
    Some(groups)
}

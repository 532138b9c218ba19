//! The rows that a sheet will have, and in which order.

use super::sheet::Look;
use crate::properties::plain::{Count, Lot};
use crate::properties::ratio::Ratio;
use crate::properties::storms::Dice;
use std::collections::BTreeMap;

/// One row to be: a car's panel, or a part of what was counted there.
#[derive(Clone)]
pub struct Entry {
    pub car: usize,
    pub count: Count,
}

/// The rows to be, car by car; repeated panels next to each other.
pub fn entries(look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (car, of) in lot.cars.iter().enumerate() {
        for count in &of.panels {
            let whole = Entry {
                car,
                count: count.clone(),
            };
            match look.repeated {
                Some("add") if dice.once_in(5) => {
                    entries.extend(parts(count, dice).map(|count| Entry { car, count }));
                }
                Some("last") if dice.once_in(5) => {
                    entries.push(Entry {
                        car,
                        count: another(count, dice),
                    });
                    entries.push(whole);
                }
                _ => entries.push(whole),
            }
        }
    }
    entries
}

/// Two counts that add up to one; a referral in one of them refers.
fn parts(count: &Count, dice: &mut Dice<'_>) -> [Count; 2] {
    let (mut one, mut two) = (count.clone(), count.clone());
    for (one, two) in one.sized.iter_mut().zip(&mut two.sized) {
        *one = dice.below(*two + 1);
        *two -= *one;
    }
    let half = count.measured.len() / 2;
    one.measured.truncate(half);
    two.measured.drain(..half);
    // Lists join; a code in both is one code.
    one.remove.truncate(1);
    one.prior = 0;
    match dice.below(2) {
        0 => one.conventional = false,
        _ => two.conventional = false,
    }
    // What one row does not say, the other may.
    match dice.below(3) {
        0 => one.metal = "",
        1 => two.access = "",
        _ => {}
    }
    [one, two]
}

/// A count of the same panel that a later row replaces.
fn another(count: &Count, dice: &mut Dice<'_>) -> Count {
    let mut other = count.clone();
    for dents in &mut other.sized {
        *dents += dice.below(30);
    }
    other.measured.push((Ratio::whole(95), 2));
    other.conventional = !count.conventional;
    other.metal = "aluminium";
    other.remove.clear();
    other
}

/// Rows of a panel keep their order where the last one counts.
pub fn shuffle(look: &Look, entries: &mut [Entry], dice: &mut Dice<'_>) {
    let mut last: BTreeMap<(usize, &str), Count> = BTreeMap::new();
    for entry in entries.iter() {
        last.insert((entry.car, entry.count.panel), entry.count.clone());
    }
    dice.shuffle(entries);
    if look.repeated != Some("last") {
        return;
    }
    let mut seen: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for at in 0..entries.len() {
        let key = (entries[at].car, entries[at].count.panel);
        if let Some(before) = seen.insert(key, at) {
            // Whichever came first now, the true one is the later.
            let other = match entries[at].count == last[&key] {
                true => entries[before].count.clone(),
                false => entries[at].count.clone(),
            };
            entries[before].count = other;
            entries[at].count = last[&key].clone();
        }
    }
}

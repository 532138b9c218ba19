//! Step 5: remove and install.

use super::ledger::Ledger;
use super::line::{Basis, Item, Line, SetOff};
use super::prepared::PreparedCard;
use crate::money::Money;
use crate::rates::OncePer;
use crate::storm::{Car, Group, Panel};
use smallvec::SmallVec;

/// Adds the lines of all wanted removals: by code in byte order, per code by
/// panel, each labour then parts.
/// `repaired` are the panels that this crew repairs, with their dents.
pub fn lines(
    card: &PreparedCard<'_>,
    car: &Car,
    repaired: impl Iterator<Item = (Panel, u32)>,
    ledger: &mut Ledger,
) {
    let mut wanted = SmallVec::new();
    want(card, car, repaired, &mut wanted);
    for one in &wanted {
        let &Wanted {
            removal,
            panel,
            auto,
        } = one;
        if let Some(including) = included_in(card, &wanted, one) {
            ledger.push(Line {
                panel,
                group: Group::Removal,
                item: Item::Removal(removal),
                quantity: Some(1),
                amount: Some(Money::ZERO),
                basis: Basis::In { removal: including },
            });
            continue;
        }
        let entry = &card.card.removals[removal];
        ledger.push(Line {
            panel,
            group: Group::Removal,
            item: Item::Removal(removal),
            quantity: Some(1),
            amount: Some(card.labour(removal, car.vehicle.body)),
            basis: Basis::Labour {
                hours: entry.hours.on(car.vehicle.body),
                rate: card.card.removal_rate.into(),
                auto,
            },
        });
        if let Some(parts) = entry.parts {
            ledger.push(Line {
                panel,
                group: Group::Parts,
                item: Item::Parts(removal),
                quantity: Some(1),
                amount: Some(card.rounding.money(parts)),
                basis: Basis::Card { amount: parts },
            });
        }
    }
}

/// A removal that is wanted, where, and what set it off unless it was listed.
struct Wanted {
    removal: usize,
    /// `None` is the car as a whole, which is where a removal once per vehicle
    /// always stands.
    panel: Option<Panel>,
    auto: Option<SetOff>,
}

/// Most cars want no more than so many.
type AllWanted = SmallVec<[Wanted; 8]>;

/// What is wanted on a car, by code in byte order and per code by panel, each
/// place once.
fn want(
    card: &PreparedCard<'_>,
    car: &Car,
    repaired: impl Iterator<Item = (Panel, u32)>,
    wanted: &mut AllWanted,
) {
    let removals = &card.card.removals;
    let by_id = |id| removals.iter().position(|removal| removal.id == id);
    // The first reason stands: what is listed comes before what is set off.
    let mut want = |removal: usize, panel: Option<Panel>, auto: Option<SetOff>| {
        let panel = match removals[removal].once_per {
            OncePer::Vehicle => None,
            OncePer::Panel => panel,
        };
        let place = (card.code_place(removal), panel);
        let place_of = |wanted: &Wanted| (card.code_place(wanted.removal), wanted.panel);
        if let Err(at) = wanted.binary_search_by_key(&place, place_of) {
            wanted.insert(
                at,
                Wanted {
                    removal,
                    panel,
                    auto,
                },
            );
        }
    };
    for code in &car.removals {
        if let Some(removal) = by_id(*code) {
            want(removal, None, None);
        }
    }
    for count in &car.panels {
        for code in &count.removals {
            if let Some(removal) = by_id(*code) {
                want(removal, Some(count.panel), None);
            }
        }
    }
    // Only panels that this crew repairs set anything off by themselves.
    for (panel, dents) in repaired {
        for &(removal, at_least) in card.set_off_by(panel) {
            if dents >= at_least {
                let set_off = SetOff {
                    panel,
                    dents,
                    at_least,
                };
                want(removal, Some(panel), Some(set_off));
            }
        }
    }
}

/// The wanted removal, first by code, that includes this one: anywhere on
/// the car, but between two per-panel removals on the same panel only.
fn included_in(card: &PreparedCard<'_>, wanted: &[Wanted], one: &Wanted) -> Option<usize> {
    let removals = &card.card.removals;
    let is_wanted = |other: usize| {
        let both_per_panel = removals[other].once_per == OncePer::Panel
            && removals[one.removal].once_per == OncePer::Panel;
        wanted
            .iter()
            .any(|wanted| wanted.removal == other && (!both_per_panel || wanted.panel == one.panel))
    };
    let mut including = card.including(one.removal).iter().copied();
    including.find(|other| is_wanted(*other))
}

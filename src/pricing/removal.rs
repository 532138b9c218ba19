//! Step 5: remove and install.

use super::car::PricedPanel;
use super::ledger::Ledger;
use super::line::{Basis, Item, Line, SetOff};
use super::prepared::PreparedCard;
use crate::money::Money;
use crate::rates::OncePer;
use crate::storm::{Car, Group, Panel};
use smallvec::SmallVec;

/// Adds the lines of all wanted removals: by code in byte order, per code by
/// panel, each labour then parts.
pub fn lines(card: &PreparedCard<'_>, car: &Car, panels: &[PricedPanel], ledger: &mut Ledger) {
    let wanted = wanted(card, car, panels);
    if wanted.is_empty() {
        return;
    }
    for &removal in &card.removals_by_code {
        let entry = &card.card.removals[removal];
        for &Wanted { panel, auto, .. } in wanted.iter().filter(|one| one.removal == removal) {
            if let Some(including) = included_in(card, &wanted, removal, panel) {
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
}

/// A removal that is wanted, where, and what set it off unless it was listed.
struct Wanted {
    removal: usize,
    /// `None` is the car as a whole, which is where a removal once per vehicle
    /// always stands.
    panel: Option<Panel>,
    auto: Option<SetOff>,
}

/// What is wanted on a car, by removal of the card and there by panel, each
/// place once.
fn wanted(card: &PreparedCard<'_>, car: &Car, panels: &[PricedPanel]) -> SmallVec<[Wanted; 8]> {
    let removals = &card.card.removals;
    let mut wanted: SmallVec<[Wanted; 8]> = SmallVec::new();
    let by_id = |id| removals.iter().position(|removal| removal.id == id);
    // The first reason stands: what is listed comes before what is set off.
    let mut want = |removal: usize, panel: Option<Panel>, auto: Option<SetOff>| {
        let panel = match removals[removal].once_per {
            OncePer::Vehicle => None,
            OncePer::Panel => panel,
        };
        let place = (removal, panel);
        let found = wanted.binary_search_by_key(&place, |wanted| (wanted.removal, wanted.panel));
        if let Err(at) = found {
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
    for panel in panels.iter().filter(|panel| panel.referral.is_none()) {
        let dents = panel.dents + panel.oversize;
        for &(removal, at_least) in card.set_off_by(panel.panel) {
            if dents >= at_least {
                let set_off = SetOff {
                    panel: panel.panel,
                    dents,
                    at_least,
                };
                want(removal, Some(panel.panel), Some(set_off));
            }
        }
    }
    wanted
}

/// The wanted removal, first by code, that includes this one: anywhere on
/// the car, but between two per-panel removals on the same panel only.
fn included_in(
    card: &PreparedCard<'_>,
    wanted: &[Wanted],
    removal: usize,
    panel: Option<Panel>,
) -> Option<usize> {
    let removals = &card.card.removals;
    let includes = |other: usize| {
        let both_per_panel = removals[other].once_per == OncePer::Panel
            && removals[removal].once_per == OncePer::Panel;
        removals[other].includes.contains(&removal)
            && wanted
                .iter()
                .any(|one| one.removal == other && (!both_per_panel || one.panel == panel))
    };
    let mut by_code = card.removals_by_code.iter().copied();
    by_code.find(|other| includes(*other))
}

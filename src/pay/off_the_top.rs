//! The first of the two moves: a car's money through the shares, and what is
//! left of it as pools.

use super::apportion::apportion;
use super::share::{Share, ShareOf};
use crate::money::{Currency, Money, Rounding, RoundingRule};
use crate::pricing::{Item, PricedCar};
use crate::storm::{Group, Panel};
use num_bigint::BigUint;

/// The groups that shares are taken of, in the order in which `total` takes them.
const SHARED: [Group; 4] = [Group::Dents, Group::Removal, Group::Parts, Group::Extra];

/// What one share took of a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShareTaken {
    /// What it got.
    pub amount: Money,
    /// What it lacks, since not as much was left.
    pub short: Money,
}

/// The pool of one panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PanelPool {
    /// The panel.
    pub panel: Panel,
    /// The pool.
    pub amount: Money,
    /// Some line of it waits for a quote.
    pub open: bool,
}

/// A car's money after the first move. Its parts sum to the car's known total.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffTheTop {
    /// Per share, in their order.
    pub shares: Vec<ShareTaken>,
    /// Per panel with lines for dents, in panel order.
    pub panels: Vec<PanelPool>,
    /// What is left of removal: the car's removal pool.
    pub removal: Money,
    /// What is left of parts and extra, and of dents without a panel: the house's.
    pub house: Money,
    /// Passed through to whoever does the referred panels.
    pub conventional: Money,
    /// The taxes, as the payer's terms have them: index and amount.
    pub taxes: Vec<(usize, Money)>,
}

impl OffTheTop {
    /// Takes the shares of a priced car, in their order. Amounts that are not
    /// known yet count nothing.
    #[must_use]
    pub fn of(car: &PricedCar, shares: &[Share], currency: Currency) -> OffTheTop {
        let known = |group: Group| car.ledger.sum(group).known;
        let priced = SHARED.map(known);
        let mut left = priced;
        let shares = shares
            .iter()
            .map(|share| take(share, priced, &mut left, currency))
            .collect();
        let [dents, removal, parts, extra] = left;
        let (panels, without_panel) = panel_pools(car, dents, currency);
        OffTheTop {
            shares,
            panels,
            removal,
            house: parts + extra + without_panel,
            conventional: known(Group::Conventional),
            taxes: car
                .ledger
                .lines()
                .iter()
                .filter_map(|line| match line.item {
                    Item::Tax(tax) => Some((tax, line.amount.unwrap_or(Money::ZERO))),
                    _ => None,
                })
                .collect(),
        }
    }

    /// The sum of all parts.
    #[must_use]
    pub fn total(&self) -> Money {
        let shares: Money = self.shares.iter().map(|share| share.amount).sum();
        let panels: Money = self.panels.iter().map(|pool| pool.amount).sum();
        let taxes: Money = self.taxes.iter().map(|(_, amount)| *amount).sum();
        shares + panels + self.removal + self.house + self.conventional + taxes
    }
}

/// One share: rounded once a car, never more than is left.
fn take(
    share: &Share,
    priced: [Money; 4],
    left: &mut [Money; 4],
    currency: Currency,
) -> ShareTaken {
    let rounding = Rounding {
        rule: RoundingRule::HalfUp,
        currency,
    };
    let part = |of: Money| rounding.money(of.exact().percent(share.percent));
    let mut asked = [Money::ZERO; 4];
    match share.of {
        ShareOf::DentsLeft => asked[0] = part(left[0]),
        ShareOf::Group(group) => {
            if let Some(at) = SHARED.iter().position(|shared| *shared == group) {
                asked[at] = part(priced[at]);
            }
        }
        ShareOf::Total => {
            let weights = priced.map(|amount| weight(amount, currency));
            let whole = part(priced.into_iter().sum());
            if let Some(parts) = apportion(whole, &weights, currency) {
                asked.copy_from_slice(&parts);
            }
        }
    }
    let mut taken = ShareTaken {
        amount: Money::ZERO,
        short: Money::ZERO,
    };
    for (asked, left) in asked.into_iter().zip(left) {
        // A share of less than nothing is the mirror image.
        let got = if *left < Money::ZERO {
            -((-asked).min(-*left))
        } else {
            asked.min(*left)
        };
        *left = *left - got;
        taken.amount += got;
        taken.short += asked - got;
    }
    taken
}

/// What is left of dents by each panel's own lines; and what belongs to none.
fn panel_pools(car: &PricedCar, dents: Money, currency: Currency) -> (Vec<PanelPool>, Money) {
    let mut panels: Vec<PanelPool> = Vec::new();
    for line in car.ledger.lines() {
        let Some(panel) = line.panel.filter(|_| line.group == Group::Dents) else {
            continue;
        };
        let at = match panels.iter().position(|pool| pool.panel == panel) {
            Some(at) => at,
            None => {
                panels.push(PanelPool {
                    panel,
                    amount: Money::ZERO,
                    open: false,
                });
                panels.len() - 1
            }
        };
        panels[at].amount += line.amount.unwrap_or(Money::ZERO);
        panels[at].open |= line.amount.is_none();
    }
    panels.sort_by_key(|pool| pool.panel);
    let mut weights: Vec<BigUint> = panels
        .iter()
        .map(|pool| weight(pool.amount, currency))
        .collect();
    if weights.iter().all(|weight| *weight == BigUint::ZERO) {
        weights.fill(BigUint::from(1_u8));
    }
    match apportion(dents, &weights, currency) {
        Some(parts) => {
            for (pool, part) in panels.iter_mut().zip(parts) {
                pool.amount = part;
            }
            (panels, Money::ZERO)
        }
        // No panel at all: a minimum on removal alone.
        None => (panels, dents),
    }
}

/// An amount as a weight; below zero it weighs nothing.
fn weight(amount: Money, currency: Currency) -> BigUint {
    BigUint::from(u128::try_from(amount.minor_units(currency)).unwrap_or(0))
}

//! What one payer agreed beside the card: discounts, minimum, taxes, deductibles.

use crate::money::{Money, Percent};
use crate::storm::Group;

/// A payer's terms.
#[derive(Debug, Clone)]
pub struct Terms {
    /// Index of the card in [`super::Rates::cards`].
    pub card: usize,
    /// Standing discount per group, in [`Group::ALL`] order.
    pub discount: [Percent; 6],
    /// Discounts on dents by number of cars, fewest cars first.
    pub lot_discount: Vec<LotTier>,
    /// The least a car costs before tax.
    pub minimum: Option<Money>,
    /// Taxes, in the order of storm.toml.
    pub taxes: Vec<Tax>,
    /// What the owner bears of each car.
    pub deductible: Option<Money>,
    /// What all owners together bear of one event.
    pub deductible_event_max: Option<Money>,
    /// When a car is flagged as a possible total loss.
    pub total_loss: Option<TotalLoss>,
}

/// One step of a lot discount.
#[derive(Debug, Clone, Copy)]
pub struct LotTier {
    /// From this many cars of the payer with a priced panel.
    pub cars_at_least: u32,
    /// Off the dents of all of them.
    pub percent: Percent,
}

/// One tax.
#[derive(Debug, Clone)]
pub struct Tax {
    /// Its name, as printed.
    pub name: String,
    /// The rate.
    pub percent: Percent,
    /// Groups that it is on, in [`Group::ALL`] order.
    pub on: [bool; 6],
}

/// When a car is flagged as a possible total loss.
#[derive(Debug, Clone, Copy)]
pub struct TotalLoss {
    /// Of the vehicle's value.
    pub percent: Percent,
    /// `>=` rather than `>`.
    pub or_equal: bool,
    /// Local law leaves hail out (as some states' titling law does): never flagged.
    pub hail_exempt: bool,
}

impl Terms {
    /// The lot tier reached by so many cars with a priced panel.
    #[must_use]
    pub fn tier(&self, cars: usize) -> Option<LotTier> {
        self.lot_discount
            .iter()
            .rev()
            .find(|tier| tier.cars_at_least as usize <= cars)
            .copied()
    }

    /// Percent off a group once the tier is known.
    #[must_use]
    pub fn discount_on(&self, group: Group, tier: Option<LotTier>) -> Percent {
        let standing = self.discount[group.index()];
        match (group, tier) {
            (Group::Dents, Some(tier)) => standing + tier.percent,
            _ => standing,
        }
    }
}

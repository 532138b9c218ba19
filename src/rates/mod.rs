//! Rate cards and payers' terms: what was agreed before the first dent is counted.

mod band;
mod card;
mod grid;
mod removal;
mod terms;
mod uplift;

pub use band::{Band, BandError, check_bands};
pub use card::{
    Conventional, Extra, Limit, LimitAction, MixedSizes, OversizeStep, Per, RateCard, SizeClass,
    SortedDents, UpliftMode,
};
pub use grid::{Grid, GridUnit};
pub use removal::{AutoRemoval, Caution, OncePer, Removal, RemovalHours};
pub use terms::{LotTier, Tax, Terms, TotalLoss};
pub use uplift::{Uplift, UpliftBase};

/// All that prices a storm: the cards and, payer by payer, which card and which terms.
#[derive(Debug, Clone)]
pub struct Rates {
    /// The cards.
    pub cards: Vec<RateCard>,
    /// One per payer, in the storm's payer order.
    pub terms: Vec<Terms>,
}

impl Rates {
    /// The card that prices this payer's cars.
    #[must_use]
    pub fn card_of(&self, payer: usize) -> &RateCard {
        &self.cards[self.terms[payer].card]
    }

    /// The same terms, every payer on the one card given.
    #[must_use]
    pub fn on_card(&self, card: RateCard) -> Rates {
        let terms = self
            .terms
            .iter()
            .map(|terms| Terms {
                card: 0,
                ..terms.clone()
            })
            .collect();
        Rates {
            cards: vec![card],
            terms,
        }
    }
}

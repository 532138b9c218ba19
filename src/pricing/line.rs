//! One amount and how it arose.

use crate::money::{Exact, Money, Percent};
use crate::rates::Band;
use crate::storm::{Group, Panel};
use crate::units::Hours;

/// What a line is for. Indices point into the car's card, terms or the storm's agreed rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// Dents priced in a class of the card.
    Dents(usize),
    /// Oversize dents up to a step of the card.
    OversizeTo(usize),
    /// Oversize dents above the last step: by written quote.
    OversizeAbove,
    /// An uplift of the card.
    Uplift(usize),
    /// What a held limit takes off.
    Limit,
    /// A panel that goes to conventional repair.
    Conventional,
    /// Labour of a removal of the card.
    Removal(usize),
    /// Parts of a removal of the card.
    Parts(usize),
    /// An extra of the card.
    Extra(usize),
    /// A line of its own that people agreed on.
    Agreed(usize),
    /// A discount.
    Discount,
    /// The rest up to the minimum.
    Minimum,
    /// A tax of the terms.
    Tax(usize),
}

/// The panel whose dents set a removal off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetOff {
    /// Which panel.
    pub panel: Panel,
    /// Its dents, oversize ones counted.
    pub dents: u32,
    /// From how many on.
    pub at_least: u32,
}

/// How a line's amount arose, in figures; [`super::Explainer`] puts it into words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// So many dents, priced in this class, in this band.
    Band {
        /// Dents that chose the band.
        dents: u32,
        /// The class of the column.
        class: usize,
        /// The band.
        band: Band,
        /// Hours and rate, where the grid is in hours.
        hours: Option<(Hours, Exact)>,
        /// The grid's cell before rounding.
        cell: Exact,
    },
    /// So many, each at this.
    Each {
        /// How many.
        count: u32,
        /// Each.
        each: Exact,
    },
    /// So many, by written quote.
    Quote {
        /// How many dents; 0: not a matter of dents.
        dents: u32,
    },
    /// A percent of dents and of oversize dents, as far as it is on them.
    PercentOf {
        /// The percent.
        percent: Percent,
        /// Of the dents.
        dents: Option<Exact>,
        /// Of the oversize dents.
        oversize: Option<Exact>,
    },
    /// A limit less what the panel came to.
    Held {
        /// The limit.
        limit: Exact,
        /// What the panel came to.
        sum: Money,
    },
    /// An amount of the card, as it stands there.
    Card {
        /// The amount before rounding.
        amount: Exact,
    },
    /// Why a panel is referred, and at what amount of the card.
    Referred {
        /// The amount of the card, before rounding.
        amount: Option<Exact>,
        /// Why.
        reason: super::Referral,
    },
    /// Hours at a rate.
    Labour {
        /// The hours.
        hours: Hours,
        /// The rate.
        rate: Exact,
        /// What set it off, where nobody listed it.
        auto: Option<SetOff>,
    },
    /// Not charged again: in this removal.
    In {
        /// Index of the removal.
        removal: usize,
    },
    /// Agreed by hand: this row.
    Agreed {
        /// Index of the row.
        row: usize,
    },
    /// A percent off a sum of lines.
    PercentOff {
        /// The percent.
        percent: Percent,
        /// The sum.
        sum: Money,
    },
    /// The minimum less a sum.
    UpTo {
        /// The minimum.
        minimum: Money,
        /// The sum.
        sum: Money,
    },
    /// A tax on a sum of lines.
    TaxOn {
        /// The rate.
        percent: Percent,
        /// The sum.
        sum: Money,
    },
}

/// One line of a car.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// The panel; none: of the car.
    pub panel: Option<Panel>,
    /// Where its money belongs.
    pub group: Group,
    /// What it is for.
    pub item: Item,
    /// How many, where that is said.
    pub quantity: Option<u32>,
    /// The amount; none: by written quote.
    pub amount: Option<Money>,
    /// How it arose.
    pub basis: Basis,
}

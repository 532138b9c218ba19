//! The time standard: minutes of work by what was counted, one person at
//! speed 1.0. The figures are the lead's own (storm.toml's `[time]`); prices
//! are no matter of it.

use crate::rates::RateCard;
use crate::storm::{Access, Metal, PanelCount, SizeId};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// The room that there is: `[site]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Site {
    /// Cars in strip, dents and fit at once; `None`: no limit.
    pub bays: Option<u32>,
    /// People in dents on one car at once.
    pub hands_per_car: u32,
    /// Whether a car that waits for parts gives its bay back.
    pub release_for_parts: bool,
}

impl Default for Site {
    fn default() -> Site {
        Site {
            bays: None,
            hands_per_car: 2,
            release_for_parts: false,
        }
    }
}

/// Minutes of dent work.
#[derive(Debug, Clone)]
pub struct TimeStandard {
    /// For every panel with work, before the first dent.
    pub panel_setup: Decimal,
    /// For each dent, by size class.
    pub per_dent: BTreeMap<SizeId, Decimal>,
    /// For each dent beyond the card's largest class: the base, and what every
    /// mm beyond that class adds.
    pub oversize: Option<(Decimal, Decimal)>,
    /// Factors by metal; steel is 1.
    pub metal: BTreeMap<Metal, Decimal>,
    /// Factors by access; open is 1.
    pub access: BTreeMap<Access, Decimal>,
    /// The last stage of every car that has work.
    pub finish_per_car: Decimal,
    /// The part of a removal's hours that is taking off, 0 to 1.
    pub removal_share: Decimal,
    /// True hours per charged hour.
    pub removal_factor: Decimal,
    /// Standard deviation of the log of a task's factor, until a log tells better.
    pub spread: Decimal,
}

/// A figure that the standard lacks and a count needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lack {
    /// Minutes of a size class.
    Size(SizeId),
    /// Minutes of oversize dents.
    Oversize,
    /// The factor of a metal.
    Metal(Metal),
    /// The factor of an access.
    Access(Access),
}

impl TimeStandard {
    /// Minutes of one panel, one person at speed 1.0:
    ///
    /// ```text
    /// setup + metal × access × Σ dents × (per_dent, or base + per_mm × (diameter − largest class))
    /// ```
    ///
    /// in exact decimals, not rounded. A panel without dents takes none.
    ///
    /// # Errors
    /// Every figure that is lacking.
    pub fn panel_minutes(&self, card: &RateCard, count: &PanelCount) -> Result<Decimal, Vec<Lack>> {
        // Intake has refused classes that the card lacks.
        let sorted = card.sort_dents(count).unwrap_or_default();
        let mut lacks = Vec::new();
        let mut sum = Decimal::ZERO;
        for (class, dents) in card.sizes.iter().zip(&sorted.by_class) {
            if *dents == 0 {
                continue;
            }
            match self.per_dent.get(&class.id) {
                Some(minutes) => sum += minutes * Decimal::from(*dents),
                None => lacks.push(Lack::Size(class.id)),
            }
        }
        let largest = card
            .sizes
            .last()
            .map_or(Decimal::ZERO, |class| class.upto.0);
        for dents in &sorted.oversize {
            match self.oversize {
                Some((base, per_mm)) => {
                    let each = base + per_mm * (dents.diameter.0 - largest).max(Decimal::ZERO);
                    sum += each * Decimal::from(dents.dents);
                }
                None => lacks.push(Lack::Oversize),
            }
        }
        if sum.is_zero() && lacks.is_empty() {
            return Ok(Decimal::ZERO);
        }
        let metal = self.metal.get(&count.metal).copied();
        let access = self.access.get(&count.access).copied();
        let metal = metal.or((count.metal == Metal::Steel).then_some(Decimal::ONE));
        let access = access.or((count.access == Access::Open).then_some(Decimal::ONE));
        if metal.is_none() {
            lacks.push(Lack::Metal(count.metal));
        }
        if access.is_none() {
            lacks.push(Lack::Access(count.access));
        }
        match (metal, access) {
            (Some(metal), Some(access)) if lacks.is_empty() => {
                Ok((self.panel_setup + metal * access * sum).normalize())
            }
            _ => Err(lacks),
        }
    }

    /// Minutes of taking off and of putting back, of so many charged hours.
    #[must_use]
    pub fn removal_minutes(&self, charged_hours: Decimal) -> (Decimal, Decimal) {
        let all = charged_hours * Decimal::from(60) * self.removal_factor;
        let off = all * self.removal_share;
        (off.normalize(), (all - off).normalize())
    }
}

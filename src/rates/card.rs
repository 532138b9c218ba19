//! The rate card: every figure that a lead and a payer agree on beforehand.

use super::{Grid, Removal, Uplift};
use crate::money::{Exact, RoundingRule};
use crate::storm::{MeasuredDents, Panel, PanelCount, PanelSet, SizeId};
use crate::units::Millimetres;
use rust_decimal::Decimal;
use smallvec::{SmallVec, smallvec};

/// A named range of dent diameters.
#[derive(Debug, Clone)]
pub struct SizeClass {
    /// Its name, as printed.
    pub name: String,
    /// The class across all cards.
    pub id: SizeId,
    /// The greatest diameter in it.
    pub upto: Millimetres,
}

/// Which column of the grid a panel of mixed sizes is priced in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MixedSizes {
    /// The class with the most dents.
    #[default]
    Predominant,
    /// The largest class present.
    Largest,
    /// Every class by itself.
    Each,
}

/// Whether uplifts build on each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UpliftMode {
    /// All on the same base.
    #[default]
    Add,
    /// Each on the base and the uplifts before it.
    Compound,
}

/// One step of the oversize ladder.
#[derive(Debug, Clone, Copy)]
pub struct OversizeStep {
    /// The greatest diameter in it.
    pub upto: Millimetres,
    /// Amount per dent.
    pub each: Exact,
}

/// What happens above a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitAction {
    /// The panel costs the limit.
    Hold,
    /// The panel goes to conventional repair.
    Refer,
}

/// The most a panel may cost in dents.
#[derive(Debug, Clone, Copy)]
pub struct Limit {
    /// Panels it names; none: all that no other limit names.
    pub panels: Option<PanelSet>,
    /// The limit.
    pub amount: Exact,
    /// What happens above it.
    pub then: LimitAction,
}

/// What a referred panel is entered at.
#[derive(Debug, Clone, Copy)]
pub struct Conventional {
    /// Panels it names; none: all that no other entry names.
    pub panels: Option<PanelSet>,
    /// The amount.
    pub amount: Exact,
}

/// How often an extra is charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// Once on a car with a priced panel.
    Vehicle,
    /// On every priced panel.
    Panel,
}

/// A fixed extra.
#[derive(Debug, Clone)]
pub struct Extra {
    /// Its name, as printed.
    pub name: String,
    /// How often.
    pub per: Per,
    /// Amount.
    pub amount: Exact,
}

/// A rate card.
#[derive(Debug, Clone)]
pub struct RateCard {
    /// Its name, as printed.
    pub name: String,
    /// How a half is rounded.
    pub rounding: RoundingRule,
    /// How mixed sizes are priced.
    pub mixed_sizes: MixedSizes,
    /// How uplifts meet.
    pub uplift_mode: UpliftMode,
    /// Dent labour per hour, for grids in hours.
    pub hour_rate: Decimal,
    /// R&I labour per hour.
    pub removal_rate: Decimal,
    /// Size classes, smallest first.
    pub sizes: Vec<SizeClass>,
    /// Grids, in card order.
    pub grids: Vec<Grid>,
    /// Oversize ladder, smallest first.
    pub oversize: Vec<OversizeStep>,
    /// Uplifts, in card order.
    pub uplifts: Vec<Uplift>,
    /// Limits, in card order.
    pub limits: Vec<Limit>,
    /// Amounts for referred panels, in card order.
    pub conventional: Vec<Conventional>,
    /// Removals, in card order.
    pub removals: Vec<Removal>,
    /// Extras, in card order.
    pub extras: Vec<Extra>,
}

/// A panel's dents as one card sees them.
#[derive(Debug, Clone, Default)]
pub struct SortedDents {
    /// Dents per class of the card.
    pub by_class: SmallVec<[u32; 8]>,
    /// Dents too big for the last class, in the order of the sheet.
    pub oversize: Vec<MeasuredDents>,
}

impl SortedDents {
    /// Dents in the classes.
    #[must_use]
    pub fn in_classes(&self) -> u32 {
        self.by_class.iter().sum()
    }

    /// Dents too big for the classes.
    #[must_use]
    pub fn oversized(&self) -> u32 {
        self.oversize.iter().map(|dents| dents.dents).sum()
    }
}

impl RateCard {
    /// The card's class of a storm-wide size name.
    #[must_use]
    pub fn class_of(&self, size: SizeId) -> Option<usize> {
        // Where a storm has one card, its classes stand in the storm's order.
        let own = usize::from(size.0);
        if self.sizes.get(own).is_some_and(|class| class.id == size) {
            return Some(own);
        }
        self.sizes.iter().position(|class| class.id == size)
    }

    /// The smallest class whose limit is at least the diameter; none: oversize.
    #[must_use]
    pub fn class_for(&self, diameter: Millimetres) -> Option<usize> {
        self.sizes.iter().position(|class| diameter <= class.upto)
    }

    /// Sorts a panel's count into this card's classes: a counted class by its
    /// name, a measured dent by its diameter wherever it stood.
    ///
    /// # Errors
    /// The first size name that this card does not have.
    pub fn sort_dents(&self, count: &PanelCount) -> Result<SortedDents, SizeId> {
        let classes = self.sizes.len();
        let mut sorted = SortedDents {
            by_class: match classes {
                // In place, without a loop over the classes.
                0..=8 => SmallVec::from_buf_and_len([0; 8], classes),
                _ => smallvec![0; classes],
            },
            oversize: Vec::new(),
        };
        self.sort_sized(&count.sized, &mut sorted.by_class)?;
        for dents in &count.measured {
            match self.class_for(dents.diameter) {
                Some(class) => sorted.by_class[class] += dents.dents,
                None => sorted.oversize.push(*dents),
            }
        }
        Ok(sorted)
    }

    /// Adds dents by size to those by the card's classes, of which `by_class` has all.
    ///
    /// # Errors
    /// A size that is no class of the card.
    pub fn sort_sized(&self, sized: &[(SizeId, u32)], by_class: &mut [u32]) -> Result<(), SizeId> {
        for &(size, dents) in sized {
            let class = self.class_of(size).ok_or(size)?;
            by_class[class] += dents;
        }
        Ok(())
    }

    /// The grid that serves a panel: the first that names it, else the one
    /// that names none.
    #[must_use]
    pub fn grid_for(&self, panel: Panel) -> Option<&Grid> {
        first_for(&self.grids, panel, |grid| grid.panels)
    }

    /// The limit of a panel.
    #[must_use]
    pub fn limit_for(&self, panel: Panel) -> Option<&Limit> {
        first_for(&self.limits, panel, |limit| limit.panels)
    }

    /// The amount that a referred panel is entered at.
    #[must_use]
    pub fn conventional_for(&self, panel: Panel) -> Option<&Conventional> {
        first_for(&self.conventional, panel, |entry| entry.panels)
    }
}

/// The first entry that names the panel, else the first that names none.
fn first_for<T>(
    entries: &[T],
    panel: Panel,
    panels: impl Fn(&T) -> Option<PanelSet>,
) -> Option<&T> {
    entries
        .iter()
        .find(|entry| panels(entry).is_some_and(|set| set.holds(panel)))
        .or_else(|| entries.iter().find(|entry| panels(entry).is_none()))
}

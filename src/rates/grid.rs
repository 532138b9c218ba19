//! The table of count band × size class.

use super::Band;
use crate::storm::PanelSet;
use rust_decimal::Decimal;

/// What a grid's cells are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GridUnit {
    /// Amounts.
    #[default]
    Money,
    /// Hours, to be multiplied by the card's `hour_rate`.
    Hours,
}

/// One grid: bands down, the card's size classes across.
#[derive(Debug, Clone)]
pub struct Grid {
    /// Panels that it serves; none: all that no other grid names.
    pub panels: Option<PanelSet>,
    /// What its cells are.
    pub unit: GridUnit,
    /// The bands, joined, from 1.
    pub bands: Vec<Band>,
    /// `cells[band][class]`, every cell given.
    pub cells: Vec<Vec<Decimal>>,
}

impl Grid {
    /// The band that holds a count above 0; none when it is above a closed last band.
    #[must_use]
    pub fn band_of(&self, count: u32) -> Option<usize> {
        // Bands join from 1, so the first whose end is not below the count holds it.
        let band = self
            .bands
            .partition_point(|band| band.to.is_some_and(|to| to < count));
        (band < self.bands.len()).then_some(band)
    }
}

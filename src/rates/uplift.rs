//! Percentages on top, each for a reason and under conditions.

use crate::money::Percent;
use crate::storm::{Access, AccessSet, Body, BodySet, Metal, MetalSet, Panel, PanelSet};

/// What kinds of line an uplift is reckoned on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UpliftBase {
    /// On the lines of step 1.
    pub dents: bool,
    /// On the lines of step 2.
    pub oversize: bool,
}

/// One uplift. Every condition must hold.
#[derive(Debug, Clone)]
pub struct Uplift {
    /// Its name, as printed.
    pub name: String,
    /// How much.
    pub percent: Percent,
    /// Of what.
    pub on: UpliftBase,
    /// Metals that it is for.
    pub metals: MetalSet,
    /// Access that it is for.
    pub accesses: AccessSet,
    /// Panels that it is for.
    pub panels: PanelSet,
    /// Bodies that it is for.
    pub bodies: BodySet,
}

impl Uplift {
    /// Whether all its conditions hold on a panel.
    #[must_use]
    pub fn applies(&self, metal: Metal, access: Access, panel: Panel, body: Body) -> bool {
        self.metals.holds(metal)
            && self.accesses.holds(access)
            && self.panels.holds(panel)
            && self.bodies.holds(body)
    }
}

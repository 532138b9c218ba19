//! Sums by panel, which come from lines and not from cars.

use super::car::PricedPanel;
use super::ledger::{GroupSum, LineAmount};
use super::line::Line;
use crate::storm::Panel;

/// What all cars have on one panel, or beside all panels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PanelSum {
    /// Cars with a dent or a line there.
    pub cars: u64,
    /// Cars with an unpriced line there.
    pub quotes: u64,
    /// Cars on which it is dented, or referred by the counter.
    pub panels: u64,
    /// Dents in the size classes.
    pub dents: u64,
    /// Dents too big for them.
    pub oversize: u64,
    /// The sums of its lines, in [`crate::storm::Group::ALL`] order.
    pub groups: [GroupSum; 6],
}

impl PanelSum {
    /// Adds the sums of other cars.
    fn join(&mut self, other: &PanelSum) {
        self.cars += other.cars;
        self.quotes += other.quotes;
        self.panels += other.panels;
        self.dents += other.dents;
        self.oversize += other.oversize;
        for (group, more) in self.groups.iter_mut().zip(other.groups) {
            group.join(more);
        }
    }
}

const PANELS: usize = Panel::ALL.len();

/// On which panels a car was counted: one bit a panel, since it counts once
/// there, whatever number of lines.
#[derive(Debug, Clone, Copy, Default)]
pub struct Marks {
    here: u32,
    /// Where a line has no amount.
    open: u32,
}

impl Marks {
    /// Notes whether a panel is counted elsewhere.
    pub fn set(&mut self, panel: Panel, counts: bool, is_open: bool) {
        self.here |= u32::from(counts) << panel.index();
        self.open |= u32::from(is_open) << panel.index();
    }
}

/// The sums of every panel, and of what belongs to none.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PanelSums {
    by_panel: [PanelSum; PANELS],
    own: PanelSum,
}

impl PanelSums {
    /// Adds what a panel of many cars comes to.
    pub fn add_panel(&mut self, panel: Panel, sum: &PanelSum) {
        self.by_panel[panel.index()].join(sum);
    }

    /// Adds a car: its panels and its lines, those of the car as a whole too.
    /// On panels with a mark the car is counted elsewhere.
    pub fn add(&mut self, panels: &[PricedPanel], lines: &[Line], marks: Marks) {
        let (mut here, mut open, mut own) = (0, 0, false);
        for panel in panels {
            let sum = &mut self.by_panel[panel.panel.index()];
            sum.panels += u64::from(panel.counts());
            sum.dents += u64::from(panel.dents);
            sum.oversize += u64::from(panel.oversize);
            here |= u32::from(panel.counts()) << panel.panel.index();
        }
        for line in lines {
            let Some(panel) = line.panel else {
                // Quotes of the row of cars' own lines are 0: each has its amount.
                self.own.groups[line.group.index()].add(line.amount);
                own = true;
                continue;
            };
            let index = panel.index();
            self.by_panel[index].groups[line.group.index()].add(line.amount);
            here |= 1 << index;
            open |= u32::from(line.amount.is_none()) << index;
        }
        self.own.cars += u64::from(own);
        for index in ones(here & !marks.here) {
            self.by_panel[index].cars += 1;
        }
        for index in ones(open & !marks.open) {
            self.by_panel[index].quotes += 1;
        }
    }

    /// Adds later lines of a car as a whole, and the car unless it was counted there.
    pub fn add_own(&mut self, lines: &[LineAmount], counted: bool) {
        for line in lines {
            self.own.groups[line.group.index()].add(line.amount);
        }
        self.own.cars += u64::from(!counted && !lines.is_empty());
    }

    /// Adds the sums of other cars.
    pub fn join(&mut self, other: &PanelSums) {
        let own = std::iter::once((&mut self.own, &other.own));
        for (sum, more) in self.by_panel.iter_mut().zip(&other.by_panel).chain(own) {
            sum.join(more);
        }
    }

    /// The panels that any car has anything on, in list order; last, under
    /// none, what belongs to no panel.
    pub fn rows(&self) -> impl Iterator<Item = (Option<Panel>, &PanelSum)> {
        let panels = Panel::ALL.into_iter().map(Some).zip(&self.by_panel);
        panels
            .chain(std::iter::once((None, &self.own)))
            .filter(|(_, sum)| sum.cars > 0)
    }
}

/// The places of the bits that are set.
fn ones(mut bits: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let next = (bits != 0).then(|| bits.trailing_zeros() as usize)?;
        bits &= bits - 1;
        Some(next)
    })
}

//! The panels of one car whose kinds were priced before.

use super::ledger::{GroupSum, Ledger};
use super::panel_prices::{GROUPS, Known, KnownLines, PanelPrices};
use super::panel_sums::Marks;
use super::prepared::PreparedCard;
use super::sums::CarCounts;
use crate::intake::SoundCar;
use crate::money::{Currency, Money};
use crate::storm::{Panel, PlainCount};

/// What they come to so far.
#[derive(Debug, Default)]
pub struct KnownPanels {
    units: [i64; GROUPS.len()],
    lines: KnownLines,
    counts: CarCounts,
    has_priced: bool,
    marks: Marks,
    /// Those that can set off a removal, with their dents.
    set_off: Vec<(Panel, u32)>,
}

impl KnownPanels {
    /// Takes all out, so that another car can use the room.
    pub fn clear(&mut self) {
        let mut set_off = std::mem::take(&mut self.set_off);
        set_off.clear();
        *self = KnownPanels {
            set_off,
            ..KnownPanels::default()
        };
    }

    /// Adds plain panels of a car of kinds that are known, up to one that is not.
    #[inline(never)] // a loop of eleven million rounds, small enough for the registers
    pub fn add_all<'p>(
        &mut self,
        card: &PreparedCard<'_>,
        car: &SoundCar<'_>,
        panels: &mut std::slice::Iter<'p, PlainCount>,
        prices: &mut PanelPrices,
    ) -> Option<&'p PlainCount> {
        let body = car.car.vehicle.body;
        panels.find(|plain| match prices.of_plain(card, car, plain, body) {
            Some(known) => {
                self.add(card, known, plain.panel, plain.dents);
                false
            }
            None => true,
        })
    }

    /// Adds a panel.
    #[inline(always)]
    pub fn add(&mut self, card: &PreparedCard<'_>, known: &Known, panel: Panel, dents: u32) {
        for (sum, units) in self.units.iter_mut().zip(known.units) {
            *sum += units;
        }
        self.lines = self.lines.and(known.lines);
        self.counts.panels += u32::from(dents > 0);
        self.counts.dents += dents;
        self.counts.referred += u32::from(known.is_referred);
        self.has_priced |= known.priced;
        self.marks.set(panel, dents > 0, known.is_open);
        if !known.is_referred && !card.set_off_by(panel).is_empty() {
            self.set_off.push((panel, dents));
        }
    }

    /// Their counts.
    #[must_use]
    pub fn counts(&self) -> CarCounts {
        self.counts
    }

    /// Whether any is priced.
    #[must_use]
    pub fn has_priced(&self) -> bool {
        self.has_priced
    }

    /// On which panels the car is counted with them.
    #[must_use]
    pub fn marks(&self) -> Marks {
        self.marks
    }

    /// Those that can set off a removal, with their dents.
    pub fn set_off(&self) -> impl Iterator<Item = (Panel, u32)> {
        self.set_off.iter().copied()
    }

    /// Adds their sums to a car's ledger.
    pub fn add_to(&self, ledger: &mut Ledger, currency: Currency) {
        for (at, group) in GROUPS.into_iter().enumerate() {
            let (priced, open) = self.lines.of_group(at);
            if priced + open > 0 {
                let known = Money::from_minor_units(self.units[at].into(), currency);
                let sum = GroupSum {
                    known,
                    priced,
                    open,
                };
                ledger.add_sum(group, sum);
            }
        }
    }
}

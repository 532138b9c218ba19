//! Prices of panels that were priced before.
//!
//! On a region's lot the same few thousand kinds of panel come again and again:
//! so many dents, mostly of this class, on this panel of this metal. What steps
//! 1 to 4 and the extras per panel make of one of them is kept by all that they
//! look at. Nothing is reckoned here but how often it came.

use super::car::{PricedPanel, Referral, panel_alone};
use super::dents::one_class;
use super::ledger::{GroupSum, Ledger};
use super::panel_sums::PanelSums;
use super::prepared::PreparedCard;
use crate::money::{Currency, Money};
use crate::storm::{Access, Body, Group, Metal, Panel, PanelCount};

/// The groups in which a panel by itself can have lines.
const GROUPS: [Group; 3] = [Group::Dents, Group::Extra, Group::Conventional];

/// The sum of one kind's lines in a group, in minor units: the car's sums are
/// made of eleven of them.
#[derive(Debug, Clone, Copy, Default)]
struct KnownSum {
    units: i64,
    priced: u16,
    open: u16,
}

impl KnownSum {
    /// None where it does not fit.
    fn of(sum: GroupSum, currency: Currency) -> Option<KnownSum> {
        Some(KnownSum {
            units: i64::try_from(sum.known.minor_units(currency)).ok()?,
            priced: u16::try_from(sum.priced).ok()?,
            open: u16::try_from(sum.open).ok()?,
        })
    }

    fn is_empty(self) -> bool {
        self.priced + self.open == 0
    }

    fn sum(self, currency: Currency) -> GroupSum {
        GroupSum {
            known: Money::from_minor_units(self.units.into(), currency),
            priced: self.priced.into(),
            open: self.open.into(),
        }
    }
}

/// What one kind of panel comes to.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    /// In [`GROUPS`] order.
    sums: [KnownSum; GROUPS.len()],
    /// Whether it has any line.
    pub has_lines: bool,
    /// Whether one of them has no amount.
    pub is_open: bool,
    priced: bool,
    referral: Option<Referral>,
    times: u32,
}

impl Known {
    /// A panel without a dent: no line at all.
    const CLEAN: Known = Known {
        sums: [KnownSum {
            units: 0,
            priced: 0,
            open: 0,
        }; GROUPS.len()],
        has_lines: false,
        is_open: false,
        priced: false,
        referral: None,
        times: 0,
    };

    /// None where its sums are out of all proportion: it is then priced each time.
    fn of(card: &PreparedCard<'_>, count: &PanelCount, body: Body) -> Option<Known> {
        let (panel, ledger) = panel_alone(card, count, body);
        let mut known = Known {
            has_lines: ledger.has_lines(),
            is_open: ledger.is_open(),
            priced: panel.priced,
            referral: panel.referral,
            ..Known::CLEAN
        };
        for (sum, group) in known.sums.iter_mut().zip(GROUPS) {
            *sum = KnownSum::of(ledger.sum(group), card.rounding.currency)?;
        }
        Some(known)
    }

    /// A panel of this kind.
    pub fn panel(&self, panel: Panel, dents: u32) -> PricedPanel {
        PricedPanel {
            panel,
            dents,
            oversize: 0,
            referral: self.referral,
            priced: self.priced,
            voided: Vec::new(),
        }
    }
}

/// What the known panels of one car come to so far.
#[derive(Debug, Default)]
pub struct KnownSums {
    units: [i128; GROUPS.len()],
    priced: [u32; GROUPS.len()],
    open: [u32; GROUPS.len()],
}

impl KnownSums {
    /// Adds a panel.
    pub fn add(&mut self, known: &Known) {
        for (group, sum) in known.sums.iter().enumerate() {
            self.units[group] += i128::from(sum.units);
            self.priced[group] += u32::from(sum.priced);
            self.open[group] += u32::from(sum.open);
        }
    }

    /// Adds all of it to a car's ledger.
    pub fn add_to(&self, ledger: &mut Ledger, currency: Currency) {
        for (at, group) in GROUPS.into_iter().enumerate() {
            let (priced, open) = (self.priced[at], self.open[at]);
            if priced + open > 0 {
                let known = Money::from_minor_units(self.units[at], currency);
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

/// The kinds of panel that were priced so far, on the cards of one storm.
#[derive(Default)]
pub struct PanelPrices {
    /// By card, panel and body, each by access, metal, class and band.
    kinds: Vec<Vec<Option<Known>>>,
}

const METALS: usize = Metal::ALL.len();
const ACCESSES: usize = Access::ALL.len();
/// The most size classes of a card whose kinds of panel are kept.
const MOST_CLASSES: usize = 8;

impl PanelPrices {
    /// What a panel comes to, and its dents; none where more decides than its
    /// kind: measured dents, a word of the counter, every class by itself.
    pub fn of(
        &mut self,
        card: &PreparedCard<'_>,
        count: &PanelCount,
        body: Body,
    ) -> Option<(&Known, u32)> {
        if !count.measured.is_empty() || count.conventional {
            return None;
        }
        // A card of more classes does without.
        let mut by_class = [0; MOST_CLASSES];
        let by_class = by_class.get_mut(..card.card.sizes.len())?;
        card.card.sort_sized(&count.sized, by_class).ok()?;
        let dents: u32 = by_class.iter().sum();
        if dents == 0 {
            return Some((&Known::CLEAN, 0));
        }
        let class = one_class(card.card.mixed_sizes, by_class)?;
        let grid = card.grid(count.panel)?;
        // Above a closed last band is a place of its own.
        let bands = grid.grid.bands.len() + 1;
        let band = grid.band_of(dents).unwrap_or(bands - 1);
        let of = (card.number * Panel::ALL.len() + count.panel.index()) * Body::ALL.len()
            + body as usize;
        // What is rare stands outside, so that what is not stands close together.
        let surface = count.access as usize * METALS + count.metal as usize;
        let kind = (surface * by_class.len() + class) * bands + band;
        if self.kinds.len() <= of {
            self.kinds.resize_with(of + 1, Vec::new);
        }
        let kinds = &mut self.kinds[of];
        if kinds.is_empty() {
            kinds.resize(by_class.len() * bands * METALS * ACCESSES, None);
        }
        if kinds[kind].is_none() {
            kinds[kind] = Some(Known::of(card, count, body)?);
        }
        let known = kinds[kind].as_mut()?;
        known.times += 1;
        Some((known, dents))
    }

    /// Adds what all panels that were taken from here come to.
    pub fn add_to(&self, sums: &mut PanelSums, currency: Currency) {
        let per_card = Panel::ALL.len() * Body::ALL.len();
        for (of, kinds) in self.kinds.iter().enumerate() {
            let panel = Panel::ALL[of % per_card / Body::ALL.len()];
            for known in kinds.iter().flatten() {
                for (sum, group) in known.sums.iter().zip(GROUPS) {
                    if !sum.is_empty() {
                        sums.add_sum(panel, group, sum.sum(currency).times(known.times));
                    }
                }
            }
        }
    }
}

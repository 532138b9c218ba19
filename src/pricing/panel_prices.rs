//! Prices of panels that were priced before.
//!
//! On a region's lot the same few thousand kinds of panel come again and again:
//! so many dents, mostly of this class, on this panel of this metal. What steps
//! 1 to 4 and the extras per panel make of one of them is kept by all that they
//! look at. Nothing is reckoned here but how often it came.

use super::car::{PricedPanel, Referral, panel_alone};
use super::dents::one_class;
use super::ledger::GroupSum;
use super::panel_sums::PanelSums;
use super::prepared::PreparedCard;
use crate::storm::{Access, Body, Group, Metal, Panel, PanelCount};

/// What one kind of panel comes to.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    sums: [(Group, GroupSum); 3],
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
        sums: [
            (Group::Dents, GroupSum::NOTHING),
            (Group::Extra, GroupSum::NOTHING),
            (Group::Conventional, GroupSum::NOTHING),
        ],
        has_lines: false,
        is_open: false,
        priced: false,
        referral: None,
        times: 0,
    };

    fn of(card: &PreparedCard<'_>, count: &PanelCount, body: Body) -> Known {
        let (panel, ledger) = panel_alone(card, count, body);
        Known {
            sums: Known::CLEAN
                .sums
                .map(|(group, _)| (group, ledger.sum(group))),
            has_lines: ledger.has_lines(),
            is_open: ledger.is_open(),
            priced: panel.priced,
            referral: panel.referral,
            times: 0,
        }
    }

    /// The sums of its lines, without groups that have none.
    pub fn sums(&self) -> impl Iterator<Item = &(Group, GroupSum)> {
        self.sums.iter().filter(|(_, sum)| !sum.is_empty())
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

/// The kinds of panel that were priced so far, on the cards of one storm.
#[derive(Default)]
pub struct PanelPrices {
    /// By card, panel and body, each by class, band, metal and access.
    kinds: Vec<Vec<Option<Known>>>,
}

const METALS: usize = Metal::ALL.len();
const ACCESSES: usize = Access::ALL.len();

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
        let by_class = card.card.sort_dents(count).ok()?.by_class;
        let dents: u32 = by_class.iter().sum();
        if dents == 0 {
            return Some((&Known::CLEAN, 0));
        }
        let class = one_class(card.card.mixed_sizes, &by_class)?;
        let grid = card.grid(count.panel)?;
        // Above a closed last band is a place of its own.
        let bands = grid.grid.bands.len() + 1;
        let band = grid.band_of(dents).unwrap_or(bands - 1);
        let of = (card.number * Panel::ALL.len() + count.panel.index()) * Body::ALL.len()
            + body as usize;
        let kind = ((class * bands + band) * METALS + count.metal as usize) * ACCESSES
            + count.access as usize;
        if self.kinds.len() <= of {
            self.kinds.resize_with(of + 1, Vec::new);
        }
        let kinds = &mut self.kinds[of];
        if kinds.is_empty() {
            kinds.resize(by_class.len() * bands * METALS * ACCESSES, None);
        }
        let known = kinds[kind].get_or_insert_with(|| Known::of(card, count, body));
        known.times += 1;
        Some((known, dents))
    }

    /// Adds what all panels that were taken from here come to.
    pub fn add_to(&self, sums: &mut PanelSums) {
        let per_card = Panel::ALL.len() * Body::ALL.len();
        for (of, kinds) in self.kinds.iter().enumerate() {
            let panel = Panel::ALL[of % per_card / Body::ALL.len()];
            for known in kinds.iter().flatten() {
                for (group, sum) in known.sums() {
                    sums.add_sum(panel, *group, sum.times(known.times));
                }
            }
        }
    }
}

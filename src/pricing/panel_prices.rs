//! Prices of panels that were priced before.
//!
//! On a region's lot the same few thousand kinds of panel come again and again:
//! so many dents, mostly of this class, on this panel of this metal. What steps
//! 1 to 4 and the extras per panel make of one of them is kept by all that they
//! look at. Nothing is reckoned here but how often it came.

use super::car::panel_alone;
use super::dents::one_class;
use super::ledger::GroupSum;
use super::panel_sums::{PanelSum, PanelSums};
use super::prepared::PreparedCard;
use crate::intake::SoundCar;
use crate::money::{Currency, Money};
use crate::storm::{Access, Body, Group, Metal, Panel, PanelCount, PlainCount, SizeId};

/// The groups in which a panel by itself can have lines.
pub(super) const GROUPS: [Group; 3] = [Group::Dents, Group::Extra, Group::Conventional];

/// The sum of one kind's lines in a group, in minor units: the car's sums are
/// made of eleven of them.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct KnownSum {
    pub units: i64,
    pub priced: u16,
    pub open: u16,
}

impl KnownSum {
    /// None where it does not fit.
    fn of(sum: GroupSum, currency: Currency) -> Option<KnownSum> {
        // A car has each panel once, so that all its sums together fit as well.
        let most = (i64::MAX / Panel::ALL.len() as i64).unsigned_abs();
        let units = i64::try_from(sum.known.minor_units(currency)).ok()?;
        Some(KnownSum {
            units: (units.unsigned_abs() <= most).then_some(units)?,
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
    pub(super) sums: [KnownSum; GROUPS.len()],
    /// Whether one of its lines has no amount.
    pub is_open: bool,
    /// Whether it is priced.
    pub priced: bool,
    /// Whether it is referred.
    pub is_referred: bool,
    times: u32,
    /// All dents of all panels of the kind.
    dents: u64,
}

impl Known {
    /// A panel without a dent: no line at all.
    const CLEAN: Known = Known {
        sums: [KnownSum {
            units: 0,
            priced: 0,
            open: 0,
        }; GROUPS.len()],
        is_open: false,
        priced: false,
        is_referred: false,
        times: 0,
        dents: 0,
    };

    /// None where its sums are out of all proportion: it is then priced each time.
    fn of(card: &PreparedCard<'_>, count: &PanelCount, body: Body) -> Option<Known> {
        let (panel, ledger) = panel_alone(card, count, body);
        let mut known = Known {
            is_open: ledger.is_open(),
            priced: panel.priced,
            is_referred: panel.referral.is_some(),
            ..Known::CLEAN
        };
        for (sum, group) in known.sums.iter_mut().zip(GROUPS) {
            *sum = KnownSum::of(ledger.sum(group), card.rounding.currency)?;
        }
        Some(known)
    }
}

/// The kinds of panel that were priced so far, on the cards of one storm.
#[derive(Default)]
pub struct PanelPrices {
    /// By card, panel and body, each by access, metal, class and band.
    kinds: Vec<Vec<Option<Known>>>,
    /// By card and sheet.
    orders: Vec<Vec<Option<ClassOrder>>>,
    /// The last of them, with its card and its sheet.
    order: Option<(usize, u32, ClassOrder)>,
}

const METALS: usize = Metal::ALL.len();
const ACCESSES: usize = Access::ALL.len();
/// The most size classes of a card whose kinds of panel are kept.
const MOST_CLASSES: usize = 8;
/// Dents by the classes of a card.
type ByClass = [u32; MOST_CLASSES];

/// Which of a card's classes each of a sheet's is.
#[derive(Debug, Clone, Copy)]
enum ClassOrder {
    /// Both have the same in the same order.
    Same,
    /// The card's class of each of the sheet's; none of them where it lacks it.
    Other([u8; PlainCount::CLASSES]),
}

impl ClassOrder {
    fn of(card: &PreparedCard<'_>, classes: &[SizeId]) -> ClassOrder {
        let of_sheet = classes.iter().map(|size| card.card.class_of(*size));
        if of_sheet.clone().eq((0..classes.len()).map(Some)) {
            return ClassOrder::Same;
        }
        let mut order = [u8::MAX; PlainCount::CLASSES];
        for (place, class) in order.iter_mut().zip(of_sheet) {
            *place = class
                .and_then(|class| u8::try_from(class).ok())
                .unwrap_or(u8::MAX);
        }
        ClassOrder::Other(order)
    }

    /// None where there are dents of a class that the card lacks.
    #[inline]
    fn sort(&self, plain: &PlainCount) -> Option<ByClass> {
        let dents = plain.by_class.map(u32::from);
        let ClassOrder::Other(order) = self else {
            return Some(dents);
        };
        let mut by_class = [0; MOST_CLASSES];
        for (class, dents) in order.iter().zip(dents) {
            match by_class.get_mut(usize::from(*class)) {
                Some(sorted) => *sorted += dents,
                None if dents > 0 => return None,
                None => {}
            }
        }
        Some(by_class)
    }
}

impl PanelPrices {
    /// What a plain panel comes to; none where more decides than its kind: every
    /// class by itself.
    pub fn of_plain(
        &mut self,
        card: &PreparedCard<'_>,
        car: &SoundCar<'_>,
        plain: &PlainCount,
        body: Body,
    ) -> Option<&Known> {
        let by_class = self.order(card, car, plain).sort(plain)?;
        let of = KindOf {
            panel: plain.panel,
            metal: plain.metal,
            access: plain.access,
            body,
        };
        self.of_kind(card, of, by_class, plain.dents, || car.count(plain))
    }

    /// What another panel comes to; none where more decides than its kind also
    /// where there are measured dents or a word of the counter.
    pub fn of(
        &mut self,
        card: &PreparedCard<'_>,
        count: &PanelCount,
        body: Body,
    ) -> Option<&Known> {
        if !count.measured.is_empty() || count.conventional {
            return None;
        }
        let mut by_class = [0; MOST_CLASSES];
        let classes = by_class.get_mut(..card.card.sizes.len())?;
        card.card.sort_sized(&count.sized, classes).ok()?;
        let of = KindOf {
            panel: count.panel,
            metal: count.metal,
            access: count.access,
            body,
        };
        let dents = count.sized.iter().map(|(_, dents)| dents).sum();
        self.of_kind(card, of, by_class, dents, || count.clone())
    }

    /// `count` is one of the kind.
    #[inline]
    fn of_kind(
        &mut self,
        card: &PreparedCard<'_>,
        of: KindOf,
        by_class: ByClass,
        dents: u32,
        count: impl FnOnce() -> PanelCount,
    ) -> Option<&Known> {
        if dents == 0 {
            return Some(&Known::CLEAN);
        }
        // A card of more classes does without.
        let by_class = by_class.get(..card.card.sizes.len())?;
        let class = one_class(card.card.mixed_sizes, by_class)?;
        let grid = card.grid(of.panel)?;
        // Above a closed last band is a place of its own.
        let bands = grid.amounts.len() + 1;
        let band = grid.band_of(dents).unwrap_or(bands - 1);
        let place = (card.number * Panel::ALL.len() + of.panel.index()) * Body::ALL.len()
            + of.body as usize;
        // What is rare stands outside, so that what is not stands close together.
        let surface = of.access as usize * METALS + of.metal as usize;
        let kind = (surface * by_class.len() + class) * bands + band;
        if self.kinds.len() <= place {
            self.kinds.resize_with(place + 1, Vec::new);
        }
        let kinds = &mut self.kinds[place];
        if kinds.is_empty() {
            kinds.resize(by_class.len() * bands * METALS * ACCESSES, None);
        }
        if kinds[kind].is_none() {
            kinds[kind] = Some(Known::of(card, &count(), of.body)?);
        }
        let known = kinds[kind].as_mut()?;
        known.times += 1;
        known.dents += u64::from(dents);
        Some(known)
    }

    fn order(
        &mut self,
        card: &PreparedCard<'_>,
        car: &SoundCar<'_>,
        plain: &PlainCount,
    ) -> ClassOrder {
        let sheet = plain.source.sheet;
        if let Some((of_card, of_sheet, order)) = self.order
            && (of_card, of_sheet) == (card.number, sheet)
        {
            return order;
        }
        let (of_card, of_sheet) = (card.number, sheet as usize);
        if self.orders.len() <= of_card {
            self.orders.resize(of_card + 1, Vec::new());
        }
        let of_card = &mut self.orders[of_card];
        if of_card.len() <= of_sheet {
            of_card.resize(of_sheet + 1, None);
        }
        let new = || ClassOrder::of(card, car.classes(plain));
        let order = *of_card[of_sheet].get_or_insert_with(new);
        self.order = Some((card.number, sheet, order));
        order
    }

    /// Adds what all panels that were taken from here come to.
    pub fn add_to(&self, sums: &mut PanelSums, currency: Currency) {
        let per_card = Panel::ALL.len() * Body::ALL.len();
        for (of, kinds) in self.kinds.iter().enumerate() {
            let panel = Panel::ALL[of % per_card / Body::ALL.len()];
            for known in kinds.iter().flatten() {
                let times = u64::from(known.times);
                // A car has each panel once, and a clean one is of no kind.
                let mut sum = PanelSum {
                    cars: times,
                    panels: times,
                    quotes: if known.is_open { times } else { 0 },
                    dents: known.dents,
                    ..PanelSum::default()
                };
                for (known_sum, group) in known.sums.iter().zip(GROUPS) {
                    if !known_sum.is_empty() {
                        sum.groups[group.index()] = known_sum.sum(currency).times(known.times);
                    }
                }
                sums.add_panel(panel, &sum);
            }
        }
    }
}

/// What a kind of panel hangs on beside its dents and its card.
#[derive(Debug, Clone, Copy)]
struct KindOf {
    panel: Panel,
    metal: Metal,
    access: Access,
    body: Body,
}

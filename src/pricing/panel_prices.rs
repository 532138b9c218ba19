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
use crate::storm::{Access, Body, ClassDents, Group, Metal, Panel, PanelCount, PlainCount, SizeId};

/// The groups in which a panel by itself can have lines.
pub(super) const GROUPS: [Group; 3] = [Group::Dents, Group::Extra, Group::Conventional];

/// How many lines of each group have an amount, and how many have none, side by side
/// in one number: a car's are made of eleven of them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct KnownLines(u64);

impl KnownLines {
    /// The bits of one of the six counts.
    const BITS: usize = 10;
    /// A car has each panel once, so that all its counts together fit as well.
    const MOST: u32 = ((1 << KnownLines::BITS) - 1) / Panel::ALL.len() as u32;

    /// None where they do not fit.
    fn of(sums: [GroupSum; GROUPS.len()]) -> Option<KnownLines> {
        let mut lines = 0;
        for (group, sum) in sums.into_iter().enumerate() {
            if sum.priced.max(sum.open) > KnownLines::MOST {
                return None;
            }
            lines |= u64::from(sum.priced) << (2 * group * KnownLines::BITS);
            lines |= u64::from(sum.open) << ((2 * group + 1) * KnownLines::BITS);
        }
        Some(KnownLines(lines))
    }

    /// With those of another panel.
    #[inline]
    pub fn and(self, other: KnownLines) -> KnownLines {
        KnownLines(self.0 + other.0)
    }

    /// Those of a group with an amount, and those without.
    pub fn of_group(self, group: usize) -> (u32, u32) {
        let count = |at: usize| (self.0 >> (at * KnownLines::BITS)) as u32 & 0x3ff;
        (count(2 * group), count(2 * group + 1))
    }
}

/// What one kind of panel comes to.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    /// The sums of its lines in minor units, in [`GROUPS`] order.
    pub(super) units: [i64; GROUPS.len()],
    pub(super) lines: KnownLines,
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
        units: [0; GROUPS.len()],
        lines: KnownLines(0),
        is_open: false,
        priced: false,
        is_referred: false,
        times: 0,
        dents: 0,
    };

    /// None where its sums are out of all proportion: it is then priced each time.
    fn of(card: &PreparedCard<'_>, count: &PanelCount, body: Body) -> Option<Known> {
        let (panel, ledger) = panel_alone(card, count, body);
        let sums = GROUPS.map(|group| ledger.sum(group));
        let mut known = Known {
            lines: KnownLines::of(sums)?,
            is_open: ledger.is_open(),
            priced: panel.priced,
            is_referred: panel.referral.is_some(),
            ..Known::CLEAN
        };
        // A car has each panel once, so that all its sums together fit as well.
        let most = (i64::MAX / Panel::ALL.len() as i64).unsigned_abs();
        for (known, sum) in known.units.iter_mut().zip(sums) {
            let units = i64::try_from(sum.known.minor_units(card.rounding.currency)).ok()?;
            *known = (units.unsigned_abs() <= most).then_some(units)?;
        }
        Some(known)
    }

    /// The sum of its lines in a group.
    fn sum(&self, group: usize, currency: Currency) -> GroupSum {
        let (priced, open) = self.lines.of_group(group);
        GroupSum {
            known: Money::from_minor_units(self.units[group].into(), currency),
            priced,
            open,
        }
    }
}

/// The kinds of panel that were priced so far, on the cards of one storm.
#[derive(Default)]
pub struct PanelPrices {
    /// By card, panel and body, each by access, metal, class and band.
    kinds: Vec<Vec<Option<Known>>>,
    /// By card and sheet.
    orders: Vec<Vec<Option<ClassOrder>>>,
    /// The last of them, behind its card and its sheet.
    order: (Option<(usize, u32)>, ClassOrder),
}

const METALS: usize = Metal::ALL.len();
const ACCESSES: usize = Access::ALL.len();
/// The most size classes of a card whose kinds of panel are kept.
const MOST_CLASSES: usize = 8;
/// Dents by the classes of a card.
type ByClass = [u32; MOST_CLASSES];

/// Which of a card's classes each of a sheet's is.
#[derive(Debug, Clone, Copy, Default)]
enum ClassOrder {
    /// Both have the same in the same order.
    #[default]
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
}

/// None where there are dents of a class that the card lacks.
fn sort(order: &[u8; PlainCount::CLASSES], plain: &PlainCount) -> Option<ByClass> {
    let mut by_class = [0; MOST_CLASSES];
    for (class, dents) in order.iter().zip(plain.by_class.by_class()) {
        match by_class.get_mut(usize::from(*class)) {
            Some(sorted) => *sorted += u32::from(dents),
            None if dents > 0 => return None,
            None => {}
        }
    }
    Some(by_class)
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
        if plain.dents == 0 {
            return Some(&Known::CLEAN);
        }
        let class = match (self.order(card, car, plain), plain.by_class) {
            // Nearly all of them.
            (ClassOrder::Same, ClassDents::Many(dents)) => {
                card_class(card, |class| (dents >> (8 * class)) as u32 & 0xff)
            }
            (order, _) => other_class(card, *order, plain),
        }?;
        let of = KindOf {
            panel: plain.panel,
            metal: plain.metal,
            access: plain.access,
            body,
        };
        self.of_kind(card, of, class, plain.dents, || car.count(plain))
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
        if dents == 0 {
            return Some(&Known::CLEAN);
        }
        let class = card_class(card, |class| by_class[class])?;
        self.of_kind(card, of, class, dents, || count.clone())
    }

    /// `count` is one of the kind.
    #[inline]
    fn of_kind(
        &mut self,
        card: &PreparedCard<'_>,
        of: KindOf,
        class: usize,
        dents: u32,
        count: impl FnOnce() -> PanelCount,
    ) -> Option<&Known> {
        let classes = card.card.sizes.len();
        let grid = card.grid(of.panel)?;
        // Above a closed last band is a place of its own.
        let bands = grid.amounts.len() + 1;
        let band = grid.band_of(dents).unwrap_or(bands - 1);
        let place = (card.number * Panel::ALL.len() + of.panel.index()) * Body::ALL.len()
            + of.body as usize;
        // What is rare stands outside, so that what is not stands close together.
        let surface = of.access as usize * METALS + of.metal as usize;
        let kind = (surface * classes + class) * bands + band;
        if self.kinds.get(place).is_none_or(Vec::is_empty) {
            self.make_room(place, classes * bands * METALS * ACCESSES);
        }
        let kinds = &mut self.kinds[place];
        let known = match &mut kinds[kind] {
            Some(known) => known,
            free => new_kind(free, card, &count(), of.body)?,
        };
        known.times += 1;
        known.dents += u64::from(dents);
        Some(known)
    }

    #[cold]
    fn make_room(&mut self, place: usize, kinds: usize) {
        if self.kinds.len() <= place {
            self.kinds.resize_with(place + 1, Vec::new);
        }
        self.kinds[place].resize(kinds, None);
    }

    /// Which of the card's classes each of a plain panel's sheet is.
    #[inline]
    fn order(
        &mut self,
        card: &PreparedCard<'_>,
        car: &SoundCar<'_>,
        plain: &PlainCount,
    ) -> &ClassOrder {
        let of = (card.number, plain.source.sheet);
        if self.order.0 != Some(of) {
            self.order = (Some(of), self.order_of(card, car, plain));
        }
        &self.order.1
    }

    #[cold]
    fn order_of(
        &mut self,
        card: &PreparedCard<'_>,
        car: &SoundCar<'_>,
        plain: &PlainCount,
    ) -> ClassOrder {
        let (of_card, of_sheet) = (card.number, plain.source.sheet as usize);
        if self.orders.len() <= of_card {
            self.orders.resize(of_card + 1, Vec::new());
        }
        let of_card = &mut self.orders[of_card];
        if of_card.len() <= of_sheet {
            of_card.resize(of_sheet + 1, None);
        }
        let new = || ClassOrder::of(card, car.classes(plain));
        *of_card[of_sheet].get_or_insert_with(new)
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
                for (at, group) in GROUPS.into_iter().enumerate() {
                    let of_group = known.sum(at, currency);
                    if !of_group.is_empty() {
                        sum.groups[group.index()] = of_group.times(known.times);
                    }
                }
                sums.add_panel(panel, &sum);
            }
        }
    }
}

/// Prices the first panel of a kind.
#[cold]
fn new_kind<'k>(
    free: &'k mut Option<Known>,
    card: &PreparedCard<'_>,
    count: &PanelCount,
    body: Body,
) -> Option<&'k mut Known> {
    Some(free.insert(Known::of(card, count, body)?))
}

/// The class of a panel whose dents are packed as few have them, or whose sheet has
/// other classes than the card.
#[cold]
fn other_class(card: &PreparedCard<'_>, order: ClassOrder, plain: &PlainCount) -> Option<usize> {
    match order {
        ClassOrder::Same => {
            let by_class = plain.by_class.by_class();
            card_class(card, |class| by_class[class].into())
        }
        ClassOrder::Other(order) => {
            let by_class = sort(&order, plain)?;
            card_class(card, |class| by_class[class])
        }
    }
}

/// The card's class that gives the column to all dents; none where each has its own.
#[inline]
fn card_class(card: &PreparedCard<'_>, dents: impl Fn(usize) -> u32) -> Option<usize> {
    let classes = card.card.sizes.len();
    // A card of more classes does without.
    let few = classes <= MOST_CLASSES;
    few.then(|| one_class(card.card.mixed_sizes, classes, dents))?
}

/// What a kind of panel hangs on beside its dents and its card.
#[derive(Debug, Clone, Copy)]
struct KindOf {
    panel: Panel,
    metal: Metal,
    access: Access,
    body: Body,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As many lines as fit come out of all panels of a car together, and more do not
    /// go in.
    #[test]
    fn lines_are_counted_side_by_side() {
        let sums = |counts: [u32; 6]| {
            let [one, two, three, four, five, six] = counts;
            [(one, two), (three, four), (five, six)].map(|(priced, open)| GroupSum {
                known: Money::ZERO,
                priced,
                open,
            })
        };
        let most = [40, 0, 1, 40, 39, 40];
        let lines = KnownLines::of(sums(most)).expect("few lines");
        let mut all = KnownLines::default();
        for panels in 1..=25 {
            all = all.and(lines);
            let found = [0, 1, 2].map(|group| all.of_group(group));
            let expected = [(40, 0), (1, 40), (39, 40)];
            assert_eq!(
                found,
                expected.map(|(one, two)| (panels * one, panels * two))
            );
        }
        for at in 0..6 {
            let mut more = most;
            more[at] = 41;
            assert_eq!(KnownLines::of(sums(more)), None);
        }
    }
}

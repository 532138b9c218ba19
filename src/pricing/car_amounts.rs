//! What a car comes to, in little room: a region has a million cars, and goes
//! through all of them again and again.

use super::ledger::GroupSum;
use crate::money::{Amount, Currency, Money};
use crate::storm::Group;

const GROUPS: usize = Group::ALL.len();

/// The sums of a car's lines by group, and the owner's part of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CarAmounts(Kept);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Kept {
    Units(InUnits),
    /// What is out of all proportion.
    Money(Box<InMoney>),
}

/// In minor units.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct InUnits {
    /// The known amounts, in [`Group::ALL`] order, each small enough for all of them
    /// to fit together.
    known: [i64; GROUPS],
    /// How many lines have an amount.
    priced: [u8; GROUPS],
    /// How many have none.
    open: [u8; GROUPS],
    /// Whether anything is known of the owner's part; it is nothing otherwise.
    has_owner: bool,
    owner: i64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct InMoney {
    groups: [GroupSum; GROUPS],
    owner: Option<Money>,
}

impl Default for CarAmounts {
    fn default() -> CarAmounts {
        CarAmounts(Kept::Units(InUnits::default()))
    }
}

impl CarAmounts {
    /// Keeps the sums of a car, and what its owner pays of them; none while nothing is
    /// known.
    #[must_use]
    pub fn new(
        groups: &[GroupSum; GROUPS],
        owner: Option<Money>,
        currency: Currency,
    ) -> CarAmounts {
        let kept = match InUnits::of(groups, owner, currency) {
            Some(units) => Kept::Units(units),
            None => Kept::Money(Box::new(InMoney {
                groups: *groups,
                owner,
            })),
        };
        CarAmounts(kept)
    }

    /// Keeps the owner's part, which is never more than the total: so the payer's fits,
    /// too.
    pub fn set_owner(&mut self, owner: Option<Money>, currency: Currency) {
        if let Kept::Units(units) = &mut self.0 {
            match owner.map(|owner| i64::try_from(owner.minor_units(currency))) {
                None => units.set_owner(None),
                Some(Ok(owner)) => units.set_owner(Some(owner)),
                Some(Err(_)) => *self = CarAmounts::new(&self.groups(currency), owner, currency),
            }
        } else if let Kept::Money(money) = &mut self.0 {
            money.owner = owner;
        }
    }

    /// The sums of all groups.
    #[must_use]
    pub fn groups(&self, currency: Currency) -> [GroupSum; GROUPS] {
        match &self.0 {
            Kept::Units(units) => {
                let mut groups = [GroupSum::default(); GROUPS];
                for (group, sum) in groups.iter_mut().enumerate() {
                    // Most groups of most cars have no line.
                    if units.priced[group] > 0 {
                        sum.known = Money::from_minor_units(units.known[group].into(), currency);
                        sum.priced = units.priced[group].into();
                    }
                    sum.open = units.open[group].into();
                }
                groups
            }
            Kept::Money(money) => money.groups,
        }
    }

    /// Their sum.
    #[must_use]
    pub fn total(&self, currency: Currency) -> GroupSum {
        match &self.0 {
            Kept::Units(units) => GroupSum {
                known: Money::from_minor_units(units.total().into(), currency),
                priced: units.priced.iter().copied().map(u32::from).sum(),
                open: units.open.iter().copied().map(u32::from).sum(),
            },
            Kept::Money(money) => GroupSum::of_all(&money.groups),
        }
    }

    /// What the owner pays; none while nothing is known.
    #[must_use]
    pub fn owner_pays(&self, currency: Currency) -> Option<Money> {
        match &self.0 {
            Kept::Units(units) => {
                let owner = units.owner();
                owner.map(|owner| Money::from_minor_units(owner.into(), currency))
            }
            Kept::Money(money) => money.owner,
        }
    }

    /// What the payer pays; none while nothing is known.
    #[must_use]
    pub fn payer_pays(&self, currency: Currency) -> Option<Money> {
        let owner = self.owner_pays(currency);
        owner.map(|owner| self.total(currency).known - owner)
    }

    /// What a table shows: the groups, their total, the payer's part, the owner's.
    pub fn shown(&self, mut show: impl FnMut(Option<Amount>)) {
        match &self.0 {
            Kept::Units(units) => {
                let InUnits {
                    known,
                    priced,
                    open,
                    ..
                } = units;
                let (mut any_priced, mut any_open) = (false, false);
                for ((known, priced), open) in known.iter().zip(priced).zip(open) {
                    let (priced, open) = (*priced > 0, *open > 0);
                    show((priced || !open).then_some(Amount::Units(*known)));
                    any_priced |= priced;
                    any_open |= open;
                }
                let (total, owner) = (units.total(), units.owner());
                show((any_priced || !any_open).then_some(Amount::Units(total)));
                show(owner.map(|owner| Amount::Units(total - owner)));
                show(owner.map(Amount::Units));
            }
            Kept::Money(money) => {
                let total = GroupSum::of_all(&money.groups);
                let groups = money.groups.iter().copied().chain([total]);
                groups.for_each(|sum| show(sum.shown().map(Amount::Money)));
                let owner = money.owner;
                show(owner.map(|owner| Amount::Money(total.known - owner)));
                show(owner.map(Amount::Money));
            }
        }
    }
}

impl InUnits {
    /// None where something does not fit.
    fn of(
        groups: &[GroupSum; GROUPS],
        owner: Option<Money>,
        currency: Currency,
    ) -> Option<InUnits> {
        const MOST: u64 = i64::MAX as u64 / (GROUPS as u64 + 1);
        let units = |amount: Money| {
            let units = i64::try_from(amount.minor_units(currency)).ok();
            units.filter(|units| units.unsigned_abs() <= MOST)
        };
        let mut kept = InUnits::default();
        if let Some(owner) = owner {
            kept.set_owner(Some(units(owner)?));
        }
        for (group, sum) in groups.iter().enumerate() {
            // Most groups of most cars have no line.
            if sum.is_empty() {
                continue;
            }
            kept.known[group] = units(sum.known)?;
            kept.priced[group] = u8::try_from(sum.priced).ok()?;
            kept.open[group] = u8::try_from(sum.open).ok()?;
        }
        Some(kept)
    }

    fn total(&self) -> i64 {
        self.known.iter().sum()
    }

    fn owner(&self) -> Option<i64> {
        self.has_owner.then_some(self.owner)
    }

    fn set_owner(&mut self, owner: Option<i64>) {
        self.has_owner = owner.is_some();
        self.owner = owner.unwrap_or(0);
    }
}

/// What many cars come to. Adding is exact and in any order the same.
#[derive(Debug, Clone, Default)]
pub struct AmountSums {
    known: [i128; GROUPS],
    priced: [u32; GROUPS],
    open: [u32; GROUPS],
    payer: i128,
    owner: i128,
}

/// Adds lines, of which it only matters whether there are any.
fn add(lines: &mut u32, more: u32) {
    *lines = lines.saturating_add(more);
}

impl AmountSums {
    /// Adds a car.
    pub fn add(&mut self, car: &CarAmounts, currency: Currency) {
        match &car.0 {
            Kept::Units(units) => {
                for group in 0..GROUPS {
                    self.known[group] += i128::from(units.known[group]);
                    add(&mut self.priced[group], units.priced[group].into());
                    add(&mut self.open[group], units.open[group].into());
                }
                if let Some(owner) = units.owner() {
                    self.owner += i128::from(owner);
                    self.payer += i128::from(units.total() - owner);
                }
            }
            Kept::Money(money) => {
                for (group, sum) in money.groups.iter().enumerate() {
                    self.known[group] += sum.known.minor_units(currency);
                    add(&mut self.priced[group], sum.priced);
                    add(&mut self.open[group], sum.open);
                }
                let of = |amount: Option<Money>| amount.map_or(0, |it| it.minor_units(currency));
                self.owner += of(car.owner_pays(currency));
                self.payer += of(car.payer_pays(currency));
            }
        }
    }

    /// Adds other cars.
    pub fn join(&mut self, other: &AmountSums) {
        for group in 0..GROUPS {
            self.known[group] += other.known[group];
            add(&mut self.priced[group], other.priced[group]);
            add(&mut self.open[group], other.open[group]);
        }
        self.payer += other.payer;
        self.owner += other.owner;
    }

    /// The sums of all groups, in [`Group::ALL`] order.
    #[must_use]
    pub fn groups(&self, currency: Currency) -> [GroupSum; GROUPS] {
        std::array::from_fn(|group| GroupSum {
            known: Money::from_minor_units(self.known[group], currency),
            priced: self.priced[group],
            open: self.open[group],
        })
    }

    /// What the payers pay of what is known.
    #[must_use]
    pub fn payers_pay(&self, currency: Currency) -> Money {
        Money::from_minor_units(self.payer, currency)
    }

    /// What the owners pay of what is known.
    #[must_use]
    pub fn owners_pay(&self, currency: Currency) -> Money {
        Money::from_minor_units(self.owner, currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is kept is what was given, small or out of all proportion; its sums are
    /// those of the amounts, and a table shows what a sheet does.
    #[test]
    fn amounts_come_out_as_they_went_in() {
        let last = i128::from(i64::MAX) / 7;
        let amounts = [0, 1, -1, 12_345, last - 1, last, last + 1, -last, -last - 1];
        let beyond = [i128::from(i64::MAX) + 1, 70_000_000_000_000_000_000_000];
        let lines = [(0, 0), (1, 0), (0, 1), (255, 2), (256, 0), (3, 256)];
        for currency in ["JPY", "USD", "KWD"].map(Currency::from_code) {
            let currency = currency.expect("a currency");
            let money = |units: i128| Money::from_minor_units(units, currency);
            let (mut sums, mut all) = (AmountSums::default(), [GroupSum::default(); GROUPS]);
            let (mut owners, mut payers) = (Money::ZERO, Money::ZERO);
            for (turn, units) in amounts.into_iter().chain(beyond).enumerate() {
                for (priced, open) in lines {
                    let mut groups = [GroupSum::default(); GROUPS];
                    groups[turn % GROUPS] = GroupSum {
                        known: if priced > 0 {
                            money(units)
                        } else {
                            Money::ZERO
                        },
                        priced,
                        open,
                    };
                    groups[(turn + 1) % GROUPS] = GroupSum {
                        known: money(units % 1_000_000_007),
                        priced: 7,
                        open: 0,
                    };
                    let total = GroupSum::of_all(&groups);
                    for owner in [None, Some(Money::ZERO), Some(total.known)] {
                        let kept = CarAmounts::new(&groups, owner, currency);
                        assert_eq!(kept.groups(currency), groups);
                        assert_eq!(kept.total(currency), total);
                        assert_eq!(kept.owner_pays(currency), owner);
                        let payer = owner.map(|owner| total.known - owner);
                        assert_eq!(kept.payer_pays(currency), payer);
                        let mut later = CarAmounts::new(&groups, None, currency);
                        later.set_owner(owner, currency);
                        assert_eq!(later.owner_pays(currency), owner);
                        assert_eq!(later.groups(currency), groups);
                        let mut shown = Vec::new();
                        kept.shown(|amount| {
                            shown.push(amount.map(|amount| amount.money(currency)));
                        });
                        let sheet = groups.iter().chain([&total]).map(|sum| sum.shown());
                        let sheet: Vec<Option<Money>> = sheet.chain([payer, owner]).collect();
                        assert_eq!(shown, sheet);
                        // As the whole lot adds up: one amount to the other.
                        let mut car = AmountSums::default();
                        car.add(&kept, currency);
                        sums.join(&car);
                        for (all, group) in all.iter_mut().zip(groups) {
                            all.join(group);
                        }
                        owners += owner.unwrap_or(Money::ZERO);
                        payers += payer.unwrap_or(Money::ZERO);
                    }
                }
            }
            assert_eq!(sums.groups(currency), all);
            assert_eq!(sums.owners_pay(currency), owners);
            assert_eq!(sums.payers_pay(currency), payers);
        }
    }

    /// As much as fits in each group fits together.
    #[test]
    fn the_most_of_every_group_fits_together() {
        let usd = Currency::usd();
        let most = GroupSum {
            known: Money::from_minor_units(i128::from(i64::MAX) / 7, usd),
            priced: 255,
            open: 255,
        };
        for known in [most.known, -most.known] {
            let groups = [GroupSum { known, ..most }; GROUPS];
            let kept = CarAmounts::new(&groups, Some(-known), usd);
            assert!(matches!(kept.0, Kept::Units(_)));
            assert_eq!(kept.total(usd), GroupSum::of_all(&groups));
            let payer = GroupSum::of_all(&groups).known - -known;
            assert_eq!(kept.payer_pays(usd), Some(payer));
        }
    }

    /// The room that DEVELOPERS.md reckons with.
    #[test]
    fn a_car_takes_little_room() {
        assert_eq!(std::mem::size_of::<CarAmounts>(), 72);
    }

    /// Sums that no decimal holds to the last place keep their size.
    #[test]
    fn sums_beyond_all_figures_keep_their_size() {
        let clf = Currency::from_code("CLF").expect("a currency");
        let large = GroupSum {
            known: Money::from_minor_units(1 << 95, clf),
            priced: 1,
            open: 0,
        };
        let mut groups = [GroupSum::default(); GROUPS];
        groups[0] = large;
        let kept = CarAmounts::new(&groups, Some(Money::ZERO), clf);
        let mut sums = AmountSums::default();
        for _ in 0..40 {
            sums.add(&kept, clf);
        }
        // 40 x 2^95 = 1,584,563,250,285,286,751,870,879,006,720 of 0.0001, of which a
        // decimal holds 28 or 29 digits.
        let digits = "158456325028528675187087900";
        for sum in [sums.groups(clf)[0].known, sums.payers_pay(clf)] {
            let text = clf.text(sum);
            assert!(text.starts_with(digits), "{text}");
        }
        assert!(sums.owners_pay(clf).is_zero());
    }

    #[test]
    fn nothing_is_nothing() {
        let none = CarAmounts::default();
        let groups = [GroupSum::default(); GROUPS];
        assert_eq!(none.groups(Currency::usd()), groups);
        assert_eq!(CarAmounts::new(&groups, None, Currency::usd()), none);
    }
}

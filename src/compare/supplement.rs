//! The supplement: new lines minus old lines, car by car.
//!
//! Both counts are priced whole with the storm's terms, so lot tiers and the
//! event maximum are the storm's; the differences of all cars sum exactly to
//! the new total less the old total.

use crate::money::Money;
use crate::pricing::{Explainer, PricedCar, PricedStorm};
use crate::rates::Rates;
use crate::storm::{Group, Panel, Storm};

/// One line before and after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineChange {
    /// The panel; none: of the car.
    pub panel: Option<Panel>,
    /// The group.
    pub group: Group,
    /// The item.
    pub item: String,
    /// The amount before; none: no such line, or by quote.
    pub before: Option<Money>,
    /// The amount after; none: no such line, or by quote.
    pub after: Option<Money>,
    /// Whether either side is by written quote.
    pub open: bool,
}

impl LineChange {
    /// After less before; what is not there, or not known, counts nothing.
    #[must_use]
    pub fn difference(&self) -> Money {
        self.after.unwrap_or(Money::ZERO) - self.before.unwrap_or(Money::ZERO)
    }
}

/// One car before and after.
#[derive(Debug, Clone)]
pub struct CarSupplement {
    /// Index of the car in the new storm.
    pub car: usize,
    /// Its changed lines, in the order of the new sheet, then those that are gone.
    pub lines: Vec<LineChange>,
    /// Total before.
    pub before: Money,
    /// Total after.
    pub after: Money,
    /// What the owner pays before.
    pub owner_before: Money,
    /// What the owner pays after.
    pub owner_after: Money,
    /// Whether a line of either side is by written quote.
    pub open: bool,
}

/// All cars that change.
#[derive(Debug, Default)]
pub struct Supplement {
    /// In lot order.
    pub cars: Vec<CarSupplement>,
    /// The storm's total before.
    pub before: Money,
    /// The storm's total after.
    pub after: Money,
    /// What the owners pay before.
    pub owners_before: Money,
    /// What the owners pay after.
    pub owners_after: Money,
}

/// Two pricings of the same storm, line by line. The new storm may have cars
/// that the old one lacks, at its end.
#[must_use]
pub fn supplement(
    old: (&Storm, &PricedStorm),
    new: (&Storm, &PricedStorm),
    rates: &Rates,
) -> Supplement {
    let mut whole = Supplement::default();
    for (index, after) in new.1.cars.iter().enumerate() {
        let payer = new.0.cars[index].vehicle.payer;
        let before = old.1.cars.get(index);
        let lines_before = before.map_or_else(Vec::new, |car| {
            lines(&Explainer::new(old.0, rates, payer), car)
        });
        let lines_after = lines(&Explainer::new(new.0, rates, payer), after);
        let known = |car: Option<&PricedCar>| car.map_or(Money::ZERO, |car| car.total().known);
        let owner =
            |car: Option<&PricedCar>| car.and_then(|car| car.owner_pays).unwrap_or(Money::ZERO);
        let car = CarSupplement {
            car: index,
            lines: changes(lines_before, lines_after),
            before: known(before),
            after: known(Some(after)),
            owner_before: owner(before),
            owner_after: owner(Some(after)),
            open: after.ledger.is_open() || before.is_some_and(|car| car.ledger.is_open()),
        };
        whole.before += car.before;
        whole.after += car.after;
        whole.owners_before += car.owner_before;
        whole.owners_after += car.owner_after;
        if !car.lines.is_empty() || car.owner_before != car.owner_after {
            whole.cars.push(car);
        }
    }
    whole
}

/// A line as it is matched: panel, group, item, amount.
type Known = (Option<Panel>, Group, String, Option<Money>);

fn lines(explainer: &Explainer<'_>, car: &PricedCar) -> Vec<Known> {
    car.ledger
        .lines()
        .iter()
        .map(|line| (line.panel, line.group, explainer.item(line), line.amount))
        .collect()
}

/// Lines that differ. A line is the same when panel, group and item are; each
/// stands once on a side.
fn changes(mut before: Vec<Known>, after: Vec<Known>) -> Vec<LineChange> {
    let mut changes = Vec::new();
    for (panel, group, item, amount) in after {
        let old = before
            .iter()
            .position(|(p, g, i, _)| *p == panel && *g == group && *i == item)
            .map(|at| before.remove(at).3);
        let same = old == Some(amount);
        if !same {
            changes.push(LineChange {
                panel,
                group,
                item,
                before: old.flatten(),
                after: amount,
                open: amount.is_none() || old == Some(None),
            });
        }
    }
    changes.extend(
        before
            .into_iter()
            .map(|(panel, group, item, amount)| LineChange {
                panel,
                group,
                item,
                before: amount,
                after: None,
                open: amount.is_none(),
            }),
    );
    changes
}

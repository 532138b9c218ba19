//! All that is to be done on a car, in minutes at the standard's pace.

use super::standard::{Lack, TimeStandard};
use crate::pricing::{Basis, Item, PricedCar};
use crate::rates::RateCard;
use crate::storm::{Car, Panel};
use rust_decimal::Decimal;

/// The whole work of a car, done or not; 0 is none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CarWork {
    /// Taking off.
    pub strip: Decimal,
    /// Panels with dents that this crew repairs, in panel order.
    pub panels: Vec<(Panel, Decimal)>,
    /// Putting back.
    pub fit: Decimal,
    /// Wash, final check, photographs.
    pub finish: Decimal,
}

impl CarWork {
    /// Works a car out. A referred panel is no work of this crew; one that
    /// waits for its quote is. Removals are those that the price charges, each
    /// once.
    ///
    /// # Errors
    /// What the standard lacks for it.
    pub fn of(
        standard: &TimeStandard,
        card: &RateCard,
        car: &Car,
        priced: &PricedCar,
    ) -> Result<CarWork, Vec<Lack>> {
        let mut work = CarWork::default();
        let mut lacks = Vec::new();
        for (count, panel) in car.panels.iter().zip(&priced.panels) {
            if panel.referral.is_some() {
                continue;
            }
            match standard.panel_minutes(card, count) {
                Ok(minutes) if minutes.is_zero() => {}
                Ok(minutes) => work.panels.push((count.panel, minutes)),
                Err(found) => lacks.extend(found),
            }
        }
        let hours: Decimal = removals(card, car, priced).sum();
        (work.strip, work.fit) = standard.removal_minutes(hours);
        if !work.panels.is_empty() || !hours.is_zero() {
            work.finish = standard.finish_per_car;
        }
        if lacks.is_empty() {
            Ok(work)
        } else {
            Err(lacks)
        }
    }

    /// Minutes of everything together.
    #[must_use]
    pub fn total(&self) -> Decimal {
        let panels: Decimal = self.panels.iter().map(|(_, minutes)| minutes).sum();
        self.strip + panels + self.fit + self.finish
    }
}

/// The hours of every removal that is done for itself. An agreed amount takes
/// the place of a price and leaves the work what it is.
fn removals<'a>(
    card: &'a RateCard,
    car: &'a Car,
    priced: &'a PricedCar,
) -> impl Iterator<Item = Decimal> + 'a {
    priced.ledger.lines().iter().filter_map(move |line| {
        let Item::Removal(removal) = line.item else {
            return None;
        };
        let counts = !matches!(line.basis, Basis::In { .. });
        counts.then(|| card.removals[removal].hours.on(car.vehicle.body).0)
    })
}

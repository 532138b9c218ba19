//! One count laid over another: the new count's panels replace the old ones,
//! panels only in the old one stay.

use crate::storm::{Panel, Storm};
use std::collections::BTreeMap;

/// What a laying over met.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Overlaid {
    /// Cars that the new count speaks of and the old did not.
    pub new_cars: Vec<String>,
    /// Panels that the new count speaks of and the old did not, on cars in both.
    pub new_panels: Vec<(String, Panel)>,
    /// Panels with fewer dents than before: before and after.
    pub fewer: Vec<(String, Panel, u32, u32)>,
    /// Panels whose metal or access is another than before: before and after.
    pub surface: Vec<(String, Panel, &'static str, &'static str)>,
    /// Indices of the cars that the new count speaks of.
    pub cars: Vec<usize>,
}

/// Lays the counts of `new` over those of `old`. Both were read against the
/// same settings; a car that the old storm lacks is added at its end.
pub fn overlay(old: &mut Storm, new: &Storm) -> Overlaid {
    let mut met = Overlaid::default();
    let mut by_stock: BTreeMap<String, usize> = old
        .cars
        .iter()
        .enumerate()
        .map(|(index, car)| (car.vehicle.stock.clone(), index))
        .collect();
    for car in new.cars.iter().filter(|car| car.counted) {
        let stock = &car.vehicle.stock;
        let at = match by_stock.get(stock) {
            Some(at) => *at,
            None => {
                let mut fresh = car.clone();
                fresh.panels.clear();
                fresh.removals.clear();
                fresh.counted = false;
                old.cars.push(fresh);
                by_stock.insert(stock.clone(), old.cars.len() - 1);
                old.cars.len() - 1
            }
        };
        let target = &mut old.cars[at];
        met.cars.push(at);
        if !target.counted {
            met.new_cars.push(stock.clone());
        }
        for count in &car.panels {
            match target
                .panels
                .iter_mut()
                .find(|known| known.panel == count.panel)
            {
                Some(known) => {
                    let (before, after) = (dents(known), dents(count));
                    if after < before {
                        met.fewer.push((stock.clone(), count.panel, before, after));
                    }
                    for (was, now) in [
                        (known.metal.word(), count.metal.word()),
                        (known.access.word(), count.access.word()),
                    ] {
                        if was != now {
                            met.surface.push((stock.clone(), count.panel, was, now));
                        }
                    }
                    *known = count.clone();
                }
                None => {
                    if target.counted {
                        met.new_panels.push((stock.clone(), count.panel));
                    }
                    target.panels.push(count.clone());
                }
            }
        }
        target.panels.sort_by_key(|count| count.panel);
        for code in &car.removals {
            if !target.removals.contains(code) {
                target.removals.push(*code);
            }
        }
        target.counted = true;
    }
    met
}

fn dents(count: &crate::storm::PanelCount) -> u32 {
    let sized = count.sized.iter().map(|(_, dents)| *dents);
    let measured = count.measured.iter().map(|measured| measured.dents);
    sized.chain(measured).sum()
}

//! One storm on several cards, side by side.
//!
//! A count in classes that a card does not have cannot be priced on it, so
//! only panels that every card can express are compared; the others are
//! listed and left out of every column alike.

use crate::money::Money;
use crate::pricing::{GroupSum, Item, PricedStorm, price_storm};
use crate::rates::{RateCard, Rates};
use crate::storm::{Panel, PanelCount, Storm};
use std::collections::{BTreeMap, BTreeSet};

/// One way to price the storm: a name, and the rates.
#[derive(Debug, Clone)]
pub struct CardColumn {
    /// What heads the column.
    pub name: String,
    /// Cards and terms.
    pub rates: Rates,
}

/// A panel that some card cannot express.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotComparable {
    /// The car.
    pub stock: String,
    /// The panel.
    pub panel: Panel,
    /// Index of the first card that cannot.
    pub card: usize,
    /// Why.
    pub why: String,
}

/// A removal that a car needs and a card does not have: it costs nothing there,
/// so the card looks cheaper than it is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Uncharged {
    /// Index of the card.
    pub card: usize,
    /// The removal's code.
    pub code: String,
    /// Index of the car.
    pub car: usize,
}

/// What one column comes to.
#[derive(Debug, Clone)]
pub struct CardTotals {
    /// Everything.
    pub total: GroupSum,
    /// Per payer, as in the storm.
    pub by_payer: Vec<GroupSum>,
    /// Dents lines per panel, in panel order.
    pub by_panel: BTreeMap<Panel, GroupSum>,
    /// Lines of dents in classes, per class name.
    pub by_size: BTreeMap<String, GroupSum>,
    /// Per car, as in the storm.
    pub by_car: Vec<GroupSum>,
}

/// A car on which the cards differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differing {
    /// Index of the car.
    pub car: usize,
    /// Greatest known total less the least.
    pub spread: Money,
}

/// The comparison.
#[derive(Debug)]
pub struct CardComparison {
    /// The storm with the comparable panels only.
    pub storm: Storm,
    /// One per card, in the order given.
    pub columns: Vec<(String, CardTotals)>,
    /// Panels left out of every column.
    pub not_comparable: Vec<NotComparable>,
    /// Removals that a card lacks, by card and code, once per car.
    pub uncharged: Vec<Uncharged>,
    /// Size names in the order of the cards.
    pub sizes: Vec<String>,
    /// Cars by spread, the largest first; ties in lot order.
    pub differing: Vec<Differing>,
}

/// Prices a storm on every card, terms and all, over the panels that all of
/// them can express.
#[must_use]
pub fn compare_cards(storm: &Storm, cards: &[CardColumn]) -> CardComparison {
    let mut storm = storm.clone();
    let mut not_comparable = Vec::new();
    for car in &mut storm.cars {
        let payer = car.vehicle.payer;
        let stock = &car.vehicle.stock;
        car.panels.retain(|count| {
            let reason = cards.iter().enumerate().find_map(|(index, column)| {
                let why = why_not(&storm.size_names, column.rates.card_of(payer), count)?;
                Some((index, why))
            });
            let Some((card, why)) = reason else {
                return true;
            };
            not_comparable.push(NotComparable {
                stock: stock.clone(),
                panel: count.panel,
                card,
                why,
            });
            false
        });
    }
    // Agreed amounts are the same on every card, and belong to lines of one.
    storm.agreed.clear();
    let priced: Vec<PricedStorm> = cards
        .iter()
        .map(|column| price_storm(&storm, &column.rates))
        .collect();
    let columns: Vec<(String, CardTotals)> = cards
        .iter()
        .zip(&priced)
        .map(|(column, priced)| (column.name.clone(), totals(&storm, &column.rates, priced)))
        .collect();
    let differing = differing(&storm, &columns);
    let mut sizes: Vec<String> = Vec::new();
    for column in cards {
        for size in column.rates.cards.iter().flat_map(|card| &card.sizes) {
            if !sizes.contains(&size.name) {
                sizes.push(size.name.clone());
            }
        }
    }
    let uncharged = uncharged(&storm, cards);
    CardComparison {
        storm,
        columns,
        not_comparable,
        uncharged,
        sizes,
        differing,
    }
}

/// Why a card cannot price a panel as it was counted.
fn why_not(size_names: &[String], card: &RateCard, count: &PanelCount) -> Option<String> {
    match card.sort_dents(count) {
        Err(size) => {
            let name = size_names
                .get(usize::from(size.0))
                .map_or("", String::as_str);
            Some(format!("no size class {name}"))
        }
        Ok(sorted)
            if sorted.in_classes() > 0
                && !count.conventional
                && card.grid_for(count.panel).is_none() =>
        {
            Some("no grid serves it".to_owned())
        }
        Ok(_) => None,
    }
}

/// The removals asked for, in the counts and by hand, that a card has no entry for.
fn uncharged(storm: &Storm, cards: &[CardColumn]) -> Vec<Uncharged> {
    let mut found = BTreeSet::new();
    for (index, car) in storm.cars.iter().enumerate() {
        let asked = car
            .panels
            .iter()
            .flat_map(|count| &count.removals)
            .chain(&car.removals);
        for code in asked {
            for (card, column) in cards.iter().enumerate() {
                let entries = &column.rates.card_of(car.vehicle.payer).removals;
                if entries.iter().all(|entry| entry.id != *code) {
                    found.insert(Uncharged {
                        card,
                        code: storm.code_names[usize::from(code.0)].clone(),
                        car: index,
                    });
                }
            }
        }
    }
    found.into_iter().collect()
}

fn totals(storm: &Storm, rates: &Rates, priced: &PricedStorm) -> CardTotals {
    let mut totals = CardTotals {
        total: GroupSum::default(),
        by_payer: vec![GroupSum::default(); storm.payers.len()],
        by_panel: BTreeMap::new(),
        by_size: BTreeMap::new(),
        by_car: Vec::with_capacity(storm.cars.len()),
    };
    for (car, priced) in storm.cars.iter().zip(&priced.cars) {
        let total = priced.total();
        totals.total.join(total);
        totals.by_payer[car.vehicle.payer].join(total);
        totals.by_car.push(total);
        let card = rates.card_of(car.vehicle.payer);
        for line in priced.ledger.lines() {
            if let Some(panel) = line.panel
                && line.group == crate::storm::Group::Dents
            {
                totals.by_panel.entry(panel).or_default().add(line.amount);
            }
            if let Item::Dents(class) = line.item {
                let name = card.sizes[class].name.clone();
                totals.by_size.entry(name).or_default().add(line.amount);
            }
        }
    }
    totals
}

fn differing(storm: &Storm, columns: &[(String, CardTotals)]) -> Vec<Differing> {
    let mut cars: Vec<Differing> = (0..storm.cars.len())
        .filter_map(|car| {
            let known = columns.iter().map(|(_, totals)| totals.by_car[car].known);
            let spread = known.clone().max()? - known.min()?;
            (!spread.is_zero()).then_some(Differing { car, spread })
        })
        .collect();
    // A stable sort: equal spreads stay in lot order.
    cars.sort_by_key(|car| std::cmp::Reverse(car.spread));
    cars
}

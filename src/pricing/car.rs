//! One car, steps 1 to 6 in their order. For steps 7 to 11 lot tiers and event maxima
//! need the whole lot: they stand in [`super::storm`] and [`super::sums`].

use super::known_panels::KnownPanels;
use super::ledger::Ledger;
use super::limit::{self, Limited};
use super::line::{Basis, Item, Line};
use super::panel_prices::PanelPrices;
use super::panel_sums::PanelSums;
use super::prepared::PreparedCard;
use super::sums::CarCounts;
use super::{dents, oversize, removal, uplift};
use crate::intake::SoundCar;
use crate::money::Money;
use crate::rates::Per;
use crate::storm::{Body, Car, Group, Panel, PanelCount};

/// Why a panel goes to conventional repair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Referral {
    /// The counter said so.
    ByCounter,
    /// More dents than the grid's last band holds.
    CountAboveGrid,
    /// Above a limit that refers.
    OverLimit,
}

impl Referral {
    /// The reason in words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Referral::ByCounter => "by the counter",
            Referral::CountAboveGrid => "count above grid",
            Referral::OverLimit => "over limit",
        }
    }
}

/// A counted panel after pricing.
#[derive(Debug, Clone)]
pub struct PricedPanel {
    /// Which.
    pub panel: Panel,
    /// Dents in the card's classes.
    pub dents: u32,
    /// Dents too big for them.
    pub oversize: u32,
    /// Whether and why it is referred.
    pub referral: Option<Referral>,
    /// Whether it has a line of step 1 or 2 that stands.
    pub priced: bool,
    /// Lines of steps 1 to 3 that a referral voided; kept for the trace.
    pub voided: Vec<Line>,
}

impl PricedPanel {
    /// Whether any dent is on it.
    #[must_use]
    pub fn dented(&self) -> bool {
        self.dents + self.oversize > 0
    }

    /// Whether a sheet counts it: dented, or referred by the counter.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.dented() || self.referral == Some(Referral::ByCounter)
    }
}

/// Steps 1 to 6 of one car. One of them can serve car after car.
#[derive(Default)]
pub struct OpenCar {
    /// The panels.
    pub panels: Vec<PricedPanel>,
    /// The panels of which nobody wants the lines.
    known: KnownPanels,
    /// The lines so far.
    pub ledger: Ledger,
    /// The lines of the panel that is being priced.
    of_panel: Vec<Line>,
}

impl OpenCar {
    /// Whether any panel is priced: what lot tiers and extras per vehicle ask.
    #[must_use]
    pub fn has_priced_panel(&self) -> bool {
        self.known.has_priced() || self.panels.iter().any(|panel| panel.priced)
    }

    /// The counts of all its panels.
    #[must_use]
    pub fn counts(&self) -> CarCounts {
        self.known.counts().and(CarCounts::of(&self.panels))
    }
}

/// Prices a car up to its extras; agreed amounts come after.
pub fn open(card: &PreparedCard<'_>, car: &Car) -> OpenCar {
    let mut open = OpenCar::default();
    open.open(card, car);
    open
}

impl OpenCar {
    /// Prices another car in place of the one before.
    pub fn open(&mut self, card: &PreparedCard<'_>, car: &Car) {
        self.ledger.clear();
        self.panels.clear();
        for count in &car.panels {
            let body = car.vehicle.body;
            let panel = price_panel(card, count, body, &mut self.of_panel, &mut self.ledger);
            self.panels.push(panel);
        }
        self.known.clear();
        removal::lines(card, car, repaired(&self.panels), &mut self.ledger);
        extras(card, &self.panels, &mut self.ledger);
    }

    /// The same for whoever wants sums: of a panel of a kind that was priced
    /// before no line is made, and its part of `sums` is left to `prices`.
    pub fn open_in_sums(
        &mut self,
        card: &PreparedCard<'_>,
        sound: &SoundCar<'_>,
        prices: &mut PanelPrices,
        sums: &mut PanelSums,
    ) {
        self.ledger.clear();
        self.panels.clear();
        self.known.clear();
        let body = sound.car.vehicle.body;
        let mut panels = sound.plain.iter();
        while let Some(other) = self.known.add_all(card, sound, &mut panels, prices) {
            self.other(card, &sound.count(other), body);
        }
        for count in &sound.car.panels {
            if let Some(known) = prices.of(card, count, body) {
                let dents = count.sized.iter().map(|(_, dents)| dents).sum();
                self.known.add(card, known, count.panel, dents);
            } else {
                self.other(card, count, body);
            }
        }
        self.known.add_to(&mut self.ledger, card.rounding.currency);
        let repaired = self.known.set_off().chain(repaired(&self.panels));
        removal::lines(card, sound.car, repaired, &mut self.ledger);
        car_extras(card, self.has_priced_panel(), &mut self.ledger);
        sums.add(&self.panels, self.ledger.lines(), self.known.marks());
    }

    /// A panel of a kind that is not known.
    fn other(&mut self, card: &PreparedCard<'_>, count: &PanelCount, body: Body) {
        let panel = price_panel(card, count, body, &mut self.of_panel, &mut self.ledger);
        panel_extras(card, &panel, &mut self.ledger);
        self.panels.push(panel);
    }
}

/// The panels that this crew repairs, with their dents.
fn repaired(panels: &[PricedPanel]) -> impl Iterator<Item = (Panel, u32)> {
    let repaired = panels.iter().filter(|panel| panel.referral.is_none());
    repaired.map(|panel| (panel.panel, panel.dents + panel.oversize))
}

/// Steps 1 to 4 of one panel by itself, and its extras.
pub fn panel_alone(
    card: &PreparedCard<'_>,
    count: &PanelCount,
    body: Body,
) -> (PricedPanel, Ledger) {
    let mut ledger = Ledger::default();
    let panel = price_panel(card, count, body, &mut Vec::new(), &mut ledger);
    panel_extras(card, &panel, &mut ledger);
    (panel, ledger)
}

/// Steps 1 to 4 of one panel. Its lines come together in `lines`, since a
/// referral takes them all back.
fn price_panel(
    card: &PreparedCard<'_>,
    count: &PanelCount,
    body: Body,
    lines: &mut Vec<Line>,
    ledger: &mut Ledger,
) -> PricedPanel {
    lines.clear();
    // Intake has refused classes that the card lacks.
    let sorted = card.card.sort_dents(count).unwrap_or_default();
    let mut panel = PricedPanel {
        panel: count.panel,
        dents: sorted.in_classes(),
        oversize: sorted.oversized(),
        referral: None,
        priced: false,
        voided: Vec::new(),
    };
    if count.conventional {
        refer(card, &mut panel, Referral::ByCounter, Vec::new(), ledger);
        return panel;
    }
    if dents::lines(card, count.panel, &sorted.by_class, lines).is_err() {
        let reason = Referral::CountAboveGrid;
        refer(card, &mut panel, reason, Vec::new(), ledger);
        return panel;
    }
    let dents_sum = known(lines);
    let dent_lines = lines.len();
    oversize::lines(card, count.panel, &sorted.oversize, lines);
    let oversize_sum = known(&lines[dent_lines..]);
    panel.priced = !lines.is_empty();
    uplift::lines(card, count, body, dents_sum, oversize_sum, lines);
    match limit::apply(card, count.panel, known(lines)) {
        Limited::No => {}
        Limited::Held(line) => lines.push(line),
        Limited::Referred => {
            let voided = std::mem::take(lines);
            refer(card, &mut panel, Referral::OverLimit, voided, ledger);
            return panel;
        }
    }
    ledger.extend(lines);
    panel
}

fn known(lines: &[Line]) -> Money {
    lines.iter().filter_map(|line| line.amount).sum()
}

/// A referred panel keeps no line of steps 1 to 3 and gets one of its own.
fn refer(
    card: &PreparedCard<'_>,
    panel: &mut PricedPanel,
    reason: Referral,
    voided: Vec<Line>,
    ledger: &mut Ledger,
) {
    panel.referral = Some(reason);
    panel.priced = false;
    panel.voided = voided;
    let agreed = card
        .card
        .conventional_for(panel.panel)
        .map(|entry| entry.amount);
    ledger.push(Line {
        panel: Some(panel.panel),
        group: Group::Conventional,
        item: Item::Conventional,
        quantity: Some(1),
        amount: agreed.map(|amount| card.rounding.money(amount)),
        basis: Basis::Referred {
            amount: agreed,
            reason,
        },
    });
}

/// Step 6: once on a car with a priced panel, or once on every priced panel.
fn extras(card: &PreparedCard<'_>, panels: &[PricedPanel], ledger: &mut Ledger) {
    for (index, extra) in card.card.extras.iter().enumerate() {
        let mut priced = panels.iter().filter(|panel| panel.priced);
        match extra.per {
            Per::Vehicle => {
                if priced.next().is_some() {
                    ledger.push(extra_line(card, index, None));
                }
            }
            Per::Panel => {
                for panel in priced {
                    ledger.push(extra_line(card, index, Some(panel.panel)));
                }
            }
        }
    }
}

/// The extras of one panel alone.
fn panel_extras(card: &PreparedCard<'_>, panel: &PricedPanel, ledger: &mut Ledger) {
    for (index, extra) in card.card.extras.iter().enumerate() {
        if panel.priced && extra.per == Per::Panel {
            ledger.push(extra_line(card, index, Some(panel.panel)));
        }
    }
}

/// The extras of the car as a whole.
fn car_extras(card: &PreparedCard<'_>, has_priced: bool, ledger: &mut Ledger) {
    for (index, extra) in card.card.extras.iter().enumerate() {
        if has_priced && extra.per == Per::Vehicle {
            ledger.push(extra_line(card, index, None));
        }
    }
}

fn extra_line(card: &PreparedCard<'_>, index: usize, panel: Option<Panel>) -> Line {
    let amount = card.card.extras[index].amount;
    Line {
        panel,
        group: Group::Extra,
        item: Item::Extra(index),
        quantity: Some(1),
        amount: Some(card.rounding.money(amount)),
        basis: Basis::Card { amount },
    }
}

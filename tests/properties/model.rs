//! The pricing rules once more, as short as they go: whole storms in plain
//! figures to bills. It shares no line with the crate.

use super::plain::{Agreed, Bill, Car, Card, Count, Lot, PANELS, Words};
use super::ratio::Ratio;
use super::terms::{step_10, step_11, steps_7_to_9};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Clone)]
pub struct Line {
    pub panel: &'static str,
    pub group: &'static str,
    pub item: String,
    pub quantity: Option<u32>,
    pub amount: Option<Ratio>,
}

/// What steps 1 to 4 make of a panel.
pub struct Done {
    pub panel: &'static str,
    pub dents: u32,
    pub oversize: u32,
    pub referred: bool,
    priced: bool,
    lines: Vec<Line>,
}

/// What all steps make of a car.
pub struct Priced {
    /// In panel order; none: uncounted.
    pub panels: Vec<Done>,
    pub lines: Vec<Line>,
    pub status: &'static str,
    /// What is known of it.
    pub total: Ratio,
    /// The owner's part of it.
    pub owner: Ratio,
    pub flag: &'static str,
}

impl Priced {
    /// Whether it has a priced panel, and so counts for the lot tiers.
    pub fn is_priced(&self) -> bool {
        self.panels.iter().any(|panel| panel.priced)
    }
}

/// A card in a currency.
struct Pricer<'a> {
    card: &'a Card,
    places: u32,
}

/// Prices a storm, to bills.
pub fn price(lot: &Lot) -> Vec<Bill> {
    let priced = priced(lot);
    let cars = lot.cars.iter().zip(&priced);
    cars.map(|(car, done)| bill(lot, car, done)).collect()
}

/// Prices a storm.
pub fn priced(lot: &Lot) -> Vec<Priced> {
    let open: Vec<(Vec<Done>, Vec<Line>)> = (0..lot.cars.len())
        .map(|index| steps_1_to_6(lot, index))
        .collect();
    let mut borne = vec![Ratio::ZERO; lot.payers.len()];
    let mut priced_cars = vec![0; lot.payers.len()];
    for (car, (panels, _)) in lot.cars.iter().zip(&open) {
        priced_cars[car.payer] += usize::from(panels.iter().any(|p| p.priced));
    }
    let mut cars = Vec::new();
    for (car, (panels, mut lines)) in lot.cars.iter().zip(open) {
        let payer = &lot.payers[car.payer];
        let half_even = lot.card_of(car).half_even;
        let round = |amount: Ratio| amount.round(lot.places, half_even);
        steps_7_to_9(payer, priced_cars[car.payer], round, &mut lines);
        let total: Ratio = lines.iter().filter_map(|line| line.amount).sum();
        let owner = step_10(payer, car, total, &mut borne[car.payer]);
        let status = status(&panels, &lines);
        cars.push(Priced {
            flag: step_11(payer, car, status, total),
            panels,
            lines,
            status,
            total,
            owner,
        });
    }
    cars
}

fn status(panels: &[Done], lines: &[Line]) -> &'static str {
    let touched = |p: &Done| p.dents + p.oversize > 0 || p.referred;
    match lines {
        _ if panels.is_empty() => "uncounted",
        lines if lines.iter().any(|line| line.amount.is_none()) => "quote",
        [] if !panels.iter().any(touched) => "nothing",
        _ => "priced",
    }
}

fn bill(lot: &Lot, car: &Car, done: &Priced) -> Bill {
    let (panels, lines) = (&done.panels, &done.lines);
    let money = |amount: Ratio| amount.money(lot.places);
    let none_known = !lines.is_empty() && lines.iter().all(|line| line.amount.is_none());
    let shown = |amount: Ratio| match !panels.is_empty() && !none_known {
        true => money(amount),
        false => String::new(),
    };
    let text = |line: &Line| {
        let quantity = line.quantity.map_or(String::new(), |q| q.to_string());
        let amount = line.amount.map_or(String::new(), money);
        format!(
            "{}|{}|{}|{quantity}|{amount}",
            line.panel, line.group, line.item
        )
    };
    Bill {
        stock: car.stock.clone(),
        status: done.status,
        lines: lines.iter().map(text).collect(),
        total: shown(done.total),
        owner: shown(done.owner),
        payer: shown(done.total - done.owner),
        counts: [
            panels.iter().map(|p| p.dents).sum(),
            panels.iter().map(|p| p.oversize).sum(),
            panels.iter().map(|p| u32::from(p.referred)).sum(),
        ],
        flag: done.flag,
    }
}

/// Steps 1 to 4 of every panel, then removals, extras and agreed amounts.
fn steps_1_to_6(lot: &Lot, index: usize) -> (Vec<Done>, Vec<Line>) {
    let car = &lot.cars[index];
    let pricer = Pricer {
        card: lot.card_of(car),
        places: lot.places,
    };
    let mut counts: Vec<&Count> = car.panels.iter().collect();
    counts.sort_by_key(|count| place(count.panel));
    let panels: Vec<Done> = counts.iter().map(|c| pricer.panel(car, c)).collect();
    let mut lines: Vec<Line> = panels.iter().flat_map(|p| p.lines.clone()).collect();
    lines.extend(pricer.step_5(car, &panels));
    lines.extend(pricer.step_6(&panels));
    for row in lot.agreed.iter().filter(|row| row.car == index) {
        agree(row, &mut lines);
    }
    (panels, lines)
}

fn agree(row: &Agreed, lines: &mut Vec<Line>) {
    let fits = |line: &&mut Line| {
        line.panel == row.panel && line.item == row.item && line.amount.is_none()
    };
    if let Some(open) = lines.iter_mut().find(fits) {
        open.amount = Some(row.amount);
        return;
    }
    let panel = PANELS.iter().find(|panel| **panel == row.panel);
    lines.push(Line {
        panel: panel.copied().unwrap_or(""),
        group: row.group,
        item: row.item.clone(),
        quantity: (row.group != "dents").then_some(1),
        amount: Some(row.amount),
    });
}

fn place(panel: &str) -> usize {
    PANELS
        .iter()
        .position(|known| *known == panel)
        .expect("a panel")
}

/// The first that names the panel, else the first that names none.
fn serving<T>(all: &[T], panel: &str, panels: impl Fn(&T) -> &Words) -> Option<usize> {
    all.iter()
        .position(|one| panels(one).contains(&panel))
        .or_else(|| all.iter().position(|one| panels(one).is_empty()))
}

/// Whether a condition holds: none given, or the word is among those given.
fn holds(condition: &Words, word: &str) -> bool {
    condition.is_empty() || condition.contains(&word)
}

/// Dents per class, and the oversize dents: a measured dent goes into the
/// smallest class whose limit is at least its diameter.
pub fn sorted(card: &Card, count: &Count) -> (Vec<u32>, Vec<(Ratio, u32)>) {
    let mut by_class = count.sized.clone();
    let mut oversize = Vec::new();
    for (diameter, dents) in &count.measured {
        match card.sizes.iter().position(|(_, upto)| diameter <= upto) {
            Some(class) => by_class[class] += dents,
            None => oversize.push((*diameter, *dents)),
        }
    }
    (by_class, oversize)
}

/// The class with the most dents; a tie goes to the larger.
pub fn predominant(by_class: &[u32]) -> usize {
    let most = by_class.iter().max().expect("a class");
    by_class
        .iter()
        .rposition(|dents| dents == most)
        .expect("it")
}

impl Pricer<'_> {
    fn round(&self, amount: Ratio) -> Ratio {
        amount.round(self.places, self.card.half_even)
    }

    fn panel(&self, car: &Car, count: &Count) -> Done {
        let (by_class, oversize) = sorted(self.card, count);
        let line = |item: String, quantity, amount| Line {
            panel: count.panel,
            group: "dents",
            item,
            quantity,
            amount,
        };
        let mut done = Done {
            panel: count.panel,
            dents: by_class.iter().sum(),
            oversize: oversize.iter().map(|(_, dents)| dents).sum(),
            referred: count.conventional,
            priced: false,
            lines: Vec::new(),
        };
        let mut lines = Vec::new();
        let (mut dents_sum, mut oversize_sum) = (Ratio::ZERO, Ratio::ZERO);
        // 1. Dents.
        for (class, dents) in self.priced_as(&by_class) {
            match self.cell(count.panel, class, dents) {
                Some(amount) => {
                    dents_sum = dents_sum + amount;
                    let item = format!("dents {}", self.card.sizes[class].0);
                    lines.push(line(item, Some(dents), Some(amount)));
                }
                None => done.referred = true,
            }
        }
        // 2. Oversize.
        let steps = &self.card.steps;
        for step in 0..=steps.len() {
            let in_step = |diameter: &Ratio| {
                let first = steps.iter().position(|(upto, _)| diameter <= upto);
                first.unwrap_or(steps.len()) == step
            };
            let here = oversize.iter().filter(|(diameter, _)| in_step(diameter));
            let dents: u32 = here.map(|(_, dents)| dents).sum();
            if dents == 0 {
                continue;
            }
            let (item, amount) = match (steps.get(step), steps.last()) {
                (Some((upto, each)), _) => {
                    let amount = self.round(*each * Ratio::whole(dents));
                    (format!("oversize to {upto} mm"), Some(amount))
                }
                (None, Some((last, _))) => (format!("oversize above {last} mm"), None),
                (None, None) => ("oversize".to_owned(), None),
            };
            oversize_sum = oversize_sum + amount.unwrap_or(Ratio::ZERO);
            lines.push(line(item, Some(dents), amount));
        }
        done.priced = !lines.is_empty();
        // 3. Uplifts, on one exact running amount per kind.
        let mut running = BTreeMap::from([("dents", dents_sum), ("oversize", oversize_sum)]);
        for uplift in &self.card.uplifts {
            let all_hold = holds(&uplift.metal, count.metal)
                && holds(&uplift.access, count.access)
                && holds(&uplift.panels, count.panel)
                && holds(&uplift.bodies, car.body);
            let base: Ratio = uplift.on.iter().map(|kind| running[kind]).sum();
            if !all_hold || base.is_zero() {
                continue;
            }
            let amount = self.round(base.percent(uplift.percent));
            lines.push(line(format!("uplift {}", uplift.name), None, Some(amount)));
            for kind in uplift.on.iter().filter(|_| self.card.compound) {
                let part = running[kind].percent(uplift.percent);
                running.insert(kind, running[kind] + part);
            }
        }
        // 4. Limit.
        let sum: Ratio = lines.iter().filter_map(|line| line.amount).sum();
        if let Some(limit) = serving(&self.card.limits, count.panel, |limit| &limit.panels) {
            let limit = &self.card.limits[limit];
            if sum > limit.amount && limit.refers {
                done.referred = true;
            } else if sum > limit.amount {
                let amount = self.round(limit.amount - sum);
                lines.push(line("limit".to_owned(), None, Some(amount)));
            }
        }
        if done.referred {
            let known = &self.card.conventional;
            let entry = serving(known, count.panel, |(panels, _)| panels);
            let amount = entry.map(|entry| self.round(known[entry].1));
            done.priced = false;
            lines = vec![Line {
                group: "conventional",
                ..line("conventional".to_owned(), Some(1), amount)
            }];
        }
        done.lines = lines;
        done
    }

    /// Which column, and which count chooses the band.
    fn priced_as(&self, by_class: &[u32]) -> Vec<(usize, u32)> {
        let all: u32 = by_class.iter().sum();
        if all == 0 {
            return Vec::new();
        }
        match self.card.mixed {
            "each" => (0..by_class.len())
                .map(|class| (class, by_class[class]))
                .filter(|(_, dents)| *dents > 0)
                .collect(),
            "largest" => {
                let largest = by_class.iter().rposition(|dents| *dents > 0);
                vec![(largest.expect("a dent"), all)]
            }
            _ => vec![(predominant(by_class), all)],
        }
    }

    /// The amount of a grid's cell; none above a closed last band.
    fn cell(&self, panel: &str, class: usize, dents: u32) -> Option<Ratio> {
        let grid = serving(&self.card.grids, panel, |grid| &grid.panels).expect("a grid");
        let grid = &self.card.grids[grid];
        let band = grid
            .bands
            .iter()
            .position(|(from, to)| dents >= *from && to.is_none_or(|to| dents <= to))?;
        let cell = grid.cells[band][class];
        let rate = match grid.hours {
            true => self.card.hour_rate,
            false => Ratio::whole(1),
        };
        Some(self.round(cell * rate))
    }

    /// Remove and install.
    fn step_5(&self, car: &Car, panels: &[Done]) -> Vec<Line> {
        // Where each code is wanted, by code in byte order; no panel: on the car.
        let mut wanted: BTreeMap<&str, BTreeSet<Option<usize>>> = BTreeMap::new();
        for removal in &self.card.removals {
            let listed = car
                .panels
                .iter()
                .filter(|c| c.remove.contains(&removal.code));
            let auto = panels.iter().filter(|done| {
                let enough = |(on, least): &(Words, u32)| {
                    holds(on, done.panel) && done.dents + done.oversize >= *least
                };
                !done.referred && removal.auto.iter().any(enough)
            });
            let places = listed.map(|c| c.panel).chain(auto.map(|done| done.panel));
            let places = places.map(|panel| removal.per_panel.then(|| place(panel)));
            wanted.insert(removal.code, places.collect());
        }
        let named = |code: &str| self.card.removals.iter().find(|r| r.code == code);
        let mut lines = Vec::new();
        for (code, places) in &wanted {
            let removal = named(code).expect("a code");
            for at in places {
                let included = self.card.removals.iter().any(|other| {
                    let there = match removal.per_panel && other.per_panel {
                        true => wanted[other.code].contains(at),
                        false => !wanted[other.code].is_empty(),
                    };
                    there && other.includes.contains(code)
                });
                let hours = removal.hours.iter().find(|(body, _)| *body == car.body);
                let hours = hours.or(removal.hours.iter().find(|(body, _)| *body == "other"));
                let labour = hours.expect("hours").1 * self.card.removal_rate;
                let line = |group, amount| Line {
                    panel: at.map_or("", |at| PANELS[at]),
                    group,
                    item: removal.code.to_owned(),
                    quantity: Some(1),
                    amount: Some(self.round(amount)),
                };
                if included {
                    lines.push(line("removal", Ratio::ZERO));
                    continue;
                }
                lines.push(line("removal", labour));
                lines.extend(removal.parts.map(|parts| line("parts", parts)));
            }
        }
        lines
    }

    /// Extras.
    fn step_6(&self, panels: &[Done]) -> Vec<Line> {
        let mut lines = Vec::new();
        for extra in &self.card.extras {
            let line = |panel| Line {
                panel,
                group: "extra",
                item: extra.name.to_owned(),
                quantity: Some(1),
                amount: Some(self.round(extra.amount)),
            };
            let priced = panels.iter().filter(|done| done.priced);
            match extra.per_panel {
                true => lines.extend(priced.map(|done| line(done.panel))),
                false => lines.extend(priced.take(1).map(|_| line(""))),
            }
        }
        lines
    }
}

//! The rules again, as shortly as they go, in whole numbers. Amounts before
//! rounding are fractions; nothing of the code under test is used.

use super::storms::{CODE_ORDER, Car, Card, Panel, RandomStorm};

/// A fraction: enough for a product of five percents of three decimals.
#[derive(Clone, Copy)]
struct Ratio(i128, i128);

impl Ratio {
    fn thousandths(value: u64) -> Ratio {
        Ratio(i128::from(value), 1_000)
    }

    /// Reduced crosswise first, so that nothing grows without need.
    fn times(self, other: Ratio) -> Ratio {
        let (one, two) = (divisor(self.0, other.1), divisor(other.0, self.1));
        Ratio(
            (self.0 / one) * (other.0 / two),
            (self.1 / two) * (other.1 / one),
        )
    }

    fn plus(self, other: Ratio) -> Ratio {
        let common = divisor(self.1, other.1);
        Ratio(
            self.0 * (other.1 / common) + other.0 * (self.1 / common),
            self.1 / common * other.1,
        )
        .reduced()
    }

    fn reduced(self) -> Ratio {
        let common = divisor(self.0, self.1);
        Ratio(self.0 / common, self.1 / common)
    }

    /// Thousandths of a percent of it.
    fn percent(self, thousandths: u64) -> Ratio {
        self.times(Ratio(i128::from(thousandths), 100_000))
    }
}

/// The greatest common divisor, at least 1 (Euclid).
fn divisor(a: i128, b: i128) -> i128 {
    let (mut a, mut b) = (a.abs(), b.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

/// Rounds to minor units: halves away from zero, or to even.
struct Rounder {
    units: i128,
    half_even: bool,
}

impl Rounder {
    fn round(&self, value: Ratio) -> i128 {
        let (n, d) = (value.0.abs() * self.units, value.1);
        let (floor, rest) = (n / d, n % d);
        let up = match (2 * rest).cmp(&d) {
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => !self.half_even || floor % 2 == 1,
        };
        (floor + i128::from(up)) * value.0.signum()
    }

    fn money(&self, units: i128) -> Ratio {
        Ratio(units, self.units)
    }
}

/// Sums per group of one car (dents, removal, parts, extra, conventional, tax),
/// lines without an amount, and whether a panel is priced.
#[derive(Clone, Default)]
struct Sums {
    groups: [i128; 6],
    open: i128,
    priced: bool,
}

pub struct Model;

impl Model {
    /// Per car: the six groups, total, owner's part, payer's part, open lines.
    pub fn price(storm: &RandomStorm) -> Vec<Vec<i128>> {
        let mut cars: Vec<Sums> = storm
            .cars
            .iter()
            .map(|car| Model::car(storm, car))
            .collect();
        let priced: Vec<u64> = (0..storm.terms.len())
            .map(|payer| {
                let reached = storm.cars.iter().zip(&cars);
                reached
                    .filter(|(car, sums)| car.payer == payer && sums.priced)
                    .count() as u64
            })
            .collect();
        let mut owners = vec![0_i128; storm.terms.len()];
        let mut rows = Vec::new();
        for (car, sums) in storm.cars.iter().zip(&mut cars) {
            Model::settle(storm, car, sums, priced[car.payer]);
            let terms = &storm.terms[car.payer];
            let total: i128 = sums.groups.iter().sum();
            let deductible = car.deductible.or(terms.deductible).unwrap_or(0);
            let mut owner = i128::from(deductible).min(total);
            if let Some(most) = terms.event_max {
                owner = owner.min(i128::from(most) - owners[car.payer]);
            }
            owners[car.payer] += owner;
            let mut row = sums.groups.to_vec();
            row.push(total);
            row.extend([owner, total - owner]);
            row.push(sums.open);
            rows.push(row);
        }
        rows
    }

    fn car(storm: &RandomStorm, car: &Car) -> Sums {
        let card = &storm.cards[car.payer];
        let rounder = Rounder {
            units: 10_i128.pow(storm.places),
            half_even: card.half_even,
        };
        let mut sums = Sums::default();
        let mut wanted: Vec<Vec<&str>> = vec![Vec::new(); card.removals.len()];
        let mut priced_panels = 0;
        for panel in &car.panels {
            let all: u64 = panel.dents.iter().map(|(_, count)| count).sum();
            let referred = Model::panel(card, panel, &rounder, &mut sums);
            if !referred && all > 0 {
                priced_panels += 1;
            }
            for (index, removal) in card.removals.iter().enumerate() {
                let auto = removal
                    .auto_from
                    .is_some_and(|from| !referred && all >= from);
                if auto || panel.removals.contains(&index) {
                    let place = if removal.per_panel { panel.word } else { "" };
                    if !wanted[index].contains(&place) {
                        wanted[index].push(place);
                    }
                }
            }
        }
        sums.priced = priced_panels > 0;
        for index in CODE_ORDER
            .into_iter()
            .filter(|index| *index < card.removals.len())
        {
            let removal = &card.removals[index];
            for place in &wanted[index] {
                let included = card.removals.iter().enumerate().any(|(other, by)| {
                    by.includes == Some(index)
                        && if by.per_panel && removal.per_panel {
                            wanted[other].contains(place)
                        } else {
                            !wanted[other].is_empty()
                        }
                });
                if !included {
                    // 58.05 an hour
                    let labour = Ratio::thousandths(removal.hours).times(Ratio(5_805, 100));
                    sums.groups[1] += rounder.round(labour);
                    if let Some(parts) = removal.parts {
                        sums.groups[2] += rounder.round(Ratio::thousandths(parts));
                    }
                }
            }
        }
        for (per_panel, amount) in &card.extras {
            let times = if *per_panel {
                priced_panels
            } else {
                i128::from(priced_panels > 0)
            };
            sums.groups[3] += times * rounder.round(Ratio::thousandths(*amount));
        }
        sums
    }

    /// Adds a panel's lines; whether it is referred.
    fn panel(card: &Card, panel: &Panel, rounder: &Rounder, sums: &mut Sums) -> bool {
        let refer = |sums: &mut Sums| {
            match card.conventional {
                Some(amount) => sums.groups[4] += rounder.round(Ratio::thousandths(amount)),
                None => sums.open += 1,
            }
            true
        };
        if panel.conventional {
            return refer(sums);
        }
        let mut classes = vec![0; card.classes.len()];
        let mut steps = vec![0; card.steps.len() + 1];
        for (diameter, count) in &panel.dents {
            match card.classes.iter().position(|upto| diameter <= upto) {
                Some(class) => classes[class] += count,
                None => {
                    let step = card.steps.iter().position(|(upto, _)| diameter <= upto);
                    steps[step.unwrap_or(card.steps.len())] += count;
                }
            }
        }
        let total: u64 = classes.iter().sum();
        let columns: Vec<(usize, u64)> = match card.mixed {
            _ if total == 0 => vec![],
            "each" => classes
                .iter()
                .copied()
                .enumerate()
                .filter(|(_, count)| *count > 0)
                .collect(),
            "largest" => vec![(classes.iter().rposition(|count| *count > 0).unwrap(), total)],
            _ => {
                let most = *classes.iter().max().unwrap();
                vec![(
                    classes.iter().rposition(|count| *count == most).unwrap(),
                    total,
                )]
            }
        };
        let mut dents = 0;
        for (class, count) in columns {
            let last = card.band_ends.len() - 1;
            let band = card.band_ends.iter().position(|end| count <= *end);
            let band = band.or(card.open_end.then_some(last));
            let Some(band) = band else { return refer(sums) };
            let cell = Ratio::thousandths(card.cells[band][class]);
            let amount = if card.hour_rate > 0 {
                cell.times(Ratio::thousandths(card.hour_rate))
            } else {
                cell
            };
            dents += rounder.round(amount);
        }
        let mut oversize = 0;
        for ((_, each), count) in card.steps.iter().zip(&steps) {
            oversize +=
                rounder.round(Ratio::thousandths(*each).times(Ratio(i128::from(*count), 1)));
        }
        let (mut on_dents, mut on_oversize) = (rounder.money(dents), rounder.money(oversize));
        let mut sum = dents + oversize;
        for uplift in &card.uplifts {
            if (uplift.aluminium_only && !panel.aluminium) || (uplift.glue_only && !panel.glue) {
                continue;
            }
            let mut base = Ratio(0, 1);
            if uplift.dents {
                base = base.plus(on_dents);
            }
            if uplift.oversize {
                base = base.plus(on_oversize);
            }
            sum += rounder.round(base.percent(uplift.percent));
            if card.compound {
                if uplift.dents {
                    on_dents = on_dents.plus(on_dents.percent(uplift.percent));
                }
                if uplift.oversize {
                    on_oversize = on_oversize.plus(on_oversize.percent(uplift.percent));
                }
            }
        }
        if let Some((amount, hold)) = card.limit {
            let limit = Ratio::thousandths(amount);
            // sum above the limit: sum / units > limit
            if sum * limit.1 > limit.0 * rounder.units {
                if !hold {
                    return refer(sums);
                }
                sum += rounder.round(limit.plus(rounder.money(-sum)));
            }
        }
        sums.groups[0] += sum;
        sums.open += i128::from(steps[card.steps.len()] > 0);
        false
    }

    /// Discount, minimum, taxes.
    fn settle(storm: &RandomStorm, car: &Car, sums: &mut Sums, priced_cars: u64) {
        let terms = &storm.terms[car.payer];
        let rounder = Rounder {
            units: 10_i128.pow(storm.places),
            half_even: storm.cards[car.payer].half_even,
        };
        let tier = terms
            .tiers
            .iter()
            .rev()
            .find(|(cars, _)| *cars <= priced_cars);
        let mut percents = terms.discount;
        percents[0] += tier.map_or(0, |(_, percent)| *percent);
        for (group, percent) in percents.into_iter().enumerate() {
            let part = rounder.money(sums.groups[group]).percent(percent);
            sums.groups[group] -= rounder.round(part);
        }
        if let Some(minimum) = terms.minimum {
            let sum: i128 = sums.groups[..4].iter().sum();
            if sums.open == 0 && sum > 0 && sum < i128::from(minimum) {
                sums.groups[0] += i128::from(minimum) - sum;
            }
        }
        let before = sums.groups;
        for (percent, on) in &terms.taxes {
            let sum: i128 = before
                .iter()
                .zip(on)
                .filter(|(_, on)| **on)
                .map(|(sum, _)| sum)
                .sum();
            sums.groups[5] += rounder.round(rounder.money(sum).percent(*percent));
        }
    }
}

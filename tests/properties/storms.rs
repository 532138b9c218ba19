//! Random small storms, and their files in every layout.

use hailyard::intake::InMemory;
use std::fmt::Write;

/// Park and Miller's minimal standard generator.
pub struct Draw(u64);

impl Draw {
    pub fn new(seed: u64) -> Draw {
        let mut draw = Draw(seed * 7_919 % 2_147_483_647);
        draw.below(2);
        draw.below(2);
        draw
    }

    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 16_807 % 2_147_483_647;
        // The low digits of this generator are the weak ones.
        (self.0 / 7) % end
    }

    pub fn yes(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

/// Amounts are in thousandths: fine enough for dinars, finer than cents.
#[derive(Clone)]
pub struct Card {
    /// Upper limits in hundredths of a millimetre.
    pub classes: Vec<u64>,
    /// Ends of bands; the last may be open.
    pub band_ends: Vec<u64>,
    pub open_end: bool,
    /// `[band][class]`, thousandths of money or of hours.
    pub cells: Vec<Vec<u64>>,
    /// Thousandths of money per hour; 0: the grid is in money.
    pub hour_rate: u64,
    pub mixed: &'static str,
    pub compound: bool,
    pub half_even: bool,
    /// Limit in hundredths of a millimetre, thousandths of money each.
    pub steps: Vec<(u64, u64)>,
    pub uplifts: Vec<Uplift>,
    /// Thousandths, hold or refer.
    pub limit: Option<(u64, bool)>,
    pub conventional: Option<u64>,
    /// Hours in thousandths, per panel or car, parts, from how many dents, index that it includes.
    pub removals: Vec<Removal>,
    /// Per panel or car, thousandths.
    pub extras: Vec<(bool, u64)>,
}

#[derive(Clone)]
pub struct Uplift {
    /// Thousandths of a percent.
    pub percent: u64,
    pub dents: bool,
    pub oversize: bool,
    pub aluminium_only: bool,
    pub glue_only: bool,
}

#[derive(Clone)]
pub struct Removal {
    pub hours: u64,
    pub per_panel: bool,
    pub parts: Option<u64>,
    pub auto_from: Option<u64>,
    pub includes: Option<usize>,
}

#[derive(Clone)]
pub struct Terms {
    /// Thousandths of a percent on dents, removal, parts, extra, conventional.
    pub discount: [u64; 5],
    pub tiers: Vec<(u64, u64)>,
    /// Minor units.
    pub minimum: Option<u64>,
    /// Thousandths of a percent and the groups it is on.
    pub taxes: Vec<(u64, [bool; 5])>,
    pub deductible: Option<u64>,
    pub event_max: Option<u64>,
}

#[derive(Clone)]
pub struct Panel {
    pub word: &'static str,
    /// Diameters in hundredths of a millimetre, with how many.
    pub dents: Vec<(u64, u64)>,
    pub aluminium: bool,
    pub glue: bool,
    pub conventional: bool,
    pub removals: Vec<usize>,
}

#[derive(Clone)]
pub struct Car {
    pub payer: usize,
    pub deductible: Option<u64>,
    /// In panel order.
    pub panels: Vec<Panel>,
}

#[derive(Clone)]
pub struct RandomStorm {
    pub currency: &'static str,
    pub places: u32,
    pub cards: Vec<Card>,
    pub terms: Vec<Terms>,
    pub cars: Vec<Car>,
}

const PANELS: [&str; 6] = ["hood", "roof", "fender-l", "rail-r", "door-fl", "rocker-r"];
const GROUPS: [&str; 5] = ["dents", "removal", "parts", "extra", "conventional"];
const CODES: [&str; 4] = ["delta", "Alpha", "beta", "charlie"];

impl RandomStorm {
    pub fn new(draw: &mut Draw) -> RandomStorm {
        let (currency, places) = [("USD", 2), ("JPY", 0), ("KWD", 3)][draw.below(3) as usize];
        let payers = 1 + draw.below(2) as usize;
        let cards: Vec<Card> = (0..payers).map(|_| card(draw)).collect();
        let terms = (0..payers).map(|_| terms(draw)).collect();
        let count = 1 + draw.below(5);
        let cars = (0..count)
            .map(|_| {
                let payer = draw.below(payers as u64) as usize;
                car(draw, payer, &cards[payer])
            })
            .collect();
        let mut storm = RandomStorm {
            currency,
            places,
            cards,
            terms,
            cars,
        };
        // An event maximum needs a deductible somewhere.
        for payer in 0..payers {
            let own = storm
                .cars
                .iter()
                .any(|car| car.payer == payer && car.deductible.is_some());
            if storm.terms[payer].deductible.is_none() && !own {
                storm.terms[payer].event_max = None;
            }
        }
        storm
    }

    /// Rising grids, no limit, open bands, `largest` or `each`, uplifts for
    /// aluminium only.
    pub fn rising(draw: &mut Draw) -> RandomStorm {
        let mut storm = RandomStorm::new(draw);
        for card in &mut storm.cards {
            card.limit = None;
            card.open_end = true;
            card.mixed = if draw.yes(50) { "largest" } else { "each" };
            for uplift in &mut card.uplifts {
                uplift.aluminium_only = true;
                uplift.glue_only = false;
            }
            for band in 0..card.cells.len() {
                for class in 0..card.classes.len() {
                    let below = if band > 0 {
                        card.cells[band - 1][class]
                    } else {
                        0
                    };
                    let left = if class > 0 {
                        card.cells[band][class - 1]
                    } else {
                        0
                    };
                    card.cells[band][class] = card.cells[band][class].max(below).max(left);
                }
            }
        }
        for card in &mut storm.cards {
            // A removal that includes another is not cheaper than it, none that
            // is included includes a third, and all are once per car: else
            // taking one more could save money, as the rules have it.
            let included: Vec<usize> = card
                .removals
                .iter()
                .filter_map(|removal| removal.includes)
                .collect();
            for index in included {
                card.removals[index].includes = None;
            }
            for index in 0..card.removals.len() {
                card.removals[index].per_panel = false;
                if let Some(other) = card.removals[index].includes {
                    let (hours, parts) = (card.removals[other].hours, card.removals[other].parts);
                    let removal = &mut card.removals[index];
                    removal.hours = removal.hours.max(hours);
                    removal.parts = removal.parts.max(parts);
                }
            }
        }
        for terms in &mut storm.terms {
            // A discount or a minimum is a rule that says otherwise.
            terms.discount = [0; 5];
            terms.tiers.clear();
            terms.minimum = None;
        }
        for car in &mut storm.cars {
            for panel in &mut car.panels {
                panel.conventional = false;
                panel.aluminium = false;
            }
        }
        storm
    }

    pub fn with_one_dent_more(&self, draw: &mut Draw) -> RandomStorm {
        let mut storm = self.clone();
        let car = draw.below(storm.cars.len() as u64) as usize;
        let panel = draw.below(storm.cars[car].panels.len() as u64) as usize;
        let card = &storm.cards[storm.cars[car].payer];
        let diameter = card.classes[draw.below(card.classes.len() as u64) as usize];
        storm.cars[car].panels[panel].dents.push((diameter, 1));
        storm
    }

    /// One removal more, listed on one panel; `None` where the card has none.
    pub fn with_one_removal_more(&self, draw: &mut Draw) -> Option<RandomStorm> {
        let mut storm = self.clone();
        let car = draw.below(storm.cars.len() as u64) as usize;
        let removals = storm.cards[storm.cars[car].payer].removals.len() as u64;
        if removals == 0 {
            return None;
        }
        let code = draw.below(removals) as usize;
        let wanted = &mut storm.cars[car].panels[0].removals;
        if !wanted.contains(&code) {
            wanted.push(code);
        }
        Some(storm)
    }

    pub fn all_aluminium(&self) -> RandomStorm {
        let mut storm = self.clone();
        for panel in storm.cars.iter_mut().flat_map(|car| &mut car.panels) {
            panel.aluminium = true;
        }
        storm
    }

    /// All files as one text, for a failing case.
    pub fn text(&self) -> String {
        let mut text = self.storm_toml();
        for (index, card) in self.cards.iter().enumerate() {
            let _ = writeln!(text, "--- card {index}\n{}", self.card_toml(card));
        }
        text + &self.vehicles() + &self.panel_rows().join("\n")
    }

    pub fn files(&self) -> InMemory {
        self.with_counts(&[("a.csv", sheet(PANEL_HEADER, &self.panel_rows()))])
    }

    /// The same rows in another order, over two files.
    pub fn files_shuffled(&self, draw: &mut Draw) -> InMemory {
        let mut rows = self.panel_rows();
        for at in (1..rows.len()).rev() {
            rows.swap(at, draw.below(at as u64 + 1) as usize);
        }
        let (first, second) = rows.split_at(rows.len() / 2);
        self.with_counts(&[
            ("a.csv", sheet(PANEL_HEADER, first)),
            ("b.csv", sheet(PANEL_HEADER, second)),
        ])
    }

    pub fn files_as(&self, layout: &str) -> InMemory {
        let text = match layout {
            "dents" => self.dent_sheet(),
            _ => self.car_sheet(),
        };
        self.with_counts(&[("lot.csv", text)])
    }

    fn with_counts(&self, counts: &[(&str, String)]) -> InMemory {
        let mut files = InMemory::default();
        files.add("storm.toml", self.storm_toml().into_bytes());
        for (index, card) in self.cards.iter().enumerate() {
            files.add(
                &format!("rates/card-{index}.toml"),
                self.card_toml(card).into_bytes(),
            );
        }
        files.add("vehicles.csv", self.vehicles().into_bytes());
        for (name, text) in counts {
            files.add(&format!("counts/{name}"), text.clone().into_bytes());
        }
        files
    }

    fn storm_toml(&self) -> String {
        let mut text = format!("name = \"Random\"\ncurrency = \"{}\"\n", self.currency);
        for (index, terms) in self.terms.iter().enumerate() {
            let _ = writeln!(
                text,
                "[[payer]]\nname = \"Payer {index}\"\nrate_card = \"rates/card-{index}.toml\""
            );
            let discounts: Vec<String> = GROUPS
                .iter()
                .zip(terms.discount)
                .map(|(group, percent)| {
                    format!(
                        "{{ on = [\"{group}\"], percent = \"{}\" }}",
                        thousandths(percent)
                    )
                })
                .collect();
            let _ = writeln!(text, "discount = [{}]", discounts.join(", "));
            let tiers: Vec<String> = terms
                .tiers
                .iter()
                .map(|(cars, percent)| {
                    format!(
                        "{{ cars_at_least = {cars}, percent = \"{}\" }}",
                        thousandths(*percent)
                    )
                })
                .collect();
            let _ = writeln!(text, "lot_discount = [{}]", tiers.join(", "));
            let taxes: Vec<String> = terms
                .taxes
                .iter()
                .enumerate()
                .map(|(tax, (percent, on))| {
                    let on: Vec<String> = GROUPS
                        .iter()
                        .zip(on)
                        .filter(|(_, on)| **on)
                        .map(|(group, _)| format!("\"{group}\""))
                        .collect();
                    format!(
                        "{{ name = \"t{tax}\", percent = \"{}\", on = [{}] }}",
                        thousandths(*percent),
                        on.join(", ")
                    )
                })
                .collect();
            let _ = writeln!(text, "tax = [{}]", taxes.join(", "));
            for (key, units) in [
                ("minimum", terms.minimum),
                ("deductible", terms.deductible),
                ("deductible_event_max", terms.event_max),
            ] {
                if let Some(units) = units {
                    let _ = writeln!(text, "{key} = \"{}\"", self.minor(units));
                }
            }
        }
        text
    }

    /// Minor units as money.
    fn minor(&self, units: u64) -> String {
        match self.places {
            0 => units.to_string(),
            places => {
                let whole = 10_u64.pow(places);
                format!(
                    "{}.{:0width$}",
                    units / whole,
                    units % whole,
                    width = places as usize
                )
            }
        }
    }

    fn card_toml(&self, card: &Card) -> String {
        let mut text = format!(
            "name = \"Card\"\nrounding = \"{}\"\nmixed_sizes = \"{}\"\nuplifts = \"{}\"\nhour_rate = \"{}\"\nremoval_rate = \"58.05\"\n",
            if card.half_even {
                "half-even"
            } else {
                "half-up"
            },
            card.mixed,
            if card.compound { "compound" } else { "add" },
            thousandths(card.hour_rate),
        );
        for (index, upto) in card.classes.iter().enumerate() {
            let _ = writeln!(
                text,
                "[[size]]\nname = \"class-{index}\"\nupto_mm = \"{}\"",
                hundredths(*upto)
            );
        }
        let _ = writeln!(
            text,
            "[[grid]]\nunit = \"{}\"",
            if card.hour_rate > 0 { "hours" } else { "money" }
        );
        let mut from = 1;
        let mut bands = Vec::new();
        for (index, end) in card.band_ends.iter().enumerate() {
            let open = card.open_end && index + 1 == card.band_ends.len();
            bands.push(if open {
                format!("\"{from}+\"")
            } else {
                format!("\"{from}-{end}\"")
            });
            from = end + 1;
        }
        let _ = writeln!(text, "bands = [{}]", bands.join(", "));
        for class in 0..card.classes.len() {
            let cells: Vec<String> = card
                .cells
                .iter()
                .map(|row| format!("\"{}\"", thousandths(row[class])))
                .collect();
            let _ = writeln!(text, "class-{class} = [{}]", cells.join(", "));
        }
        for (upto, each) in &card.steps {
            let _ = writeln!(
                text,
                "[[oversize]]\nupto_mm = \"{}\"\neach = \"{}\"",
                hundredths(*upto),
                thousandths(*each)
            );
        }
        for (index, uplift) in card.uplifts.iter().enumerate() {
            let on: Vec<&str> = [
                ("\"dents\"", uplift.dents),
                ("\"oversize\"", uplift.oversize),
            ]
            .into_iter()
            .filter(|(_, on)| *on)
            .map(|(word, _)| word)
            .collect();
            let _ = writeln!(
                text,
                "[[uplift]]\nname = \"u{index}\"\npercent = \"{}\"\non = [{}]",
                thousandths(uplift.percent),
                on.join(", ")
            );
            if uplift.aluminium_only {
                text.push_str("metal = [\"aluminium\"]\n");
            }
            if uplift.glue_only {
                text.push_str("access = [\"glue\"]\n");
            }
        }
        if let Some((amount, hold)) = card.limit {
            let _ = writeln!(
                text,
                "[[limit]]\namount = \"{}\"\nthen = \"{}\"",
                thousandths(amount),
                if hold { "hold" } else { "refer" }
            );
        }
        if let Some(amount) = card.conventional {
            let _ = writeln!(
                text,
                "[[conventional]]\namount = \"{}\"",
                thousandths(amount)
            );
        }
        for (index, removal) in card.removals.iter().enumerate() {
            let _ = writeln!(
                text,
                "[[removal]]\ncode = \"{}\"\nhours = \"{}\"\nonce_per = \"{}\"",
                CODES[index],
                thousandths(removal.hours),
                if removal.per_panel {
                    "panel"
                } else {
                    "vehicle"
                }
            );
            if let Some(parts) = removal.parts {
                let _ = writeln!(text, "parts = \"{}\"", thousandths(parts));
            }
            if let Some(from) = removal.auto_from {
                let _ = writeln!(text, "auto = [{{ dents_at_least = {from} }}]");
            }
            if let Some(other) = removal.includes {
                let _ = writeln!(text, "includes = [\"{}\"]", CODES[other]);
            }
        }
        for (index, (per_panel, amount)) in card.extras.iter().enumerate() {
            let _ = writeln!(
                text,
                "[[extra]]\nname = \"e{index}\"\nper = \"{}\"\namount = \"{}\"",
                if *per_panel { "panel" } else { "vehicle" },
                thousandths(*amount)
            );
        }
        text
    }

    fn vehicles(&self) -> String {
        let mut text = String::from("stock,payer,deductible\n");
        for (index, car) in self.cars.iter().enumerate() {
            let own = car
                .deductible
                .map_or(String::new(), |units| self.minor(units));
            let _ = writeln!(text, "C{index},Payer {},{own}", car.payer);
        }
        text
    }

    fn panel_rows(&self) -> Vec<String> {
        let mut rows = Vec::new();
        for (index, car) in self.cars.iter().enumerate() {
            for panel in &car.panels {
                let dents: Vec<String> = panel
                    .dents
                    .iter()
                    .map(|(diameter, count)| format!("{} x{count}", hundredths(*diameter)))
                    .collect();
                rows.push(format!(
                    "C{index},{},{},{},{},{},{}",
                    panel.word,
                    dents.join("; "),
                    if panel.aluminium { "aluminium" } else { "" },
                    if panel.glue { "glue" } else { "" },
                    codes(&panel.removals, "; "),
                    if panel.conventional { "yes" } else { "" },
                ));
            }
        }
        rows
    }

    fn dent_sheet(&self) -> String {
        let mut text =
            String::from("stock,panel,diameter_mm,count,metal,access,remove,conventional\n");
        for (index, car) in self.cars.iter().enumerate() {
            for panel in &car.panels {
                let mut rest = format!(
                    "{},{},{},{}",
                    if panel.aluminium {
                        "aluminium"
                    } else {
                        "steel"
                    },
                    if panel.glue { "glue" } else { "open" },
                    codes(&panel.removals, "; "),
                    if panel.conventional { "yes" } else { "" },
                );
                if panel.dents.is_empty() {
                    let _ = writeln!(text, "C{index},{},,0,{rest}", panel.word);
                }
                for (diameter, count) in &panel.dents {
                    let _ = writeln!(
                        text,
                        "C{index},{},{},{count},{rest}",
                        panel.word,
                        hundredths(*diameter)
                    );
                    // What is said once holds for the panel.
                    rest = ",,,".to_owned();
                }
            }
        }
        text
    }

    fn car_sheet(&self) -> String {
        let mut text = format!("stock,{}\n", PANELS.join(","));
        for (index, car) in self.cars.iter().enumerate() {
            let cells: Vec<String> = PANELS
                .iter()
                .map(|word| {
                    let Some(panel) = car.panels.iter().find(|panel| panel.word == *word) else {
                        return String::new();
                    };
                    let mut terms: Vec<String> = panel
                        .dents
                        .iter()
                        .map(|(diameter, count)| format!("{} mm x{count}", hundredths(*diameter)))
                        .collect();
                    terms.push(if panel.aluminium { "alu" } else { "steel" }.to_owned());
                    if panel.glue {
                        terms.push("glue".to_owned());
                    }
                    if panel.conventional {
                        terms.push("conventional".to_owned());
                    }
                    terms.extend(
                        panel
                            .removals
                            .iter()
                            .map(|code| format!("remove {}", CODES[*code])),
                    );
                    terms.join(" + ")
                })
                .collect();
            let _ = writeln!(text, "C{index},{}", cells.join(","));
        }
        text
    }
}

const PANEL_HEADER: &str = "stock,panel,oversize,metal,access,remove,conventional";

fn sheet(header: &str, rows: &[String]) -> String {
    format!("{header}\n{}\n", rows.join("\n"))
}

fn codes(removals: &[usize], between: &str) -> String {
    let words: Vec<&str> = removals.iter().map(|code| CODES[*code]).collect();
    words.join(between)
}

fn thousandths(value: u64) -> String {
    format!("{}.{:03}", value / 1_000, value % 1_000)
}

fn hundredths(value: u64) -> String {
    format!("{}.{:02}", value / 100, value % 100)
}

/// The byte order of the codes, as indices.
pub const CODE_ORDER: [usize; 4] = [1, 2, 3, 0];

fn card(draw: &mut Draw) -> Card {
    let mut upto = 0;
    let classes: Vec<u64> = (0..2 + draw.below(3))
        .map(|_| {
            upto += 400 + draw.below(900);
            upto
        })
        .collect();
    let mut end = 0;
    let band_ends: Vec<u64> = (0..2 + draw.below(3))
        .map(|_| {
            end += 1 + draw.below(15);
            end
        })
        .collect();
    let hours = draw.yes(30);
    let cells = band_ends
        .iter()
        .map(|_| {
            classes
                .iter()
                .map(|_| {
                    if hours {
                        draw.below(9_000)
                    } else {
                        1_000 * draw.below(300) + 5 * draw.below(200)
                    }
                })
                .collect()
        })
        .collect();
    let mut step = upto;
    let steps = (0..draw.below(3))
        .map(|_| {
            step += 100 + draw.below(3_000);
            (step, 1_000 * draw.below(90) + 5 * draw.below(200))
        })
        .collect();
    let removals = (0..draw.below(5) as usize)
        .map(|index| Removal {
            hours: draw.below(4_000),
            per_panel: draw.yes(40),
            parts: draw.yes(50).then(|| draw.below(30_000)),
            auto_from: draw.yes(40).then(|| 1 + draw.below(25)),
            // Only an earlier one, so that there is no ring.
            includes: (index > 0 && draw.yes(50)).then(|| draw.below(index as u64) as usize),
        })
        .collect();
    Card {
        classes,
        band_ends,
        open_end: draw.yes(70),
        cells,
        hour_rate: if hours {
            30_000 + draw.below(60_000)
        } else {
            0
        },
        mixed: ["predominant", "largest", "each"][draw.below(3) as usize],
        compound: draw.yes(50),
        half_even: draw.yes(50),
        steps,
        uplifts: (0..draw.below(5))
            .map(|_| {
                let dents = draw.yes(70);
                Uplift {
                    percent: draw.below(60_000),
                    dents,
                    oversize: !dents || draw.yes(50),
                    aluminium_only: draw.yes(40),
                    glue_only: draw.yes(25),
                }
            })
            .collect(),
        limit: draw
            .yes(40)
            .then(|| (1_000 * draw.below(400) + draw.below(1_000), draw.yes(60))),
        conventional: draw.yes(60).then(|| 1_000 * draw.below(900)),
        removals,
        extras: (0..draw.below(3))
            .map(|_| (draw.yes(60), draw.below(20_000)))
            .collect(),
    }
}

fn terms(draw: &mut Draw) -> Terms {
    Terms {
        discount: std::array::from_fn(|_| if draw.yes(40) { draw.below(60_000) } else { 0 }),
        tiers: (0..draw.below(3))
            .map(|tier| (1 + 2 * tier, 1_000 + draw.below(30_000)))
            .collect(),
        minimum: draw.yes(40).then(|| draw.below(60_000)),
        taxes: (0..draw.below(3))
            .map(|_| {
                let mut on: [bool; 5] = std::array::from_fn(|_| draw.yes(50));
                on[2] |= !on.contains(&true);
                (draw.below(20_000), on)
            })
            .collect(),
        deductible: draw.yes(50).then(|| draw.below(40_000)),
        event_max: draw.yes(50).then(|| draw.below(90_000)),
    }
}

fn car(draw: &mut Draw, payer: usize, card: &Card) -> Car {
    let mut panels: Vec<Panel> = Vec::new();
    for word in PANELS {
        if !draw.yes(50) {
            continue;
        }
        panels.push(panel(draw, word, card));
    }
    if panels.is_empty() {
        panels.push(panel(draw, "hood", card));
    }
    Car {
        payer,
        deductible: draw.yes(25).then(|| draw.below(30_000)),
        panels,
    }
}

fn panel(draw: &mut Draw, word: &'static str, card: &Card) -> Panel {
    let largest = card.classes.last().copied().unwrap_or(0);
    let mut dents: Vec<(u64, u64)> = Vec::new();
    for _ in 0..draw.below(5) {
        // Often exactly on an edge, sometimes oversize.
        let diameter = match draw.below(10) {
            0..4 => card.classes[draw.below(card.classes.len() as u64) as usize] + draw.below(2),
            4..8 => 1 + draw.below(largest),
            8 => card.steps.last().map_or(largest + 1, |step| step.0) + draw.below(2),
            _ => largest + draw.below(6_000),
        };
        if !dents.iter().any(|(known, _)| *known == diameter) {
            dents.push((diameter, 1 + draw.below(18)));
        }
    }
    let removals = (0..card.removals.len()).filter(|_| draw.yes(20)).collect();
    Panel {
        word,
        dents,
        aluminium: draw.yes(30),
        glue: draw.yes(30),
        conventional: draw.yes(10),
        removals,
    }
}

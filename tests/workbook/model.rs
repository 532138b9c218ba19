//! Steps 7 to 10 of the pricing rules over lines with given amounts, in whole
//! minor units: written from the rules for the edited workbook, apart from
//! the crate's own pricing. Only the lot tiers are taken as they stand.

use super::made::Book;
use crate::builder::read_csv;
use std::collections::BTreeMap;
use std::path::Path;

pub const GROUPS: [&str; 6] = ["dents", "removal", "parts", "extra", "conventional", "tax"];

/// Thousandths of a percent.
type Thousandths = i128;

/// A payer's terms.
struct Terms {
    name: String,
    half_even: bool,
    discount: [Thousandths; 6],
    minimum: Option<i128>,
    taxes: Vec<(String, Thousandths, Vec<String>)>,
    deductible: Option<i128>,
    event_max: Option<i128>,
}

/// A line: panel, group, item, amount.
pub type Line = (String, String, String, Option<i128>);

/// A car with the lines of steps 1 to 6.
pub struct Car {
    pub stock: String,
    payer: usize,
    body: String,
    deductible: Option<i128>,
    pub lines: Vec<Line>,
    counted: bool,
}

/// What a car comes to.
#[derive(Default)]
pub struct Settled {
    /// The lines of steps 1 to 6 and those that are charged of 7 to 9.
    pub lines: Vec<Line>,
    pub total: Option<i128>,
    pub owner: Option<i128>,
    pub open: bool,
}

/// A storm whose lines may be edited.
pub struct Model {
    pub places: u32,
    terms: Vec<Terms>,
    pub cars: Vec<Car>,
}

/// A decimal in so many places as a whole number.
pub fn units(text: &str, places: u32) -> i128 {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let places = places as usize;
    assert!(fraction.len() <= places, "{text}");
    format!("{whole}{fraction:0<places$}")
        .parse()
        .expect("a number")
}

/// A whole number of minor units as a decimal.
pub fn decimal(units: i128, places: u32) -> String {
    let (sign, digits) = (if units < 0 { "-" } else { "" }, units.abs());
    let minor = 10_i128.pow(places);
    match places as usize {
        0 => format!("{sign}{digits}"),
        places => format!("{sign}{}.{:0places$}", digits / minor, digits % minor),
    }
}

/// A percent of an amount, rounded once and symmetrically.
fn part(amount: i128, percent: Thousandths, half_even: bool) -> i128 {
    let product = (amount * percent).abs();
    let (whole, rest) = (product / 100_000, product % 100_000);
    let up = match rest.cmp(&50_000) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Greater => true,
        std::cmp::Ordering::Equal => !half_even || whole % 2 == 1,
    };
    (amount * percent).signum() * (whole + i128::from(up))
}

/// A sum as sheets show it: nothing where there are lines and no amount.
pub fn shown<'a>(lines: impl Iterator<Item = &'a Line>) -> Option<i128> {
    let amounts: Vec<Option<i128>> = lines.map(|line| line.3).collect();
    let known: Vec<i128> = amounts.iter().flatten().copied().collect();
    (amounts.is_empty() || !known.is_empty()).then(|| known.iter().sum())
}

impl Model {
    /// The storm of a folder with the lines of its workbook.
    pub fn of(folder: &Path, book: &Book, places: u32) -> Model {
        let text = |path: &Path| std::fs::read_to_string(path).expect("a file");
        let read = |path: &Path| text(path).parse::<toml::Table>().expect("TOML");
        let storm = read(&folder.join("storm.toml"));
        let word = |value: &toml::Value| value.as_str().expect("a text").to_owned();
        let terms = storm["payer"]
            .as_array()
            .expect("payers")
            .iter()
            .zip(1..)
            .map(|(payer, row)| {
                let card = read(&folder.join(word(&payer["rate_card"])));
                let amount = |key: &str| payer.get(key).map(|value| units(&word(value), places));
                let list = |key: &str| {
                    payer
                        .get(key)
                        .and_then(toml::Value::as_array)
                        .cloned()
                        .unwrap_or_default()
                };
                let on = |entry: &toml::Value| -> Vec<String> {
                    entry["on"]
                        .as_array()
                        .expect("a list")
                        .iter()
                        .map(word)
                        .collect()
                };
                let mut discount = [0; 6];
                for entry in list("discount") {
                    for (group, sum) in GROUPS.iter().zip(&mut discount) {
                        if on(&entry).iter().any(|word| word == group) {
                            *sum += units(&word(&entry["percent"]), 3);
                        }
                    }
                }
                discount[0] += units(&book.text("Terms", row, "dents_lot_tier_percent"), 3);
                Terms {
                    name: word(&payer["name"]),
                    half_even: card
                        .get("rounding")
                        .is_some_and(|value| word(value) == "half-even"),
                    discount,
                    minimum: amount("minimum"),
                    taxes: list("tax")
                        .iter()
                        .map(|tax| {
                            (
                                word(&tax["name"]),
                                units(&word(&tax["percent"]), 3),
                                on(tax),
                            )
                        })
                        .collect(),
                    deductible: amount("deductible"),
                    event_max: amount("deductible_event_max"),
                }
            })
            .collect::<Vec<Terms>>();
        let mut own = BTreeMap::new();
        let list = folder.join("vehicles.csv");
        if list.exists() {
            let rows = read_csv(&list);
            let at = |name: &str| rows[0].iter().position(|header| header == name);
            if let Some(at) = at("deductible") {
                for row in rows[1..]
                    .iter()
                    .filter(|row| row.get(at).is_some_and(|cell| !cell.is_empty()))
                {
                    own.insert(
                        row[0].trim_start_matches('\'').to_owned(),
                        units(&row[at], places),
                    );
                }
            }
        }
        let mut cars: Vec<Car> = (1..book.rows("Cars"))
            .map(|row| {
                let stock = book.text("Cars", row, "stock");
                let payer = book.text("Cars", row, "payer");
                Car {
                    payer: terms
                        .iter()
                        .position(|terms| terms.name == payer)
                        .expect("a payer"),
                    body: book.text("Cars", row, "body"),
                    deductible: own.get(&stock).copied(),
                    lines: Vec::new(),
                    counted: book.text("Cars", row, "status") != "uncounted",
                    stock,
                }
            })
            .collect();
        for row in 1..book.rows("Lines") {
            if book.text("Lines", row, "amount_is") == "entered" {
                let stock = book.text("Lines", row, "stock");
                let car = cars
                    .iter_mut()
                    .find(|car| car.stock == stock)
                    .expect("a car");
                let amount = book.text("Lines", row, "amount");
                car.lines.push((
                    book.text("Lines", row, "panel"),
                    book.text("Lines", row, "group"),
                    book.text("Lines", row, "item"),
                    (!amount.is_empty()).then(|| units(&amount, places)),
                ));
            }
        }
        Model {
            places,
            terms,
            cars,
        }
    }

    /// Steps 7 to 10 for all cars, in lot order.
    pub fn settle(&self) -> Vec<Settled> {
        let mut borne = vec![0; self.terms.len()];
        self.cars
            .iter()
            .map(|car| {
                let terms = &self.terms[car.payer];
                let open = car.lines.iter().any(|line| line.3.is_none());
                let mut lines = car.lines.clone();
                let sum = |lines: &[Line], groups: &[&str]| -> i128 {
                    lines
                        .iter()
                        .filter(|line| groups.contains(&line.1.as_str()))
                        .filter_map(|line| line.3)
                        .sum()
                };
                let charge = |lines: &mut Vec<Line>, group: &str, item: &str, amount| {
                    lines.push((
                        String::new(),
                        group.to_owned(),
                        item.to_owned(),
                        Some(amount),
                    ));
                };
                for (group, percent) in GROUPS.into_iter().zip(terms.discount) {
                    let base = sum(&car.lines, &[group]);
                    if group != "tax" && percent != 0 && base != 0 {
                        let off = part(base, percent, terms.half_even);
                        charge(&mut lines, group, "discount", -off);
                    }
                }
                let base = sum(&lines, &GROUPS[..4]);
                if let Some(minimum) = terms
                    .minimum
                    .filter(|least| !open && base > 0 && base < *least)
                {
                    charge(&mut lines, "dents", "minimum", minimum - base);
                }
                let taxable = lines.clone();
                for (name, percent, on) in &terms.taxes {
                    let on: Vec<&str> = on.iter().map(String::as_str).collect();
                    let base = sum(&taxable, &on);
                    if *percent != 0 && base != 0 {
                        let tax = part(base, *percent, terms.half_even);
                        charge(&mut lines, "tax", &format!("tax {name}"), tax);
                    }
                }
                let total = shown(lines.iter());
                let deductible = car.deductible.or(terms.deductible).unwrap_or(0);
                let mut owner = deductible.min(total.unwrap_or(0));
                if let Some(most) = terms.event_max {
                    owner = owner.min((most - borne[car.payer]).max(0));
                }
                borne[car.payer] += owner;
                Settled {
                    owner: total.map(|_| owner),
                    lines,
                    total,
                    open,
                }
            })
            .collect()
    }

    /// The figures of a row of `Totals` by column.
    pub fn totals(
        &self,
        settled: &[Settled],
        by: &str,
        key: &str,
    ) -> BTreeMap<String, Option<i128>> {
        let cars: Vec<(&Car, &Settled)> = self
            .cars
            .iter()
            .zip(settled)
            .filter(|(car, _)| match by {
                "payer" => self.terms[car.payer].name == key,
                "body" => car.body == key,
                _ => true,
            })
            .filter(|(car, _)| car.counted)
            .collect();
        let lines: Vec<&Line> = cars
            .iter()
            .flat_map(|(_, settled)| &settled.lines)
            .filter(|line| by != "panel" || line.0 == if key == "(car)" { "" } else { key })
            .collect();
        let mut row: BTreeMap<String, Option<i128>> = GROUPS
            .into_iter()
            .map(|group| {
                let lines = lines.iter().copied().filter(|line| line.1 == group);
                (format!("{group}_amount"), shown(lines))
            })
            .collect();
        let total = shown(lines.iter().copied());
        row.insert("total".to_owned(), total);
        if by != "panel" {
            let owners: i128 = cars.iter().filter_map(|(_, settled)| settled.owner).sum();
            row.insert("owner_pays".to_owned(), total.map(|_| owners));
            row.insert("payer_pays".to_owned(), total.map(|total| total - owners));
        }
        row
    }
}

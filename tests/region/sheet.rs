//! A lot written down: count sheets of every look, with or without a list.

use super::Files;
use super::cells::{Row, fact, stock};
use super::lots::Kind;
use crate::properties::plain::{Count, Lot};
use crate::properties::ratio::Ratio;
use crate::properties::storms::Dice;
use crate::properties::toml::{card_toml, storm_toml};
use std::collections::BTreeMap;

/// In which order rows and cars stand.
#[derive(Clone, Copy, PartialEq)]
pub enum Order {
    /// Car by car.
    Lot,
    /// Over the whole sheet.
    Shuffled,
}

/// What a sheet looks like.
#[derive(Clone)]
pub struct Look {
    pub delimiter: char,
    pub newline: &'static str,
    /// Begins with a byte-order mark.
    pub mark: bool,
    /// Every cell is quoted.
    pub quoted: bool,
    pub columns: Order,
    pub rows: Order,
    pub files: usize,
    /// The vehicle list, if there is one.
    pub list: Option<Order>,
    /// `dents, size` in place of a column per class.
    pub one_size: bool,
    /// The stock stands in the first row of a car alone.
    pub blank_stock: bool,
    /// `add` or `last`: panels stand there twice.
    pub repeated: Option<&'static str>,
    /// Columns that no row needs: notes, who counted, one that is ignored.
    pub needless: bool,
    /// Other words for panels, metals and yes; blanks around cells.
    pub loose: bool,
}

impl Look {
    pub const PLAIN: Look = Look {
        delimiter: ',',
        newline: "\n",
        mark: false,
        quoted: false,
        columns: Order::Lot,
        rows: Order::Lot,
        files: 1,
        list: Some(Order::Lot),
        one_size: false,
        blank_stock: false,
        repeated: None,
        needless: false,
        loose: false,
    };
}

/// One row to be: a car's panel, or a part of what was counted there.
#[derive(Clone)]
struct Entry {
    car: usize,
    count: Count,
}

/// Writes a lot; the lot comes back in its lot order.
pub fn write(kind: &Kind, look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> (Lot, Files) {
    let mut entries = entries(look, lot, dice);
    if look.rows == Order::Shuffled {
        shuffle(look, &mut entries, dice);
    }
    let mut lot = lot.clone();
    let mut files: Files = vec![("storm.toml".to_owned(), terms(look, &lot).into_bytes())];
    for (index, card) in lot.cards.iter().enumerate() {
        let name = format!("rates/card-{index}.toml");
        files.push((name, card_toml(card, index).into_bytes()));
    }
    let columns = columns(kind, look, &lot, dice);
    let mut told = vec![false; lot.cars.len()];
    let part = entries.len().div_ceil(look.files).max(1);
    for (index, entries) in entries.chunks(part).enumerate() {
        let mut rows = vec![columns.clone()];
        let mut above = None;
        for entry in entries {
            let car = &lot.cars[entry.car];
            let tell = look.list.is_none() && (!told[entry.car] || dice.once_in(3));
            told[entry.car] = true;
            let mut row = Row {
                look,
                lot: &lot,
                car,
                count: &entry.count,
                blank: look.blank_stock && above == Some(entry.car),
                tell,
            };
            rows.push(columns.iter().map(|name| row.cell(name, dice)).collect());
            above = Some(entry.car);
        }
        let name = format!("counts/{}.csv", ["m", "n", "z"][index]);
        files.push((name, text(look, &rows, dice)));
    }
    match look.list {
        Some(order) => {
            if order == Order::Shuffled {
                dice.shuffle(&mut lot.cars);
            }
            files.push(("vehicles.csv".to_owned(), list(look, &lot, dice)));
        }
        None => {
            let mut first = BTreeMap::new();
            for (at, entry) in entries.iter().enumerate() {
                first.entry(entry.car).or_insert(at);
            }
            let mut order: Vec<(usize, usize)> = first.into_iter().map(|(c, at)| (at, c)).collect();
            order.sort_unstable();
            lot.cars = order
                .into_iter()
                .map(|(_, car)| lot.cars[car].clone())
                .collect();
        }
    }
    (lot, files)
}

/// storm.toml with what the look asks of the intake.
fn terms(look: &Look, lot: &Lot) -> String {
    let mut text = storm_toml(lot) + "\n[intake]\n";
    if let Some(rule) = look.repeated {
        text += &format!("repeated = \"{rule}\"\n");
    }
    if look.blank_stock {
        text += "blank_stock = \"above\"\n";
    }
    if look.needless {
        text += "ignore = [\"No.\"]\n";
    }
    text
}

/// The rows to be, car by car; repeated panels next to each other.
fn entries(look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (car, of) in lot.cars.iter().enumerate() {
        for count in &of.panels {
            let whole = Entry {
                car,
                count: count.clone(),
            };
            match look.repeated {
                Some("add") if dice.once_in(5) => {
                    entries.extend(parts(count, dice).map(|count| Entry { car, count }));
                }
                Some("last") if dice.once_in(5) => {
                    entries.push(Entry {
                        car,
                        count: another(count, dice),
                    });
                    entries.push(whole);
                }
                _ => entries.push(whole),
            }
        }
    }
    entries
}

/// Two counts that add up to one; a referral in one of them refers.
fn parts(count: &Count, dice: &mut Dice<'_>) -> [Count; 2] {
    let (mut one, mut two) = (count.clone(), count.clone());
    for (one, two) in one.sized.iter_mut().zip(&mut two.sized) {
        *one = dice.below(*two + 1);
        *two -= *one;
    }
    let half = count.measured.len() / 2;
    one.measured.truncate(half);
    two.measured.drain(..half);
    // Lists join; a code in both is one code.
    one.remove.truncate(1);
    one.prior = 0;
    match dice.below(2) {
        0 => one.conventional = false,
        _ => two.conventional = false,
    }
    // What one row does not say, the other may.
    match dice.below(3) {
        0 => one.metal = "",
        1 => two.access = "",
        _ => {}
    }
    [one, two]
}

/// A count of the same panel that a later row replaces.
fn another(count: &Count, dice: &mut Dice<'_>) -> Count {
    let mut other = count.clone();
    for dents in &mut other.sized {
        *dents += dice.below(30);
    }
    other.measured.push((Ratio::whole(95), 2));
    other.conventional = !count.conventional;
    other.metal = "aluminium";
    other.remove.clear();
    other
}

/// Rows of a panel keep their order where the last one counts.
fn shuffle(look: &Look, entries: &mut [Entry], dice: &mut Dice<'_>) {
    let mut last: BTreeMap<(usize, &str), Count> = BTreeMap::new();
    for entry in entries.iter() {
        last.insert((entry.car, entry.count.panel), entry.count.clone());
    }
    dice.shuffle(entries);
    if look.repeated != Some("last") {
        return;
    }
    let mut seen: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for at in 0..entries.len() {
        let key = (entries[at].car, entries[at].count.panel);
        if let Some(before) = seen.insert(key, at) {
            // Whichever came first now, the true one is the later.
            let other = match entries[at].count == last[&key] {
                true => entries[before].count.clone(),
                false => entries[at].count.clone(),
            };
            entries[before].count = other;
            entries[at].count = last[&key].clone();
        }
    }
}

/// The columns of a lot's count sheet.
fn columns(kind: &Kind, look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> Vec<String> {
    let mut names: Vec<&str> = vec!["stock", "panel"];
    if look.one_size {
        names.extend(["dents", "size"]);
    } else {
        let most = lot.cards.iter().max_by_key(|card| card.sizes.len());
        let sizes = &most.expect("a card").sizes;
        names.extend(sizes.iter().map(|(name, _)| *name));
    }
    if kind.odd > 0 {
        names.extend(["metal", "access", "oversize", "remove", "conventional"]);
        names.extend(["prior", "paint"]);
    }
    if look.needless {
        names.extend(["note", "counted_by", "No.", "counted_on"]);
    }
    if look.list.is_none() {
        names.extend(["payer", "body", "deductible", "value", "row"]);
    }
    if look.columns == Order::Shuffled {
        dice.shuffle(&mut names);
    }
    names.into_iter().map(str::to_owned).collect()
}

/// vehicles.csv.
fn list(look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> Vec<u8> {
    let facts = ["body", "payer", "deductible", "value"];
    let header = std::iter::once("stock").chain(facts).chain(["row"]);
    let mut rows: Vec<Vec<String>> = vec![header.map(str::to_owned).collect()];
    for (index, car) in lot.cars.iter().enumerate() {
        let mut row = vec![stock(&car.stock)];
        row.extend(facts.map(|column| fact(look, lot, car, column)));
        row.push(format!("R{}", index / 40));
        rows.push(row);
    }
    text(look, &rows, dice)
}

/// Rows as delimited text.
fn text(look: &Look, rows: &[Vec<String>], dice: &mut Dice<'_>) -> Vec<u8> {
    let mut text = String::new();
    if look.mark {
        text.push('\u{feff}');
    }
    for row in rows {
        let cells = row.iter().map(|cell| {
            let comment = cell.starts_with("# ") || cell == "#";
            let special = comment || cell.contains([look.delimiter, '"', '\n', '\r']);
            if special || look.quoted || (look.loose && dice.once_in(40)) {
                return format!("\"{}\"", cell.replace('"', "\"\""));
            }
            match look.loose && dice.once_in(20) {
                true => format!(" {cell} "),
                false => cell.clone(),
            }
        });
        let cells: Vec<String> = cells.collect();
        text += &cells.join(&look.delimiter.to_string());
        text += look.newline;
    }
    text.into_bytes()
}

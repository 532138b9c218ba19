//! A lot written down: count sheets of every look, with or without a list.

use super::Files;
use super::lots::Kind;
use crate::properties::plain::{Car, Count, Lot};
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

/// One row and how its cells are written.
struct Row<'a> {
    look: &'a Look,
    lot: &'a Lot,
    car: &'a Car,
    count: &'a Count,
    /// The stock is the one above.
    blank: bool,
    /// The row says what the list would.
    tell: bool,
}

impl Row<'_> {
    fn cell(&mut self, column: &str, dice: &mut Dice<'_>) -> String {
        let (count, look) = (self.count, self.look);
        let shown = |dents: u32, dice: &mut Dice<'_>| match dents {
            0 if dice.once_in(2) => String::new(),
            dents => dents.to_string(),
        };
        let one_of = |dice: &mut Dice<'_>, words: &[&str]| match look.loose {
            true => dice.pick(words).to_owned(),
            false => words[0].to_owned(),
        };
        let class = count.sized.iter().position(|dents| *dents > 0);
        let sizes = &self.lot.card_of(self.car).sizes;
        match column {
            "stock" if self.blank => String::new(),
            "stock" => stock(&self.car.stock),
            "panel" => panel(count.panel, look.loose, dice),
            "dents" => shown(count.sized.iter().sum(), dice),
            "size" => class.map_or(String::new(), |class| sizes[class].0.to_owned()),
            "metal" => match count.metal {
                "steel" => one_of(dice, &["", "steel", "Mild Steel"]),
                "aluminium" => one_of(dice, &["aluminium", "alu", "AL", "Aluminum"]),
                "high-strength" => one_of(dice, &["high-strength", "HSS", "uhss"]),
                other => other.to_owned(),
            },
            "access" => match count.access {
                "open" => one_of(dice, &["", "open", "free"]),
                "braced" => one_of(dice, &["braced", "Brace"]),
                "glue" => one_of(dice, &["glue", "No Access", "glue pull"]),
                other => other.to_owned(),
            },
            "oversize" => oversize(look, count),
            "remove" => count.remove.join(";"),
            "conventional" => match count.conventional {
                true => one_of(dice, &["yes", "1", "x", "X"]),
                false => one_of(dice, &["", "no", "0"]),
            },
            "prior" => shown(count.prior, dice),
            "paint" => dice.pick(&["", "", "factory", "repainted"]).to_owned(),
            "note" => dice
                .pick(&["", "", "wet", "two\nlines", "a, \"b\"; c"])
                .to_owned(),
            "counted_by" => dice.pick(&["", "Odd Fjord", "Wynn, T."]).to_owned(),
            "counted_on" => dice.pick(&["", "2026-06-15"]).to_owned(),
            "No." => dice.below(900).to_string(),
            "row" if self.tell => "ABCDEF"[self.car.stock.len() % 6..][..1].to_owned(),
            "payer" | "body" | "deductible" | "value" if self.tell => {
                fact(look, self.lot, self.car, column)
            }
            "row" | "payer" | "body" | "deductible" | "value" => String::new(),
            class => {
                let at = sizes.iter().position(|(name, _)| *name == class);
                at.map_or(String::new(), |at| shown(count.sized[at], dice))
            }
        }
    }
}

/// A stock as a spreadsheet is safe to be given it.
fn stock(stock: &str) -> String {
    match stock.starts_with(['=', '-']) {
        true => format!("'{stock}"),
        false => stock.to_owned(),
    }
}

fn panel(word: &'static str, loose: bool, dice: &mut Dice<'_>) -> String {
    if !loose {
        return word.to_owned();
    }
    let other = match word {
        "hood" => "Bonnet",
        "decklid" => "boot lid",
        "fender-l" => "left wing",
        "door-fl" => "LF door",
        "rail-r" => "Cant Rail RH",
        "quarter-l" => "rear_wing_left",
        "roof" => "ROOF SKIN",
        _ => word,
    };
    match dice.below(3) {
        0 => word.to_owned(),
        1 => word.to_uppercase().replace('-', " "),
        _ => other.to_owned(),
    }
}

/// Measured dents as a list: `55; 62 x2; 2.5 in`.
fn oversize(look: &Look, count: &Count) -> String {
    let each = count.measured.iter().map(|(mm, dents)| {
        let inches = (*mm * Ratio::new(100, 127)).as_whole();
        let length = match inches {
            Some(twentieths) => format!("{} in", Ratio::new(twentieths, 20)),
            None => mm.to_string(),
        };
        let length = comma(look, &length);
        match dents {
            1 => length,
            more => format!("{length} x{more}"),
        }
    });
    each.collect::<Vec<_>>().join("; ")
}

/// A figure as a file of this delimiter has it.
fn comma(look: &Look, figure: &str) -> String {
    match look.delimiter {
        ';' => figure.replace('.', ","),
        _ => figure.to_owned(),
    }
}

/// What the list says of a car.
fn fact(look: &Look, lot: &Lot, car: &Car, column: &str) -> String {
    let figure = |figure: Option<Ratio>| {
        let text = figure.map_or(String::new(), |figure| figure.to_string());
        comma(look, &text)
    };
    match column {
        "payer" => lot.payers[car.payer].name.to_owned(),
        "body" if car.body == "other" => String::new(),
        "body" => car.body.to_owned(),
        "deductible" => figure(car.deductible),
        _ => figure(car.value),
    }
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

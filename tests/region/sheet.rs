//! A lot written down: count sheets of every look, with or without a list.

use super::Files;
use super::cells::{Row, fact, stock};
use super::entries::{Entry, entries, shuffle};
use super::lots::Kind;
use crate::properties::plain::{Car, Lot};
use crate::properties::storms::Dice;
use crate::properties::toml::{card_toml, storm_toml};

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
    /// The storm measures in inches where nothing is said.
    pub inches: bool,
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
        inches: false,
    };
}

/// A row of a sheet.
#[derive(Clone, Default)]
pub struct SheetRow {
    /// The car that it is of.
    pub stock: String,
    pub cells: Vec<String>,
    /// Written as it is, in place of cells.
    pub raw: Option<String>,
}

/// A sheet before it is text.
#[derive(Clone)]
pub struct Sheet {
    pub name: String,
    /// Lines above the header.
    pub above: Vec<String>,
    pub columns: Vec<String>,
    pub rows: Vec<SheetRow>,
}

/// All of a storm before it is files.
#[derive(Clone)]
pub struct Written {
    pub look: Look,
    /// In its lot order.
    pub lot: Lot,
    pub counts: Vec<Sheet>,
    pub list: Option<Sheet>,
    pub others: Files,
}

impl Written {
    /// The files.
    pub fn files(&self, dice: &mut Dice<'_>) -> Files {
        let mut files = self.others.clone();
        for sheet in self.counts.iter().chain(&self.list) {
            files.push((sheet.name.clone(), text(&self.look, sheet, dice)));
        }
        files
    }
}

/// Writes a lot; the lot comes back in its lot order.
pub fn write(kind: &Kind, look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> (Lot, Files) {
    let written = written(kind, look, lot, dice);
    let files = written.files(dice);
    (written.lot, files)
}

/// Writes a lot down.
pub fn written(kind: &Kind, look: &Look, lot: &Lot, dice: &mut Dice<'_>) -> Written {
    let mut entries = entries(look, lot, dice);
    if look.rows == Order::Shuffled {
        shuffle(look, &mut entries, dice);
    }
    let mut lot = lot.clone();
    let mut others: Files = vec![("storm.toml".to_owned(), terms(look, &lot).into_bytes())];
    for (index, card) in lot.cards.iter().enumerate() {
        let name = format!("rates/card-{index}.toml");
        others.push((name, card_toml(card, index).into_bytes()));
    }
    let columns = columns(kind, look, &lot, dice);
    let mut told = vec![false; lot.cars.len()];
    let part = entries.len().div_ceil(look.files).max(1);
    let mut counts = Vec::new();
    for (index, entries) in entries.chunks(part).enumerate() {
        let mut rows = Vec::new();
        let mut above = None;
        for entry in entries {
            let car = &lot.cars[entry.car];
            let tell = look.list.is_none() && (!told[entry.car] || dice.once_in(3));
            told[entry.car] = true;
            let row = Row {
                look,
                lot: &lot,
                car,
                count: &entry.count,
                blank: look.blank_stock && above == Some(entry.car),
                tell,
                quiet: kind.quiet,
            };
            rows.push(SheetRow {
                stock: car.stock.clone(),
                cells: columns.iter().map(|name| row.cell(name, dice)).collect(),
                raw: None,
            });
            above = Some(entry.car);
        }
        counts.push(Sheet {
            name: format!("counts/{}.csv", ["m", "n", "z"][index]),
            above: Vec::new(),
            columns: columns.clone(),
            rows,
        });
    }
    match look.list {
        Some(Order::Shuffled) => dice.shuffle(&mut lot.cars),
        Some(Order::Lot) => {}
        None => lot.cars = by_first_appearance(&lot, &entries),
    }
    Written {
        look: look.clone(),
        list: look.list.map(|_| list(look, &lot)),
        lot,
        counts,
        others,
    }
}

/// The cars in the order in which their first rows stand.
fn by_first_appearance(lot: &Lot, entries: &[Entry]) -> Vec<Car> {
    let mut cars = Vec::new();
    let mut seen = vec![false; lot.cars.len()];
    for entry in entries {
        if !std::mem::replace(&mut seen[entry.car], true) {
            cars.push(lot.cars[entry.car].clone());
        }
    }
    cars
}

/// storm.toml with what the look asks of the intake.
fn terms(look: &Look, lot: &Lot) -> String {
    let mut text = storm_toml(lot) + "\n[intake]\n";
    if look.inches {
        text = text.replace("unit = \"mm\"", "unit = \"in\"");
    }
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
    if kind.odd > 0 || kind.quiet {
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
fn list(look: &Look, lot: &Lot) -> Sheet {
    let facts = ["body", "payer", "deductible", "value"];
    let columns = std::iter::once("stock").chain(facts).chain(["row"]);
    let rows = lot.cars.iter().enumerate().map(|(index, car)| {
        let mut cells = vec![stock(&car.stock)];
        cells.extend(facts.map(|column| fact(look, lot, car, column)));
        cells.push(format!("R{}", index / 40));
        SheetRow {
            stock: car.stock.clone(),
            cells,
            raw: None,
        }
    });
    Sheet {
        name: "vehicles.csv".to_owned(),
        rows: rows.collect(),
        above: Vec::new(),
        columns: columns.map(str::to_owned).collect(),
    }
}

/// A sheet as delimited text.
fn text(look: &Look, sheet: &Sheet, dice: &mut Dice<'_>) -> Vec<u8> {
    let mut text = String::new();
    if look.mark {
        text.push('\u{feff}');
    }
    for line in &sheet.above {
        text += line;
        text += look.newline;
    }
    let header = SheetRow {
        cells: sheet.columns.clone(),
        ..SheetRow::default()
    };
    for row in std::iter::once(&header).chain(&sheet.rows) {
        text += &row
            .raw
            .clone()
            .unwrap_or_else(|| line(look, &row.cells, dice));
        text += look.newline;
    }
    text.into_bytes()
}

fn line(look: &Look, cells: &[String], dice: &mut Dice<'_>) -> String {
    let cells = cells.iter().map(|cell| {
        let comment = cell.starts_with("# ") || cell == "#";
        let special = comment || cell.contains([look.delimiter, '"', '\n', '\r']);
        if special || look.quoted || (look.loose && dice.once_in(40)) {
            return format!("\"{}\"", cell.replace('"', "\"\""));
        }
        match look.loose && dice.once_in(20) {
            true => {
                let blank = dice.pick(&[" ", "   ", "\u{a0}", "\u{3000}"]);
                format!("{blank}{cell}{blank}")
            }
            false => cell.clone(),
        }
    });
    let mut cells: Vec<String> = cells.collect();
    while look.loose && dice.once_in(2) && cells.last().is_some_and(String::is_empty) {
        // A short row is filled with blanks.
        cells.pop();
    }
    cells.join(&look.delimiter.to_string())
}

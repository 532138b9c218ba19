//! What stands in the cells of a count sheet, in the words that people use.

use super::sheet::Look;
use crate::properties::plain::{Car, Count, Lot};
use crate::properties::ratio::Ratio;
use crate::properties::storms::Dice;

/// One row and how its cells are written.
pub struct Row<'a> {
    pub look: &'a Look,
    pub lot: &'a Lot,
    pub car: &'a Car,
    pub count: &'a Count,
    /// The stock is the one above.
    pub blank: bool,
    /// The row says what the list would.
    pub tell: bool,
    /// Nothing in it is worth a caution.
    pub quiet: bool,
}

impl Row<'_> {
    /// The cell below a column.
    pub fn cell(&self, column: &str, dice: &mut Dice<'_>) -> String {
        let (count, look) = (self.count, self.look);
        let shown = |dents: u32, dice: &mut Dice<'_>| match dents {
            0 if dice.once_in(2) => String::new(),
            dents if look.loose && dice.once_in(9) => format!("{dents:03}"),
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
            "oversize" => oversize(look, count, dice),
            "remove" => {
                let codes = count.remove.iter().map(|code| match look.loose {
                    true => dice
                        .pick(&[*code, &code.to_uppercase().replace('-', "_ ")])
                        .to_owned(),
                    false => (*code).to_owned(),
                });
                let separator = if look.loose { " ;; " } else { ";" };
                codes.collect::<Vec<_>>().join(separator)
            }
            "conventional" => match count.conventional {
                true => one_of(dice, &["yes", "1", "x", "X"]),
                false => one_of(dice, &["", "no", "0"]),
            },
            "prior" => shown(count.prior, dice),
            "paint" if self.quiet => dice.pick(&["", "factory"]).to_owned(),
            "paint" => dice.pick(&["", "", "factory", "repainted"]).to_owned(),
            "note" => dice
                .pick(&["", "", "wet", "two\nlines", "a, \"b\"; c"])
                .to_owned(),
            "counted_by" => dice.pick(&["", "Odd Fjord", "Wynn, T."]).to_owned(),
            "counted_on" => dice.pick(&["", "2026-06-15"]).to_owned(),
            "No." => dice.below(900).to_string(),
            "row" if self.tell => lot_row(&self.car.stock),
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

/// One of six rows of the lot.
fn lot_row(stock: &str) -> String {
    let sum: usize = stock.bytes().map(usize::from).sum();
    "ABCDEF"[sum % 6..][..1].to_owned()
}

/// A stock as a spreadsheet is safe to be given it.
pub fn stock(stock: &str) -> String {
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
    match dice.below(4) {
        0 => word.to_owned(),
        1 => word.to_uppercase().replace('-', " "),
        // A space that is none of ASCII's.
        2 => word.replace('-', "\u{a0}"),
        _ => other.to_owned(),
    }
}

/// Measured dents as a list: `55; 62 x2; 2.5 in`.
fn oversize(look: &Look, count: &Count, dice: &mut Dice<'_>) -> String {
    let each = count.measured.iter().map(|(mm, dents)| {
        let inches = (*mm * Ratio::new(100, 127)).as_whole();
        let length = match (inches, look.inches) {
            (Some(twentieths), true) => Ratio::new(twentieths, 20).to_string(),
            (Some(twentieths), false) => format!("{} in", Ratio::new(twentieths, 20)),
            (None, true) => format!("{mm} mm"),
            (None, false) => mm.to_string(),
        };
        let length = comma(look, &length);
        match (dents, look.loose) {
            (1, false) => length,
            (more, false) => format!("{length} x{more}"),
            (more, true) => {
                let times = dice.pick(&["x", " X ", "\u{d7}", " x0"]);
                format!(
                    "{}{times}{more}",
                    length.replace(' ', dice.pick(&["", "  "]))
                )
            }
        }
    });
    let separator = if look.loose { " ;;" } else { "; " };
    each.collect::<Vec<_>>().join(separator)
}

/// A figure as a file of this delimiter has it.
fn comma(look: &Look, figure: &str) -> String {
    match look.delimiter {
        ';' => figure.replace('.', ","),
        _ => figure.to_owned(),
    }
}

/// What the list says of a car.
pub fn fact(look: &Look, lot: &Lot, car: &Car, column: &str) -> String {
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

//! A plain storm's terms and cards as TOML.

use super::plain::{Card, Lot, Payer, Words};
use super::ratio::Ratio;
use std::fmt::Write;

/// `key = "figure"`, or nothing.
fn figure(key: &str, value: Option<Ratio>) -> String {
    value.map_or(String::new(), |value| format!("{key} = \"{value}\"\n"))
}

/// `key = ["word", …]`, or nothing where there are none.
fn words(key: &str, words: &Words) -> String {
    match words.is_empty() {
        true => String::new(),
        false => format!("{key} = {words:?}\n"),
    }
}

/// storm.toml.
pub fn storm_toml(lot: &Lot) -> String {
    let currency = lot.currency;
    let mut text = format!("name = \"Small storm\"\ncurrency = \"{currency}\"\nunit = \"mm\"\n");
    for payer in &lot.payers {
        text += &payer_toml(payer);
    }
    text
}

fn payer_toml(payer: &Payer) -> String {
    let (name, card) = (payer.name, payer.card);
    let mut text =
        format!("\n[[payer]]\nname = {name:?}\nrate_card = \"rates/card-{card}.toml\"\n");
    text += &figure("minimum", payer.minimum);
    text += &figure("deductible", payer.deductible);
    text += &figure("deductible_event_max", payer.event_max);
    if let Some(term) = &payer.total_loss {
        let compare = if term.at_least { ">=" } else { ">" };
        let _ = writeln!(
            text,
            "total_loss = {{ percent = \"{}\", compare = \"{compare}\", hail_exempt = {} }}",
            term.percent, term.hail_exempt
        );
    }
    for (on, percent) in &payer.discounts {
        let _ = writeln!(
            text,
            "[[payer.discount]]\non = {on:?}\npercent = \"{percent}\""
        );
    }
    for (cars, percent) in &payer.tiers {
        let _ = writeln!(
            text,
            "[[payer.lot_discount]]\ncars_at_least = {cars}\npercent = \"{percent}\""
        );
    }
    for tax in &payer.taxes {
        let (name, on, percent) = (tax.name, &tax.on, tax.percent);
        let _ = writeln!(
            text,
            "[[payer.tax]]\nname = \"{name}\"\non = {on:?}\npercent = \"{percent}\""
        );
    }
    text
}

/// A rate card.
pub fn card_toml(card: &Card, index: usize) -> String {
    let rounding = if card.half_even {
        "half-even"
    } else {
        "half-up"
    };
    let uplifts = if card.compound { "compound" } else { "add" };
    let mut text = format!(
        "name = \"Card {index}\"\nrounding = \"{rounding}\"\nmixed_sizes = \"{}\"\nuplifts = \"{uplifts}\"\nhour_rate = \"{}\"\nremoval_rate = \"{}\"\n",
        card.mixed, card.hour_rate, card.removal_rate
    );
    for (name, upto) in &card.sizes {
        let _ = writeln!(text, "[[size]]\nname = \"{name}\"\nupto_mm = \"{upto}\"");
    }
    for grid in &card.grids {
        let unit = if grid.hours { "hours" } else { "money" };
        let bands: Vec<String> = grid
            .bands
            .iter()
            .map(|(from, to)| match to {
                None => format!("{from}+"),
                Some(to) if to == from => from.to_string(),
                Some(to) => format!("{from}-{to}"),
            })
            .collect();
        let _ = writeln!(text, "[[grid]]\nunit = \"{unit}\"\nbands = {bands:?}");
        text += &words("panels", &grid.panels);
        for (class, (name, _)) in card.sizes.iter().enumerate() {
            let column = grid.cells.iter().map(|row| row[class].to_string());
            let _ = writeln!(text, "{name} = {:?}", column.collect::<Vec<_>>());
        }
    }
    for (upto, each) in &card.steps {
        let _ = writeln!(
            text,
            "[[oversize]]\nupto_mm = \"{upto}\"\neach = \"{each}\""
        );
    }
    for uplift in &card.uplifts {
        let (name, percent, on) = (&uplift.name, uplift.percent, &uplift.on);
        let _ = writeln!(
            text,
            "[[uplift]]\nname = \"{name}\"\npercent = \"{percent}\"\non = {on:?}"
        );
        text += &words("metal", &uplift.metal);
        text += &words("access", &uplift.access);
        text += &words("panels", &uplift.panels);
        text += &words("bodies", &uplift.bodies);
    }
    for limit in &card.limits {
        let then = if limit.refers { "refer" } else { "hold" };
        let _ = writeln!(
            text,
            "[[limit]]\namount = \"{}\"\nthen = \"{then}\"",
            limit.amount
        );
        text += &words("panels", &limit.panels);
    }
    for (panels, amount) in &card.conventional {
        let _ = writeln!(text, "[[conventional]]\namount = \"{amount}\"");
        text += &words("panels", panels);
    }
    text + &removals_toml(card)
}

fn removals_toml(card: &Card) -> String {
    let mut text = String::new();
    for removal in &card.removals {
        let hours = match &removal.hours[..] {
            [(_, all)] => format!("\"{all}\""),
            several => {
                let each = several
                    .iter()
                    .map(|(body, hours)| format!("{body} = \"{hours}\""));
                format!("{{ {} }}", each.collect::<Vec<_>>().join(", "))
            }
        };
        let once_per = if removal.per_panel {
            "panel"
        } else {
            "vehicle"
        };
        let code = removal.code;
        let _ = writeln!(
            text,
            "[[removal]]\ncode = \"{code}\"\nhours = {hours}\nonce_per = \"{once_per}\""
        );
        text += &figure("parts", removal.parts);
        text += &words("includes", &removal.includes);
        let auto = removal.auto.iter();
        let auto: Vec<String> = auto
            .map(|(panels, least)| format!("{{ panels = {panels:?}, dents_at_least = {least} }}"))
            .collect();
        let _ = writeln!(text, "auto = [{}]", auto.join(", "));
    }
    for extra in &card.extras {
        let (name, amount) = (extra.name, extra.amount);
        let per = if extra.per_panel { "panel" } else { "vehicle" };
        let _ = writeln!(
            text,
            "[[extra]]\nname = \"{name}\"\nper = \"{per}\"\namount = \"{amount}\""
        );
    }
    text
}

//! The split and the statements as tables of values.

use super::grid::{Grid, Kind, Value, columns};
use super::plain::wrap_into;
use super::terminal::Width;
use crate::money::{Currency, Money};
use crate::pay::{Entry, PayKind, PayRow, Remark, Split, SplitInput, Statement, WEEK_HOURS};
use crate::storm::{Panel, Person};
use rust_decimal::Decimal;

/// What a receiver of the house's money is called.
pub const HOUSE: &str = "house";

/// The name of a row's receiver; what nobody has earned yet has none.
#[must_use]
pub fn receiver<'a>(input: &SplitInput<'a>, row: &PayRow) -> &'a str {
    match row.kind {
        PayKind::Share(share) => &input.terms.shares[share].to,
        PayKind::Person(person) => &input.log.people[person].name,
        PayKind::House => HOUSE,
        PayKind::Unearned => "",
        PayKind::Conventional => &input.terms.conventional,
        PayKind::Tax(tax) => {
            let payer = row.car.map_or(0, |car| input.storm.cars[car].vehicle.payer);
            &input.rates.terms[payer].taxes[tax].name
        }
    }
}

/// The split in a few lines, under a storm's summary.
#[must_use]
pub fn split_summary(input: &SplitInput<'_>, split: &Split, width: Width) -> String {
    let money = |amount| input.storm.currency.grouped(amount);
    let totals = &split.totals;
    let mut parts = vec![
        format!("people {}", money(totals.people)),
        format!("{HOUSE} {}", money(totals.house)),
    ];
    for (name, amount) in [
        ("shares", totals.shares),
        ("not yet earned", totals.unearned),
        ("not yet come in", totals.awaiting),
        ("passed through for referred panels", totals.conventional),
        ("taxes", totals.taxes),
    ] {
        if amount != Money::ZERO {
            parts.push(format!("{name} {}", money(amount)));
        }
    }
    let mut text = String::from("\n");
    let said = format!(
        "of {}: {}; `hailyard pay` shows who",
        money(totals.priced),
        parts.join(", ")
    );
    wrap_into(&mut text, &said, width, "  ");
    if totals.house < Money::ZERO {
        let said = format!(
            "caution: THE HOUSE IS BELOW ZERO by {}",
            money(-totals.house)
        );
        wrap_into(&mut text, &said, width, "  ");
    }
    text
}

/// `pay.csv`: who gets what of which panel.
#[must_use]
pub fn pay_grid<'a>(input: &SplitInput<'a>, split: &Split) -> Grid<'a> {
    let rows = split.rows.iter().map(|row| {
        let stock = row
            .car
            .map_or("", |car| input.storm.cars[car].vehicle.stock.as_str());
        vec![
            Value::text(stock),
            Value::text(row.panel.map_or("", Panel::word)),
            Value::text(receiver(input, row)),
            Value::text(row.word()),
            Value::Money(row.amount),
        ]
    });
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("panel", Kind::Text),
            ("receiver", Kind::Text),
            ("kind", Kind::Text),
            ("amount", Kind::Money),
        ]),
        rows: rows.collect(),
    }
}

/// `statements/NAME.csv`: everything of one person, period by period.
#[must_use]
pub fn statement_grid<'a>(
    statement: &Statement,
    people: &'a [Person],
    currency: Currency,
) -> Grid<'a> {
    let mut grid = Grid {
        columns: columns(&[
            ("person", Kind::Text),
            ("period", Kind::Text),
            ("date", Kind::Text),
            ("kind", Kind::Text),
            ("stock", Kind::Text),
            ("panel", Kind::Text),
            ("trade", Kind::Text),
            ("hours", Kind::Text),
            ("pool", Kind::Money),
            ("part", Kind::Money),
            ("rate", Kind::Text),
            ("amount", Kind::Money),
            ("note", Kind::Text),
        ]),
        rows: Vec::new(),
    };
    let name = people[statement.person].name.as_str();
    for period in &statement.periods {
        let label = period.period.to_string();
        let plain = |kind: &'static str, amount| {
            let mut row = vec![Value::Empty; 13];
            row[0] = Value::text(name);
            row[1] = Value::text(label.clone());
            row[3] = Value::text(kind);
            row[11] = Value::Money(amount);
            row
        };
        grid.rows.push(plain("carried", period.carried));
        for entry in &period.entries {
            let mut row = plain(entry.kind.word(), entry.amount);
            row[2] = Value::text(entry.date.to_string());
            row[4] = Value::text(entry.stock.as_deref().unwrap_or_default().to_owned());
            row[5] = Value::text(entry.panel.map_or("", Panel::word));
            row[6] = Value::text(entry.trade.map_or("", |trade| trade.word()));
            row[7] = Value::text(hours_text(entry));
            row[8] = Value::money(entry.pool);
            row[9] = Value::money(entry.part);
            row[10] = Value::text(entry.rate.map_or(String::new(), |rate| rate.text(currency)));
            row[12] = Value::text(remark_text(&entry.remark, people, currency));
            grid.rows.push(row);
        }
        grid.rows.push(plain("balance", period.balance));
    }
    grid
}

/// Hours as they were written.
#[must_use]
pub fn hours_text(entry: &Entry) -> String {
    entry
        .hours
        .map_or(String::new(), |hours| hours.normalize().to_string())
}

/// What else is to be said of an entry, in words.
#[must_use]
pub fn remark_text(remark: &Remark, people: &[Person], currency: Currency) -> String {
    match remark {
        Remark::None => String::new(),
        Remark::WaitsForQuote => "waits for the quote".to_owned(),
        Remark::DoneAgainBy(person) => format!("done again by {}", people[*person].name),
        Remark::OutOfHouse => "out of the house's".to_owned(),
        Remark::LeftOut => "the car is left out: only time is paid".to_owned(),
        Remark::Guarantee {
            days,
            least,
            earned,
        } => {
            let word = if *days == 1 { "day" } else { "days" };
            format!(
                "{days} {word} x {} - {}",
                currency.text(*least),
                currency.text(*earned)
            )
        }
        Remark::OfReceived {
            earned,
            came_in,
            price,
        } => format!(
            "{} earned, {} of {} came in",
            currency.text(*earned),
            currency.text(*came_in),
            currency.text(*price)
        ),
        Remark::Overtime { pay, hours } => {
            let over = (hours - Decimal::from(WEEK_HOURS)).normalize();
            let (pay, hours) = (currency.text(*pay), hours.normalize());
            format!("{pay} / {hours} h x {over} h / 2")
        }
        Remark::Text(note) => note.to_string(),
    }
}

/// The file name of everyone's statement, without an ending.
///
/// Letters and digits of any script, space, `-` and `_` stand for themselves,
/// any other byte is `%` and two hexadecimal digits, so no name is a path. A
/// device's name has its first letter so too. Names that are cut because of
/// their length are numbered.
#[must_use]
pub fn statement_files(people: &[Person]) -> Vec<String> {
    let mut files: Vec<String> = Vec::with_capacity(people.len());
    for person in people {
        let mut file = String::new();
        for (at, c) in person.name.chars().enumerate() {
            let plain = c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
            let device = at == 0 && super::file_name::is_reserved(&person.name);
            if plain && !device {
                file.push(c);
            } else {
                let mut bytes = [0; 4];
                for byte in c.encode_utf8(&mut bytes).bytes() {
                    file.push_str(&format!("%{byte:02X}"));
                }
            }
            if file.len() > LONGEST {
                file.push_str(&format!("%~{}", files.len() + 1));
                break;
            }
        }
        files.push(file);
    }
    files
}

/// The longest name before its ending, in bytes.
const LONGEST: usize = 120;

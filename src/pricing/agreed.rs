//! Amounts that people agreed by hand: they end a quote, or add a line of their own.

use super::basis::Explainer;
use super::ledger::Ledger;
use super::line::{Basis, Item, Line};
use super::prepared::PreparedCard;
use crate::intake::{Place, Problem, Severity, SheetMeta};
use crate::rates::Rates;
use crate::storm::words::fold;
use crate::storm::{Agreed, Group, Storm};

/// What an agreed row is to a car's lines.
enum Match {
    /// It gives this line its amount.
    Fills(usize),
    /// It is a line of its own.
    Own(Group),
    /// It fits nowhere: which column, and what was expected.
    Refused(&'static str, String),
}

fn match_row(explainer: &Explainer<'_>, ledger: &Ledger, row: &Agreed) -> Match {
    let item = fold(&row.item);
    let line = ledger
        .lines()
        .iter()
        .enumerate()
        .find(|(_, line)| line.panel == row.panel && fold(&explainer.item(line)) == item);
    match line {
        Some((index, line)) if line.amount.is_none() => match row.group {
            Some(group) if group != line.group => Match::Refused(
                "group",
                format!("{}, the line's own group, or blank", line.group.word()),
            ),
            _ => Match::Fills(index),
        },
        Some(_) => Match::Refused(
            "item",
            "a line without an amount, or an item of its own: this line has its amount".to_owned(),
        ),
        None if item == "conventional" || item.starts_with("oversize") => Match::Refused(
            "item",
            "a line without an amount; this panel has none of this name, so the agreement may be older than the count".to_owned(),
        ),
        None => match row.group {
            Some(group) => Match::Own(group),
            None => Match::Refused(
                "group",
                "a group for a line of its own: dents, removal, parts, extra or conventional"
                    .to_owned(),
            ),
        },
    }
}

/// Takes in a car's agreed rows, in file order.
pub fn apply(explainer: &Explainer<'_>, ledger: &mut Ledger, rows: &[(usize, &Agreed)]) {
    for &(index, row) in rows {
        let basis = Basis::Agreed { row: index };
        match match_row(explainer, ledger, row) {
            Match::Fills(line) => ledger.fill(line, row.amount, basis),
            Match::Own(group) => ledger.push(Line {
                panel: row.panel,
                group,
                item: Item::Agreed(index),
                quantity: (group != Group::Dents).then_some(1),
                amount: Some(row.amount),
                basis,
            }),
            // `check_agreed` has reported it and its car is not priced.
            Match::Refused(..) => {}
        }
    }
}

/// Every agreed row that fits no line of its car, as an error with its place
/// and the index of the car. Only cars with agreed rows are looked at.
#[must_use]
pub fn check_agreed(storm: &Storm, rates: &Rates, sheets: &[SheetMeta]) -> Vec<(usize, Problem)> {
    let mut problems = Vec::new();
    let prepared = PreparedCard::all(&rates.cards, storm.currency);
    for (car_index, rows) in by_car(storm) {
        let car = &storm.cars[car_index];
        let terms = &rates.terms[car.vehicle.payer];
        let explainer = Explainer::new(storm, rates, car.vehicle.payer);
        let mut ledger = super::car::open(&prepared[terms.card], car).ledger;
        let stock = &car.vehicle.stock;
        let wrong = take_in(&explainer, &mut ledger, &rows, stock, sheets);
        problems.extend(wrong.into_iter().map(|problem| (car_index, problem)));
    }
    problems
}

/// Takes in a car's agreed rows, in file order; those that fit no line of it
/// come back as errors with their place.
pub fn take_in(
    explainer: &Explainer<'_>,
    ledger: &mut Ledger,
    rows: &[(usize, &Agreed)],
    stock: &str,
    sheets: &[SheetMeta],
) -> Vec<Problem> {
    let mut problems = Vec::new();
    for &(index, row) in rows {
        let Match::Refused(column, expected) = match_row(explainer, ledger, row) else {
            apply(explainer, ledger, &[(index, row)]);
            continue;
        };
        let sheet = &sheets[row.source.sheet as usize];
        problems.push(Problem {
            severity: Severity::Error,
            place: Place {
                column: Some(column.to_owned()),
                ..sheet.place_at(row.source.row, None)
            },
            found: match column {
                "group" => row.group.map_or("", Group::word).to_owned(),
                _ => row.item.clone(),
            },
            expected,
            meant: None,
            stock: Some(stock.to_owned()),
        });
    }
    problems
}

/// A storm's agreed rows by car, in lot order, rows in file order.
pub fn by_car(storm: &Storm) -> std::collections::BTreeMap<usize, Vec<(usize, &Agreed)>> {
    let mut rows: std::collections::BTreeMap<usize, Vec<(usize, &Agreed)>> =
        std::collections::BTreeMap::new();
    for (index, row) in storm.agreed.iter().enumerate() {
        rows.entry(row.car).or_default().push((index, row));
    }
    rows
}

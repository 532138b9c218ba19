//! One car: each line and how it arose, what a referral voided, what needs a
//! quote or was agreed, what is not in the price, and the cautions of its work.

mod costs;
mod counts;

pub use counts::{counted_text, surface_text};

use super::{hail_text, sender_lines};
use crate::money::Money;
use crate::pricing::{Basis, Explainer, Item, PricedCar, Status};
use crate::rates::{Caution, RateCard};
use crate::report::document::{Block, Document, DocumentPhoto, Table};
use crate::report::storm_report::StormReport;
use crate::storm::{Access, Body, Car, Paint, PanelCount};
use std::collections::BTreeSet;

/// The photographs of a car, as far as this copy of its sheet has them.
#[derive(Debug, Clone)]
pub enum CarPhotos {
    /// On it.
    Here(Vec<DocumentPhoto>),
    /// So many, on the car's own sheet.
    OnItsOwn(usize),
}

/// A car's sheet.
#[must_use]
pub fn car_page(report: &StormReport<'_>, index: usize, photos: CarPhotos) -> Document {
    let car = &report.storm.cars[index];
    let sheet = Sheet {
        report,
        car,
        priced: &report.priced.cars[index],
        card: report.rates.card_of(car.vehicle.payer),
        explainer: Explainer::new(report.storm, report.rates, car.vehicle.payer),
    };
    let mut blocks = vec![Block::Facts(sheet.facts())];
    if sheet.priced.status == Status::Uncounted {
        blocks.push(Block::Text(
            "Not counted yet: it is in no total.".to_owned(),
        ));
    } else {
        sheet.counts(&mut blocks);
        if sheet.priced.status == Status::Nothing {
            blocks.push(Block::Text(
                "No dents of this storm: nothing to price.".to_owned(),
            ));
        } else {
            sheet.lines(&mut blocks);
        }
        sheet.referred(&mut blocks);
        sheet.quotes_and_agreed(&mut blocks);
        sheet.not_in_the_price(&mut blocks);
        sheet.cautions(&mut blocks);
    }
    match photos {
        CarPhotos::Here(photos) if !photos.is_empty() => {
            blocks.push(Block::Heading("Photographs".to_owned()));
            blocks.push(Block::Photos(photos));
        }
        CarPhotos::OnItsOwn(count) if count > 0 => {
            let word = if count == 1 {
                "photograph"
            } else {
                "photographs"
            };
            blocks.push(Block::Text(format!(
                "{count} {word}: on the car's own sheet."
            )));
        }
        _ => {}
    }
    if !matches!(sheet.priced.status, Status::Uncounted | Status::Nothing) {
        blocks.push(Block::Signatures(vec![
            format!("for {}", report.storm.payers[car.vehicle.payer].name),
            match report.storm.sender.name.as_str() {
                "" => "for the repairer".to_owned(),
                name => format!("for {name}"),
            },
        ]));
        if !report.storm.sender.note.is_empty() {
            blocks.push(Block::Text(report.storm.sender.note.clone()));
        }
    }
    Document {
        title: format!("Car {}", car.vehicle.stock),
        sender: sender_lines(&report.storm.sender),
        number: sheet.number(),
        blocks,
    }
}

struct Sheet<'s, 'a> {
    report: &'s StormReport<'a>,
    car: &'s Car,
    priced: &'s PricedCar,
    card: &'s RateCard,
    explainer: Explainer<'s>,
}

impl Sheet<'_, '_> {
    fn money(&self, amount: Money) -> String {
        self.report.storm.currency.grouped(amount)
    }

    /// Storm, stock and the day of the last count: a recount has another number.
    fn number(&self) -> String {
        let days = self.car.panels.iter().map(|count| &count.counted_on);
        let days: Vec<&String> = days.filter(|day| !day.is_empty()).collect();
        // Days are as written; only those in ISO 8601 can be put in order.
        let last = days
            .iter()
            .filter_map(|day| day.parse::<jiff::civil::Date>().ok())
            .max()
            .map(|day| day.to_string())
            .or_else(|| days.first().map(|day| (*day).clone()))
            .unwrap_or_else(|| "count not dated".to_owned());
        format!(
            "{} / {} / {last}",
            self.report.storm.name, self.car.vehicle.stock
        )
    }

    fn facts(&self) -> Vec<(&'static str, String)> {
        let vehicle = &self.car.vehicle;
        let storm = self.report.storm;
        let what: Vec<&str> = [
            vehicle.year.as_str(),
            vehicle.make.as_str(),
            vehicle.model.as_str(),
            // `other` stands for a body that nobody named.
            match vehicle.body {
                Body::Other => "",
                body => body.word(),
            },
        ]
        .into_iter()
        .filter(|word| !word.is_empty())
        .collect();
        let mut facts = vec![
            ("storm", format!("{}{}", storm.name, hail_text(storm))),
            ("payer", storm.payers[vehicle.payer].name.clone()),
            ("claim", vehicle.claim.clone()),
            ("vehicle", what.join(" ")),
            ("colour", vehicle.colour.clone()),
            ("VIN", vehicle.vin.clone()),
            ("plate", vehicle.plate.clone()),
            ("odometer", vehicle.odometer.clone()),
            ("owner", vehicle.owner.clone()),
            ("row", vehicle.row.clone()),
            ("counted", self.counters()),
            ("rate card", self.card.name.clone()),
            ("amounts in", storm.currency.code().to_owned()),
            ("note", self.car.note.clone()),
        ];
        facts.retain(|(_, value)| !value.is_empty());
        facts
    }

    /// Who counted and when, each once.
    fn counters(&self) -> String {
        let mut said: Vec<String> = Vec::new();
        for count in &self.car.panels {
            let by = match (count.counted_by.as_str(), count.counted_on.as_str()) {
                ("", "") => continue,
                (by, "") => format!("by {by}"),
                ("", on) => format!("on {on}"),
                (by, on) => format!("by {by} on {on}"),
            };
            if !said.contains(&by) {
                said.push(by);
            }
        }
        said.join("; ")
    }

    fn referred(&self, blocks: &mut Vec<Block>) {
        let referred: Vec<_> = self
            .priced
            .panels
            .iter()
            .filter_map(|panel| Some((panel, panel.referral?)))
            .collect();
        if referred.is_empty() {
            return;
        }
        blocks.push(Block::Heading("To conventional repair".to_owned()));
        for (panel, reason) in &referred {
            blocks.push(Block::Text(format!(
                "{}: {}",
                panel.panel.word(),
                reason.word()
            )));
        }
        let mut table = Table::new("Not charged, since the panel is referred")
            .words("panel", 0)
            .words("item", 0)
            .words("how it would arise", 0)
            .figures("amount", 0);
        for (panel, _) in referred {
            for line in &panel.voided {
                table.row(vec![
                    panel.panel.word().into(),
                    self.explainer.item(line).into(),
                    self.explainer.basis(line).into(),
                    line.amount
                        .map_or_else(|| "quote".to_owned(), |amount| self.money(amount))
                        .into(),
                ]);
            }
        }
        if !table.rows.is_empty() {
            blocks.push(Block::Table(table));
        }
    }

    fn quotes_and_agreed(&self, blocks: &mut Vec<Block>) {
        let mut said = Vec::new();
        for line in self.priced.ledger.lines() {
            let panel = line.panel.map_or("", |panel| panel.word());
            let item = format!("{panel} {}", self.explainer.item(line));
            let item = item.trim();
            match line.basis {
                _ if line.amount.is_none() => {
                    said.push(format!("Needs a written quote: {item}"));
                }
                Basis::Agreed { row } => {
                    let note = &self.report.storm.agreed[row].note;
                    let remark = match note.as_str() {
                        "" => String::new(),
                        note => format!(" ({note})"),
                    };
                    said.push(format!("{}: {item}{remark}", self.explainer.basis(line)));
                }
                _ => {}
            }
        }
        if !said.is_empty() {
            blocks.push(Block::Heading("By quote and by agreement".to_owned()));
            blocks.extend(said.into_iter().map(Block::Text));
        }
    }

    fn not_in_the_price(&self, blocks: &mut Vec<Block>) {
        let prior: u32 = self.car.panels.iter().map(|count| count.prior).sum();
        let mut said = Vec::new();
        match prior {
            0 => {}
            1 => said.push("1 prior dent, not of this storm".to_owned()),
            prior => said.push(format!("{prior} prior dents, not of this storm")),
        }
        let open = self.priced.total().open;
        if open > 0 {
            let lines = if open == 1 {
                "line that waits"
            } else {
                "lines that wait"
            };
            said.push(format!("{open} {lines} for a written quote"));
        }
        said.push(
            "what only shows once trim comes off or a panel is counted again: by supplement"
                .to_owned(),
        );
        blocks.push(Block::Text(format!(
            "Not in the price: {}.",
            said.join("; ")
        )));
    }

    fn cautions(&self, blocks: &mut Vec<Block>) {
        for count in &self.car.panels {
            let Some(said) = paint_caution(count) else {
                continue;
            };
            blocks.push(Block::Caution {
                about: count.panel.word().to_owned(),
                text: said.to_owned(),
            });
        }
        let cautions: BTreeSet<Caution> = self
            .priced
            .ledger
            .lines()
            .iter()
            .filter_map(|line| match line.item {
                Item::Removal(removal) => self.card.removals[removal].caution,
                _ => None,
            })
            .collect();
        for caution in cautions {
            blocks.push(Block::Caution {
                about: caution.word().to_owned(),
                text: caution.text().to_owned(),
            });
        }
    }
}

/// What paint that is not the maker's own asks for.
#[must_use]
pub fn paint_caution(count: &PanelCount) -> Option<&'static str> {
    match count.paint {
        Paint::Factory => None,
        Paint::Repainted if count.access == Access::Glue => {
            Some("repainted: no glue pulling, the paint may lift")
        }
        Paint::Repainted => Some("repainted: glue may lift the paint"),
        Paint::Broken => Some("the paint is broken: it may need conventional repair"),
    }
}

//! One car: each line and how it arose, what a referral voided, what needs a
//! quote or was agreed, and the cautions of its work.

use super::grid::{Kind, Value, columns};
use super::json::grid_to_json;
use super::storm_report::{StormReport, line_grid};
use super::terminal::{QUOTE_MARK, TextTable, Width};
use crate::money::Money;
use crate::pricing::{
    Basis, Explainer, Item, Line, PricedCar, Status, TOTAL_LOSS_CAUTION, TotalLossFlag,
};
use crate::rates::{Caution, RateCard};
use crate::storm::{Access, Car, Group, Paint, PanelCount};
use std::collections::BTreeSet;
use std::fmt::Write;

/// A car's sheet as text.
#[must_use]
pub fn car_sheet(report: &StormReport<'_>, index: usize, width: Width) -> String {
    let car = &report.storm.cars[index];
    let sheet = Sheet {
        report,
        car,
        priced: &report.priced.cars[index],
        card: report.rates.card_of(car.vehicle.payer),
        explainer: Explainer::new(report.storm, report.rates, car.vehicle.payer),
        width,
    };
    let mut text = String::new();
    sheet.head(&mut text);
    if sheet.priced.status == Status::Uncounted {
        text.push_str("not counted yet: it is in no total\n");
        return text;
    }
    sheet.counts(&mut text);
    sheet.lines(&mut text);
    sheet.foot(&mut text);
    sheet.voided(&mut text);
    sheet.open(&mut text);
    sheet.cautions(&mut text);
    text
}

/// A car's sheet as JSON.
#[must_use]
pub fn car_sheet_json(report: &StormReport<'_>, index: usize) -> serde_json::Value {
    let currency = report.storm.currency;
    let car = &report.storm.cars[index];
    let priced = &report.priced.cars[index];
    let explainer = Explainer::new(report.storm, report.rates, car.vehicle.payer);
    let lines = line_grid(report, index..index + 1);
    let mut voided = super::Grid {
        columns: columns(&[
            ("panel", Kind::Text),
            ("item", Kind::Text),
            ("amount", Kind::Money),
            ("basis", Kind::Text),
        ]),
        rows: Vec::new(),
    };
    let mut referred = Vec::new();
    for panel in &priced.panels {
        if let Some(reason) = panel.referral {
            referred.push(serde_json::json!({
                "panel": panel.panel.word(), "reason": reason.word(),
            }));
        }
        for line in &panel.voided {
            voided.rows.push(vec![
                Value::text(panel.panel.word()),
                Value::text(explainer.item(line)),
                Value::money(line.amount),
                Value::text(explainer.basis(line)),
            ]);
        }
    }
    let amount = |amount: Option<Money>| amount.map(|amount| currency.text(amount));
    serde_json::json!({
        "format": 1,
        "stock": car.vehicle.stock,
        "payer": report.storm.payers[car.vehicle.payer].name,
        "currency": currency.code(),
        "status": priced.status.word(),
        "lines": grid_to_json(&lines, currency),
        "total": amount(priced.total().shown()),
        "payer_pays": amount(priced.payer_pays),
        "owner_pays": amount(priced.owner_pays),
        "referred": referred,
        "voided": grid_to_json(&voided, currency),
        "total_loss": priced.total_loss.map(TotalLossFlag::word),
    })
}

struct Sheet<'s, 'a> {
    report: &'s StormReport<'a>,
    car: &'s Car,
    priced: &'s PricedCar,
    card: &'s RateCard,
    explainer: Explainer<'s>,
    width: Width,
}

impl Sheet<'_, '_> {
    fn money(&self, amount: Money) -> String {
        self.report.storm.currency.grouped(amount)
    }

    fn head(&self, text: &mut String) {
        let vehicle = &self.car.vehicle;
        let storm = self.report.storm;
        let what: Vec<&str> = [
            vehicle.year.as_str(),
            vehicle.make.as_str(),
            vehicle.model.as_str(),
            vehicle.body.word(),
            vehicle.colour.as_str(),
        ]
        .into_iter()
        .filter(|word| !word.is_empty())
        .collect();
        self.wrap(text, &format!("car {}: {}", vehicle.stock, what.join(" ")));
        let mut facts = format!(
            "{}, card {}, amounts in {}",
            storm.payers[vehicle.payer].name,
            self.card.name,
            storm.currency.code()
        );
        for (name, value) in [
            ("VIN", &vehicle.vin),
            ("plate", &vehicle.plate),
            ("claim", &vehicle.claim),
            ("row", &vehicle.row),
        ] {
            if !value.is_empty() {
                let _ = write!(facts, ", {name} {value}");
            }
        }
        self.wrap(text, &facts);
        if !self.car.note.is_empty() {
            self.wrap(text, &format!("note: {}", self.car.note));
        }
        self.counters(text);
        text.push('\n');
    }

    /// Who counted and when, each once.
    fn counters(&self, text: &mut String) {
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
        if !said.is_empty() {
            self.wrap(text, &format!("counted {}", said.join("; ")));
        }
    }

    /// What was counted, panel by panel, prior dents too.
    fn counts(&self, text: &mut String) {
        let mut table = TextTable::new()
            .words("panel", 0)
            .words("counted", 0)
            .words("surface", 2)
            .figures("prior", 1)
            .words("note", 3);
        for count in &self.car.panels {
            table.row(vec![
                count.panel.word().to_owned(),
                self.counted(count),
                surface(count),
                if count.prior > 0 {
                    count.prior.to_string()
                } else {
                    String::new()
                },
                count.note.clone(),
            ]);
        }
        if !self.car.panels.is_empty() {
            text.push_str(&table.render(self.width));
            text.push('\n');
        }
    }

    fn counted(&self, count: &PanelCount) -> String {
        let sorted = self.card.sort_dents(count).unwrap_or_default();
        let mut parts: Vec<String> = sorted
            .by_class
            .iter()
            .zip(&self.card.sizes)
            .filter(|(dents, _)| **dents > 0)
            .map(|(dents, class)| format!("{dents} {}", class.name))
            .collect();
        parts.extend(sorted.oversize.iter().map(|dents| match dents.dents {
            1 => dents.diameter.to_string(),
            times => format!("{} x{times}", dents.diameter),
        }));
        if parts.is_empty() {
            parts.push("clean".to_owned());
        }
        parts.join(" + ")
    }

    fn lines(&self, text: &mut String) {
        let mut table = TextTable::new()
            .words("panel", 0)
            .words("item", 0)
            .words("how it arose", 0)
            .figures("amount", 0);
        for line in self.priced.ledger.lines() {
            table.row(vec![
                line.panel.map_or("", |panel| panel.word()).to_owned(),
                self.item(line),
                self.explainer.basis(line),
                line.amount
                    .map_or_else(|| "by quote".to_owned(), |amount| self.money(amount)),
            ]);
        }
        let total = self.priced.total();
        let shown = match total.shown() {
            Some(known) if total.open > 0 => format!("{}{QUOTE_MARK}", self.money(known)),
            Some(known) => self.money(known),
            None => "quote".to_owned(),
        };
        table.row(vec![
            String::new(),
            "total".to_owned(),
            String::new(),
            shown.clone(),
        ]);
        text.push_str(&table.render(self.width));
        text.push('\n');
        self.wrap(text, &format!("{} = {shown}", self.group_sums()));
    }

    /// The item, and for a labour or parts line which of both it is.
    fn item(&self, line: &Line) -> String {
        let item = self.explainer.item(line);
        match line.item {
            Item::Removal(_) => format!("R&I {item}"),
            Item::Parts(_) => format!("parts for {item}"),
            _ => item,
        }
    }

    fn group_sums(&self) -> String {
        let parts: Vec<String> = Group::ALL
            .into_iter()
            .filter_map(|group| {
                let sum = self.priced.ledger.sum(group);
                let lines = sum.priced + sum.open;
                let known = sum.shown()?;
                (lines > 0).then(|| format!("{} {}", group.word(), self.money(known)))
            })
            .collect();
        parts.join(" + ")
    }

    fn foot(&self, text: &mut String) {
        if let (Some(payer), Some(owner)) = (self.priced.payer_pays, self.priced.owner_pays) {
            let so_far = if self.priced.status == Status::Quote {
                " of what is known so far"
            } else {
                ""
            };
            let line = format!(
                "{} pays {}, the owner {}{so_far}",
                self.report.storm.payers[self.car.vehicle.payer].name,
                self.money(payer),
                self.money(owner)
            );
            self.wrap(text, &line);
        }
        if let Some(flag) = self.priced.total_loss {
            let said = match flag {
                TotalLossFlag::Reached => "total-loss flag: the total reaches the threshold.",
                TotalLossFlag::Unknown => "total-loss flag: not known yet, while a quote is open.",
            };
            self.wrap(text, &format!("{said} {TOTAL_LOSS_CAUTION}"));
        }
    }

    fn voided(&self, text: &mut String) {
        for panel in &self.priced.panels {
            let Some(reason) = panel.referral else {
                continue;
            };
            self.wrap(
                text,
                &format!(
                    "{} goes to conventional repair: {}",
                    panel.panel.word(),
                    reason.word()
                ),
            );
            for line in &panel.voided {
                let shown = line
                    .amount
                    .map_or_else(|| "quote".to_owned(), |amount| self.money(amount));
                let said = format!(
                    "not charged: {} {shown} ({})",
                    self.explainer.item(line),
                    self.explainer.basis(line)
                );
                wrap_into(text, &format!("  {said}"), self.width, "    ");
            }
        }
    }

    fn open(&self, text: &mut String) {
        for line in self.priced.ledger.lines() {
            let panel = line.panel.map_or("", |panel| panel.word());
            let item = self.explainer.item(line);
            match line.basis {
                _ if line.amount.is_none() => {
                    self.wrap(text, &format!("needs a written quote: {panel} {item}"));
                }
                Basis::Agreed { row } => {
                    let note = &self.report.storm.agreed[row].note;
                    let remark = if note.is_empty() {
                        String::new()
                    } else {
                        format!(" ({note})")
                    };
                    let where_on = if panel.is_empty() {
                        String::new()
                    } else {
                        format!("{panel} ")
                    };
                    self.wrap(
                        text,
                        &format!("{}: {where_on}{item}{remark}", self.explainer.basis(line)),
                    );
                }
                _ => {}
            }
        }
    }

    fn cautions(&self, text: &mut String) {
        for count in &self.car.panels {
            let said = match count.paint {
                Paint::Factory => continue,
                Paint::Repainted if count.access == Access::Glue => {
                    "repainted: no glue pulling, the paint may lift"
                }
                Paint::Repainted => "repainted: glue may lift the paint",
                Paint::Broken => "broken paint: for the counter to refer",
            };
            self.wrap(text, &format!("caution, {}: {said}", count.panel.word()));
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
            self.wrap(
                text,
                &format!("caution, {}: {}", caution.word(), caution.text()),
            );
        }
    }

    fn wrap(&self, text: &mut String, line: &str) {
        wrap_into(text, line, self.width, "  ");
    }
}

fn surface(count: &PanelCount) -> String {
    let mut words = Vec::new();
    if count.metal != crate::storm::Metal::Steel {
        words.push(count.metal.word());
    }
    if count.access != Access::Open {
        words.push(count.access.word());
    }
    if count.paint != Paint::Factory {
        words.push(count.paint.word());
    }
    if count.conventional {
        words.push("conventional");
    }
    words.join(", ")
}

/// Adds a line of prose, broken between words within the width; lines after
/// the first are indented.
pub fn wrap_into(text: &mut String, line: &str, width: Width, indent: &str) {
    let line = crate::intake::printable_long(line);
    let first_indent: String = line.chars().take_while(|c| *c == ' ').collect();
    let mut column = 0;
    for word in line.split_whitespace() {
        let length = word.chars().count();
        if column == 0 {
            text.push_str(&first_indent);
            column = first_indent.len();
        } else if column + 1 + length > width.0 {
            text.push('\n');
            text.push_str(indent);
            column = indent.len();
        } else {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += length;
    }
    text.push('\n');
}

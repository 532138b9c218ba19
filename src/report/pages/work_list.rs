//! One person's work, day by day: which car, where it stands, what is to be
//! done on it and how. It names no owner.

use super::plan::panels_text;
use super::{hail_text, sender_lines};
use crate::planning::Stage;
use crate::pricing::Item;
use crate::rates::Caution;
use crate::report::document::{Block, Document, Table};
use crate::report::pages::car::{counted_text, paint_caution, surface_text};
use crate::report::plan_report::{PlanLine, PlanReport, clock_text, day_text};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// A person's page; of one day where that is asked for.
#[must_use]
pub fn work_list_page(report: &PlanReport<'_>, person: usize, only: Option<Date>) -> Document {
    let storm = report.storm;
    let name = &report.people[person].name;
    let mut blocks = vec![Block::Facts(vec![
        ("storm", format!("{}{}", storm.name, hail_text(storm))),
        ("for", name.clone()),
        ("from", day_text(report.jobs.hours.start())),
        ("hours", report.jobs.hours.said()),
    ])];
    let mut days: BTreeMap<Date, Vec<PlanLine>> = BTreeMap::new();
    for line in report.lines(Some(person)) {
        if only.is_none_or(|only| only == line.part.day) {
            days.entry(line.part.day).or_default().push(line);
        }
    }
    if days.is_empty() {
        blocks.push(Block::Text("Nothing is planned.".to_owned()));
    }
    let list = WorkList { report };
    let mut cautions: BTreeSet<Caution> = BTreeSet::new();
    for (day, lines) in &days {
        blocks.push(Block::Table(list.day(*day, lines)));
        blocks.extend(list.paint(lines));
        cautions.extend(lines.iter().flat_map(|line| list.cautions(line)));
    }
    for caution in cautions {
        blocks.push(Block::Caution {
            about: caution.word().to_owned(),
            text: caution.text().to_owned(),
        });
    }
    Document {
        title: format!("{}: work of {name}", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

struct WorkList<'a> {
    report: &'a PlanReport<'a>,
}

impl WorkList<'_> {
    fn day(&self, day: Date, lines: &[PlanLine]) -> Table {
        let report = self.report;
        let mut table = Table::new(format!("Work on {}", day_text(day)))
            .words("from", 0)
            .words("to", 0)
            .words("stock", 0)
            .words("row", 1)
            .words("car", 2)
            .words("stage", 0)
            .words("panels", 0)
            .words("what", 1);
        for line in lines {
            let vehicle = &report.storm.cars[report.job(line.job).car].vehicle;
            let car: Vec<&str> = [&vehicle.make, &vehicle.model, &vehicle.colour]
                .into_iter()
                .map(String::as_str)
                .filter(|word| !word.is_empty())
                .collect();
            table.row(vec![
                clock_text(line.part.from).into(),
                clock_text(line.part.to).into(),
                vehicle.stock.as_str().into(),
                vehicle.row.as_str().into(),
                car.join(" ").into(),
                line.stage.word().into(),
                panels_text(line).into(),
                self.what(line).into(),
            ]);
        }
        table.without_empty_columns()
    }

    /// What was counted on the panels, or what comes off or goes back on.
    fn what(&self, line: &PlanLine) -> String {
        let job = self.report.job(line.job);
        let car = &self.report.storm.cars[job.car];
        let card = self.report.rates.card_of(car.vehicle.payer);
        match line.stage {
            Stage::Dents => {
                let said: Vec<String> = line
                    .panels
                    .iter()
                    .filter_map(|panel| {
                        let count = car.panels.iter().find(|count| count.panel == *panel)?;
                        let mut said = counted_text(card, count);
                        let surface = surface_text(count);
                        if !surface.is_empty() {
                            said.push_str(&format!(" ({surface})"));
                        }
                        if line.panels.len() > 1 {
                            said = format!("{}: {said}", panel.word());
                        }
                        Some(said)
                    })
                    .collect();
                said.join("; ")
            }
            Stage::Strip | Stage::Fit => {
                let mut codes: Vec<&str> = self
                    .removals(line)
                    .map(|removal| card.removals[removal].code.as_str())
                    .collect();
                codes.dedup();
                codes.join(", ")
            }
            Stage::Finish => "wash, final check, photographs".to_owned(),
        }
    }

    fn removals(&self, line: &PlanLine) -> impl Iterator<Item = usize> + '_ {
        let lines = self.report.priced.cars[self.report.job(line.job).car]
            .ledger
            .lines();
        lines.iter().filter_map(|line| match line.item {
            Item::Removal(removal) => Some(removal),
            _ => None,
        })
    }

    /// What can hurt somebody in a line's work.
    fn cautions(&self, line: &PlanLine) -> Vec<Caution> {
        let car = &self.report.storm.cars[self.report.job(line.job).car];
        let card = self.report.rates.card_of(car.vehicle.payer);
        match line.stage {
            Stage::Strip | Stage::Fit => self
                .removals(line)
                .filter_map(|removal| card.removals[removal].caution)
                .collect(),
            Stage::Finish => vec![Caution::Dust, Caution::Solvent],
            Stage::Dents => {
                let glued = car.panels.iter().any(|count| {
                    line.panels.contains(&count.panel) && count.access == crate::storm::Access::Glue
                });
                if glued {
                    vec![Caution::Heat, Caution::Solvent]
                } else {
                    Vec::new()
                }
            }
        }
    }

    /// Repainted and broken paint on the panels of a day.
    fn paint(&self, lines: &[PlanLine]) -> Vec<Block> {
        let mut said = BTreeSet::new();
        for line in lines.iter().filter(|line| line.stage == Stage::Dents) {
            let job = self.report.job(line.job);
            for count in &self.report.storm.cars[job.car].panels {
                if line.panels.contains(&count.panel)
                    && let Some(text) = paint_caution(count)
                {
                    let about = format!("{} {}", self.report.stock(line.job), count.panel.word());
                    said.insert((about, text));
                }
            }
        }
        said.into_iter()
            .map(|(about, text)| Block::Caution {
                about,
                text: text.to_owned(),
            })
            .collect()
    }
}

//! The storm for payers and the lot: what somebody must decide first, then
//! sums by payer, body and panel, dents by size, and every car.

use super::pictures::{dents_by_panel, money_by_group, price_distribution};
use super::{Links, cars_text, hail_text, optional_text, sender_lines, sum_text};
use crate::pricing::{CarCounts, Status, TOTAL_LOSS_CAUTION, TotalLossFlag};
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::storm_report::StormReport;
use crate::storm::Group;
use crate::totals::{By, TotalsRow};

/// The storm's page. Stocks lead to the cars' sheets where there are any.
#[must_use]
pub fn storm_page(report: &StormReport<'_>, links: Option<Links<'_>>) -> Document {
    let page = Page { report, links };
    let mut blocks = vec![Block::Facts(page.facts())];
    page.decisions(&mut blocks);
    page.totals(&mut blocks);
    page.sizes(&mut blocks);
    page.spreads(&mut blocks);
    page.cars(&mut blocks);
    Document {
        title: report.storm.name.clone(),
        sender: sender_lines(&report.storm.sender),
        number: String::new(),
        blocks,
    }
}

struct Page<'s, 'a> {
    report: &'s StormReport<'a>,
    links: Option<Links<'s>>,
}

impl Page<'_, '_> {
    fn facts(&self) -> Vec<(&'static str, String)> {
        let storm = self.report.storm;
        let totals = self.report.totals;
        let left_out = self.report.left_out.len();
        let mut facts = vec![
            ("storm", format!("{}{}", storm.name, hail_text(storm))),
            (
                "cars",
                format!("{} of {} counted", totals.counted, totals.listed),
            ),
        ];
        if left_out > 0 {
            facts.push(("left out", format!("{} with errors", cars_text(left_out))));
        }
        if let Some(whole) = totals.storm() {
            facts.push(("total", sum_text(storm.currency, whole.total())));
            facts.push((
                "payers pay",
                optional_text(storm.currency, whole.payer_pays),
            ));
            facts.push((
                "owners pay",
                optional_text(storm.currency, whole.owner_pays),
            ));
        }
        facts.push(("amounts in", storm.currency.code().to_owned()));
        for (payer, tier) in self.report.priced.tiers.iter().enumerate() {
            if let Some(tier) = tier {
                facts.push((
                    "lot discount",
                    format!(
                        "{}: {} on dents, from {} cars; {} have a priced panel",
                        storm.payers[payer].name,
                        tier.percent,
                        tier.cars_at_least,
                        cars_text(self.report.priced.priced_cars[payer])
                    ),
                ));
            }
        }
        facts
    }

    fn stock(&self, car: usize) -> Cell {
        let stock = &self.report.storm.cars[car].vehicle.stock;
        match self.links {
            Some(links) => Cell::to(stock, links.to(car)),
            None => stock.into(),
        }
    }

    /// What somebody has to decide: quotes, referrals, total-loss flags, cars
    /// not counted, cars left out.
    fn decisions(&self, blocks: &mut Vec<Block>) {
        let priced = &self.report.priced.cars;
        let wanted = |wanted: &dyn Fn(usize) -> bool| -> Vec<Cell> {
            (0..priced.len())
                .filter(|car| wanted(*car))
                .map(|car| self.stock(car))
                .collect()
        };
        let lists = [
            (
                "need a written quote",
                "needs a written quote",
                wanted(&|car| priced[car].status == Status::Quote),
            ),
            (
                "have a panel for conventional repair",
                "has a panel for conventional repair",
                wanted(&|car| {
                    priced[car]
                        .panels
                        .iter()
                        .any(|panel| panel.referral.is_some())
                }),
            ),
            (
                "reach the total-loss threshold",
                "reaches the total-loss threshold",
                wanted(&|car| priced[car].total_loss == Some(TotalLossFlag::Reached)),
            ),
            (
                "may reach it, while a quote is open",
                "may reach it, while a quote is open",
                wanted(&|car| priced[car].total_loss == Some(TotalLossFlag::Unknown)),
            ),
            (
                "are not counted yet",
                "is not counted yet",
                wanted(&|car| priced[car].status == Status::Uncounted),
            ),
            (
                "are left out because of errors",
                "is left out because of errors",
                self.report.left_out.iter().map(Cell::from).collect(),
            ),
        ];
        blocks.push(Block::Heading("To decide first".to_owned()));
        let before = blocks.len();
        for (many, one, items) in lists {
            if !items.is_empty() {
                let verb = if items.len() == 1 { one } else { many };
                blocks.push(Block::Listed {
                    lead: format!("{} {verb}", cars_text(items.len())),
                    items,
                });
            }
        }
        if blocks.len() == before {
            blocks.push(Block::Text(
                "Nothing: every car is counted, and no amount is open.".to_owned(),
            ));
        }
        if priced.iter().any(|car| car.total_loss.is_some()) {
            blocks.push(Block::Caution {
                about: "total-loss flag".to_owned(),
                text: TOTAL_LOSS_CAUTION.to_owned(),
            });
        }
    }

    fn totals(&self, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading("Totals".to_owned()));
        let rows = &self.report.totals.rows;
        for (caption, head, of) in [
            ("By payer", "payer", 0),
            ("By body", "body", 1),
            ("By panel", "panel", 2),
        ] {
            let mut table = Table::new(caption)
                .words(head, 0)
                .figures("cars", 2)
                .figures("quotes", 6)
                .figures("panels", 9)
                .figures("dents", 5)
                .figures("oversize", 10);
            // By payer the groups stand under the picture, and nobody pays by panel.
            let by_panel = of == 2;
            if by_panel {
                for group in Group::ALL {
                    let (name, rank) = match group {
                        Group::Dents => ("for dents", 4),
                        Group::Removal => ("R&I", 7),
                        group => (group.word(), 8),
                    };
                    table = table.figures(name, rank);
                }
            }
            table = table.figures("total", 0);
            if !by_panel {
                table = table.figures("payer pays", 3).figures("owner pays", 3);
            }
            let wanted = |by: By| match by {
                By::Storm => false,
                By::Payer(_) => of == 0,
                By::Body(_) => of == 1,
                By::Panel(_) => of == 2,
            };
            for row in rows.iter().filter(|row| wanted(row.by)) {
                let name = match row.by {
                    By::Panel(None) => "no one panel",
                    by => self.report.key(by).1,
                };
                table.row(self.total_cells(row, name, by_panel));
            }
            if let Some(storm) = rows.first() {
                table.sums(self.total_cells(storm, "storm", by_panel));
            }
            blocks.push(Block::Table(table.without_empty_columns()));
            if by_panel {
                blocks.push(Block::Text(
                    "No one panel: discounts, minimum, tax, and work that is charged once a car."
                        .to_owned(),
                ));
            }
            let pictures = match of {
                0 => money_by_group(self.report),
                2 => dents_by_panel(self.report).into_iter().collect(),
                _ => Vec::new(),
            };
            blocks.extend(pictures.into_iter().map(Block::Picture));
        }
    }

    fn total_cells(&self, row: &TotalsRow, name: &str, by_panel: bool) -> Vec<Cell> {
        let currency = self.report.storm.currency;
        let mut cells: Vec<Cell> = vec![name.into()];
        cells.extend(
            [row.cars, row.quotes, row.panels, row.dents, row.oversize]
                .map(|count| Cell::from(count.to_string())),
        );
        if by_panel {
            cells.extend(
                Group::ALL.map(|group| Cell::from(sum_text(currency, row.groups[group.index()]))),
            );
        }
        cells.push(sum_text(currency, row.total()).into());
        if !by_panel {
            cells.push(optional_text(currency, row.payer_pays).into());
            cells.push(optional_text(currency, row.owner_pays).into());
        }
        cells
    }

    /// Dents by size class, as each car's own card has them.
    fn sizes(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let mut sizes: Vec<(&str, u64, u64)> = Vec::new();
        let (mut oversize, mut oversize_panels) = (0_u64, 0_u64);
        for card in &report.rates.cards {
            for class in &card.sizes {
                if sizes.iter().all(|(name, _, _)| *name != class.name) {
                    sizes.push((&class.name, 0, 0));
                }
            }
        }
        for car in &report.storm.cars {
            let card = report.rates.card_of(car.vehicle.payer);
            for count in &car.panels {
                let Ok(sorted) = card.sort_dents(count) else {
                    continue;
                };
                for (class, dents) in card.sizes.iter().zip(&sorted.by_class) {
                    if let Some(size) = sizes.iter_mut().find(|size| size.0 == class.name) {
                        size.1 += u64::from(*dents);
                        size.2 += u64::from(*dents > 0);
                    }
                }
                let big: u64 = sorted.oversize.iter().map(|of| u64::from(of.dents)).sum();
                oversize += big;
                oversize_panels += u64::from(big > 0);
            }
        }
        let mut table = Table::new("Dents by size")
            .words("size", 0)
            .figures("dents", 0)
            .figures("on panels", 0);
        for (name, dents, panels) in sizes.iter().filter(|size| size.1 > 0) {
            table.row(vec![
                (*name).into(),
                dents.to_string().into(),
                panels.to_string().into(),
            ]);
        }
        if oversize > 0 {
            table.row(vec![
                "oversize".into(),
                oversize.to_string().into(),
                oversize_panels.to_string().into(),
            ]);
        }
        if !table.rows.is_empty() {
            let all = oversize + sizes.iter().map(|size| size.1).sum::<u64>();
            table.sums(vec!["all".into(), all.to_string().into(), "".into()]);
            blocks.push(Block::Table(table));
        }
    }

    fn spreads(&self, blocks: &mut Vec<Block>) {
        let pictures = price_distribution(self.report);
        if pictures.is_empty() {
            return;
        }
        blocks.push(Block::Heading("How the prices spread".to_owned()));
        blocks.extend(pictures.into_iter().map(Block::Picture));
        let currency = self.report.storm.currency;
        let mut table = Table::new("Totals of priced cars")
            .words("by", 1)
            .words("", 0)
            .figures("cars", 3)
            .figures("10th percentile", 2)
            .figures("median", 0)
            .figures("90th percentile", 2)
            .figures("largest", 0);
        for spread in &self.report.totals.spreads {
            let (by, key) = self.report.key(spread.by);
            let percentile = |value| Cell::from(currency.grouped_statistic(value));
            table.row(vec![
                by.into(),
                key.into(),
                spread.cars.to_string().into(),
                percentile(spread.percentiles[0]),
                percentile(spread.percentiles[1]),
                percentile(spread.percentiles[2]),
                currency.grouped(spread.largest).into(),
            ]);
        }
        blocks.push(Block::Table(table));
    }

    fn cars(&self, blocks: &mut Vec<Block>) {
        let report = self.report;
        let currency = report.storm.currency;
        let mut table = Table::new("Cars in lot order")
            .words("stock", 0)
            .words("vehicle", 9)
            .words("payer", 5)
            .words("status", 3)
            .figures("panels", 7)
            .figures("dents", 2)
            .figures("oversize", 8)
            .figures("referred", 6)
            .figures("total", 0)
            .figures("payer pays", 4)
            .figures("owner pays", 4)
            .words("flags", 1);
        table.long = true;
        for (index, (car, priced)) in report
            .storm
            .cars
            .iter()
            .zip(&report.priced.cars)
            .enumerate()
        {
            let vehicle = &car.vehicle;
            let what = format!("{} {} {}", vehicle.year, vehicle.make, vehicle.model);
            let what: Vec<&str> = what.split_whitespace().collect();
            let mut row: Vec<Cell> = vec![
                self.stock(index),
                what.join(" ").into(),
                report.storm.payers[vehicle.payer].name.as_str().into(),
                priced.status.word().into(),
            ];
            if priced.status == Status::Uncounted {
                row.resize(12, Cell::default());
            } else {
                let counts = CarCounts::of(&priced.panels);
                row.extend(
                    [
                        counts.panels,
                        counts.dents,
                        counts.oversize,
                        counts.referred,
                    ]
                    .map(|count| Cell::from(count.to_string())),
                );
                row.push(sum_text(currency, priced.total()).into());
                row.push(optional_text(currency, priced.payer_pays).into());
                row.push(optional_text(currency, priced.owner_pays).into());
                row.push(
                    match priced.total_loss {
                        Some(TotalLossFlag::Reached) => "total loss",
                        Some(TotalLossFlag::Unknown) => "total loss not known yet",
                        None => "",
                    }
                    .into(),
                );
            }
            table.row(row);
        }
        blocks.push(Block::Heading("Every car".to_owned()));
        blocks.push(Block::Table(table.without_empty_columns()));
    }
}

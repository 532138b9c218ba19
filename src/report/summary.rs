//! The storm on a terminal, and as `summary.txt`.

use super::pages::{optional_text, sum_text};
use super::sum_report::SumReport;
use super::terminal::{TextTable, Width};
use crate::money::Money;
use crate::pricing::{CarSums, GroupSum, Status, TOTAL_LOSS_CAUTION, TotalLossFlag};
use crate::storm::Group;
use crate::totals::{By, TotalsRow};

/// What of a storm is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PriceShown {
    /// The car table, then the totals.
    CarsAndTotals,
    /// What needs a decision, then the totals.
    DecisionsAndTotals,
}

/// The storm as text.
#[must_use]
pub fn storm_summary(report: &SumReport<'_>, shown: PriceShown, width: Width) -> String {
    let mut text = String::new();
    let summary = Summary { report, width };
    summary.head(&mut text);
    match shown {
        PriceShown::CarsAndTotals => summary.cars(&mut text),
        PriceShown::DecisionsAndTotals => summary.decisions(&mut text),
    }
    summary.totals(&mut text);
    text
}

/// The most cars of a table on a terminal: a full lot. Nobody scrolls through a region.
const MOST_CARS: usize = 3_000;

struct Summary<'s, 'a> {
    report: &'s SumReport<'a>,
    width: Width,
}

impl Summary<'_, '_> {
    fn money(&self, amount: Money) -> String {
        self.report.storm.currency.grouped(amount)
    }

    fn sum(&self, sum: GroupSum) -> String {
        sum_text(self.report.storm.currency, sum)
    }

    fn optional(&self, amount: Option<Money>) -> String {
        optional_text(self.report.storm.currency, amount)
    }

    fn head(&self, text: &mut String) {
        let storm = self.report.storm;
        let totals = self.report.totals;
        let date = storm
            .date
            .map_or_else(String::new, |date| format!(", hail of {date}"));
        let head = format!(
            "{}{date}: {} of {} counted, amounts in {}{}",
            storm.name,
            totals.counted,
            totals.listed,
            storm.currency.code(),
            self.without()
        );
        self.wrapped(text, &head);
        for (payer, tier) in self.report.sums.tiers.iter().enumerate() {
            if let Some(tier) = tier {
                let said = format!(
                    "{}: {} cars with a priced panel, lot discount {} on dents (from {} cars)",
                    storm.payers[payer].name,
                    self.report.sums.priced_cars[payer],
                    tier.percent,
                    tier.cars_at_least
                );
                self.wrapped(text, &said);
            }
        }
        text.push('\n');
    }

    /// ` without N cars` where bad cars were left out.
    fn without(&self) -> String {
        match self.report.left_out.len() {
            0 => String::new(),
            1 => ", without 1 car".to_owned(),
            cars => format!(", without {cars} cars"),
        }
    }

    fn cars(&self, text: &mut String) {
        let cars = self.report.sums.cars.len();
        if cars > MOST_CARS {
            let said = format!(
                "{cars} cars: more than the {MOST_CARS} that a table here has; `--out` writes every car to cars.csv"
            );
            self.wrapped(text, &said);
            text.push('\n');
            return;
        }
        let mut table = TextTable::new()
            .words("stock", 0)
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
        for car in &self.report.sums.cars {
            let mut row = vec![
                car.stock.to_string(),
                self.report.storm.payers[car.payer as usize].name.clone(),
                car.status.word().to_owned(),
            ];
            if car.is_counted() {
                let counts = car.counts;
                row.extend(
                    [
                        counts.panels,
                        counts.dents,
                        counts.oversize,
                        counts.referred,
                    ]
                    .map(|count| count.to_string()),
                );
                let currency = self.report.storm.currency;
                row.push(self.sum(car.amounts.total(currency)));
                row.push(self.optional(car.amounts.payer_pays(currency)));
                row.push(self.optional(car.amounts.owner_pays(currency)));
                row.push(car.total_loss.map_or("", |flag| flag.word()).to_owned());
            } else {
                row.resize(11, String::new());
            }
            table.row(row);
        }
        text.push_str(&table.render(self.width));
        text.push('\n');
    }

    /// What somebody has to decide: quotes, total-loss flags, cars not counted.
    fn decisions(&self, text: &mut String) {
        let cars = &self.report.sums.cars;
        let stocks = |wanted: &dyn Fn(&CarSums) -> bool| -> Vec<&str> {
            let wanted = cars.iter().filter(|car| wanted(car));
            wanted.map(|car| car.stock.as_str()).collect()
        };
        let quotes = stocks(&|car| car.status == Status::Quote);
        let referred = stocks(&|car| car.counts.referred > 0);
        let flagged = |flag| stocks(&|car| car.total_loss == Some(flag));
        let losses = flagged(TotalLossFlag::Reached);
        let unknown = flagged(TotalLossFlag::Unknown);
        let any_loss = !losses.is_empty() || !unknown.is_empty();
        let uncounted = stocks(&|car| !car.is_counted());
        let mut any = false;
        for (what, stocks) in [
            ("need a written quote", quotes),
            ("have a panel for conventional repair", referred),
            ("reach the total-loss threshold", losses),
            ("may reach it, while a quote is open", unknown),
            ("are not counted yet", uncounted),
        ] {
            if stocks.is_empty() {
                continue;
            }
            any = true;
            let verb = if stocks.len() == 1 {
                singular(what)
            } else {
                what.to_owned()
            };
            let word = if stocks.len() == 1 { "car" } else { "cars" };
            let list = format!("{} {word} {verb}: {}", stocks.len(), stocks.join(", "));
            self.wrapped(text, &list);
        }
        if any_loss {
            self.wrapped(text, TOTAL_LOSS_CAUTION);
        }
        if any {
            text.push('\n');
        }
    }

    fn wrapped(&self, text: &mut String, line: &str) {
        super::plain::wrap_into(text, line, self.width, "  ");
    }

    fn totals(&self, text: &mut String) {
        let mut table = TextTable::new()
            .words("by", 1)
            .words("", 0)
            .figures("cars", 2)
            .figures("quotes", 6)
            .figures("panels", 9)
            .figures("dents", 5)
            .figures("oversize", 10)
            .figures("for dents", 4)
            .figures("R&I", 7)
            .figures("parts", 8)
            .figures("extra", 8)
            .figures("conventional", 8)
            .figures("tax", 8)
            .figures("total", 0)
            .figures("payer pays", 3)
            .figures("owner pays", 3);
        let rows = &self.report.totals.rows;
        // The storm's row closes the table, as people add up.
        for row in rows.iter().skip(1).chain(rows.first()) {
            table.row(self.total_cells(row));
        }
        text.push_str(&table.render(self.width));
        text.push('\n');
        let mut spreads = TextTable::new()
            .words("priced cars by", 1)
            .words("", 0)
            .figures("cars", 3)
            .figures("10th percentile", 2)
            .figures("median", 0)
            .figures("90th percentile", 2)
            .figures("largest", 0);
        for spread in &self.report.totals.spreads {
            let (by, key) = self.report.key(spread.by);
            let percentile = |value| self.report.storm.currency.grouped_statistic(value);
            spreads.row(vec![
                by.to_owned(),
                key.to_owned(),
                spread.cars.to_string(),
                percentile(spread.percentiles[0]),
                percentile(spread.percentiles[1]),
                percentile(spread.percentiles[2]),
                self.money(spread.largest),
            ]);
        }
        if !self.report.totals.spreads.is_empty() {
            text.push_str(&spreads.render(self.width));
        }
    }

    fn total_cells(&self, row: &TotalsRow) -> Vec<String> {
        let (by, key) = self.report.key(row.by);
        let (by, key) = match row.by {
            By::Storm => ("total".to_owned(), format!("storm{}", self.without())),
            _ => (by.to_owned(), key.to_owned()),
        };
        let mut cells = vec![
            by,
            key,
            row.cars.to_string(),
            row.quotes.to_string(),
            row.panels.to_string(),
            row.dents.to_string(),
            row.oversize.to_string(),
        ];
        for group in Group::ALL {
            cells.push(self.sum(row.groups[group.index()]));
        }
        cells.push(self.sum(row.total()));
        cells.push(self.optional(row.payer_pays));
        cells.push(self.optional(row.owner_pays));
        cells
    }
}

fn singular(plural: &str) -> String {
    let (verb, rest) = plural.split_once(' ').unwrap_or((plural, ""));
    let verb = match verb {
        "have" => "has".to_owned(),
        "are" => "is".to_owned(),
        "may" => "may".to_owned(),
        "reach" => "reaches".to_owned(),
        verb => format!("{verb}s"),
    };
    format!("{verb} {rest}")
}

//! What the whole lot comes to, by the cars counted so far.

use super::lot_picture::totals_by_stratum;
use super::{hail_text, sender_lines};
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::lot_report::LotReport;
use crate::report::lot_words::{lot_cautions, lot_notes};
use crate::sampling::{Figure, Measure, MeasureEstimate};
use crate::storm::LotSource;

/// The estimate's page.
#[must_use]
pub fn lot_page(report: &LotReport<'_>) -> Document {
    let page = LotPage { report };
    let mut blocks = vec![Block::Facts(page.facts())];
    for text in lot_cautions(report) {
        blocks.push(Block::Caution {
            about: "the sample".to_owned(),
            text,
        });
    }
    if report.estimate.counted() > 0 {
        blocks.push(Block::Table(page.whole()));
        blocks.extend(lot_notes(report).into_iter().map(Block::Text));
        blocks.push(Block::Table(page.by_stratum()));
        blocks.extend(totals_by_stratum(report).into_iter().map(Block::Picture));
        if report.estimate.payers.len() > 1 {
            blocks.push(Block::Table(page.by_payer()));
        }
        blocks.extend(page.removals().map(Block::Table));
        page.others(&mut blocks);
    }
    Document {
        title: format!(
            "{}: the whole lot{}",
            report.storm.name,
            hail_text(report.storm)
        ),
        sender: sender_lines(&report.storm.sender),
        number: String::new(),
        blocks,
    }
}

struct LotPage<'a> {
    report: &'a LotReport<'a>,
}

impl LotPage<'_> {
    fn facts(&self) -> Vec<(&'static str, String)> {
        let (estimate, lot) = (self.report.estimate, self.report.lot);
        let mut facts = vec![
            (
                "counted",
                format!("{} of {} cars", estimate.counted(), estimate.cars()),
            ),
            (
                "cars by",
                match &lot.source {
                    LotSource::File(path) => path.clone(),
                    LotSource::List => "the vehicle list".to_owned(),
                    LotSource::Counts => "the count sheets".to_owned(),
                },
            ),
        ];
        if let Some(column) = lot.column {
            facts.push(("strata by", column.to_owned()));
        }
        if !lot.picked.is_empty() {
            facts.push(("picked", lot.picked.clone()));
        }
        facts.push(("amounts in", self.report.storm.currency.code().to_owned()));
        facts
    }

    /// A caption, with what no figure under it holds.
    fn caption(&self, what: &str) -> String {
        match self.report.without() {
            Some(without) => format!("{what}, {without}"),
            None => what.to_owned(),
        }
    }

    /// Estimate, standard error, df, low, high.
    fn cells(&self, measure: Measure, figure: Option<&Figure>) -> [Cell; 5] {
        let shown = |value: Option<f64>| -> Cell {
            value
                .map_or_else(String::new, |value| self.report.shown(measure, value))
                .into()
        };
        let ends = figure.and_then(|figure| figure.interval);
        let df = figure.map_or_else(String::new, |figure| {
            if figure.df.fract() == 0.0 {
                format!("{}", figure.df)
            } else {
                format!("{:.2}", figure.df)
            }
        });
        [
            shown(figure.map(|figure| figure.total)),
            shown(figure.and_then(|figure| figure.error)),
            df.into(),
            shown(ends.map(|ends| ends.0)),
            shown(ends.map(|ends| ends.1)),
        ]
    }

    fn table(&self, caption: &str, first: &str) -> Table {
        Table::new(self.caption(caption)).words(first, 0)
    }

    fn figures(table: Table) -> Table {
        table
            .figures("estimate", 0)
            .figures("standard error", 4)
            .figures("df", 5)
            .figures("low", 1)
            .figures("high", 1)
    }

    /// The measures of the whole, removals apart.
    fn whole(&self) -> Table {
        let report = self.report;
        let mut table = Self::figures(self.table("What the whole lot comes to", "what"));
        for made in self.plain_measures() {
            let mut row: Vec<Cell> = vec![report.word(made.measure).into()];
            row.extend(self.cells(made.measure, report.whole(made)));
            table.row(row);
            if let (Some(ratio), Some(helper)) = (&made.ratio, &report.lot.helper) {
                let name = format!("{}, by {}", report.word(made.measure), helper.column);
                let mut row: Vec<Cell> = vec![name.into()];
                row.extend(self.cells(made.measure, Some(&ratio.whole)));
                table.row(row);
            }
        }
        table
    }

    fn plain_measures(&self) -> impl Iterator<Item = &MeasureEstimate> {
        let all = self.report.estimate.measures.iter();
        all.filter(|made| !matches!(made.measure, Measure::Removal(_)))
    }

    /// The total price by stratum, and how many more to count.
    fn by_stratum(&self) -> Table {
        let (report, estimate) = (self.report, self.report.estimate);
        let table = self
            .table("Total by stratum", "stratum")
            .figures("of", 3)
            .figures("counted", 2);
        let mut table = Self::figures(table).figures("count more", 2);
        let more = report.more().filter(|_| !estimate.is_whole());
        let more_of = |more: Option<u64>| more.map_or_else(String::new, |more| more.to_string());
        let Some(total) = estimate.measures.first() else {
            return table;
        };
        let strata = estimate.strata.iter().zip(&total.total.strata).enumerate();
        for (at, (stratum, found)) in strata {
            let mut row: Vec<Cell> = vec![
                stratum.name.as_str().into(),
                stratum.cars.to_string().into(),
                stratum.counted().to_string().into(),
            ];
            row.extend(self.cells(total.measure, found.figure.as_ref()));
            row.push(more_of(more.as_ref().map(|more| more[at])).into());
            table.row(row);
        }
        let mut sums: Vec<Cell> = vec![
            report.whole_word().into(),
            estimate.cars_estimated().to_string().into(),
            estimate.counted().to_string().into(),
        ];
        sums.extend(self.cells(total.measure, report.whole(total)));
        sums.push(more_of(more.map(|more| more.iter().sum())).into());
        table.sums(sums);
        table.without_empty_columns()
    }

    fn by_payer(&self) -> Table {
        let (report, estimate) = (self.report, self.report.estimate);
        let mut table = Self::figures(self.table("Total by payer", "payer").figures("counted", 2));
        let Some(total) = estimate.measures.first() else {
            return table;
        };
        for (at, figure) in total.by_payer.iter().enumerate() {
            let counted = estimate.payers[at].counted;
            let mut row: Vec<Cell> = vec![report.payer(at).into(), counted.to_string().into()];
            row.extend(self.cells(total.measure, figure.as_ref()));
            table.row(row);
        }
        let counted = estimate.counted().to_string();
        let mut sums: Vec<Cell> = vec![report.whole_word().into(), counted.into()];
        sums.extend(self.cells(total.measure, report.whole(total)));
        table.sums(sums);
        table
    }

    /// How often each removal is done.
    fn removals(&self) -> Option<Table> {
        let report = self.report;
        let mut table = Self::figures(self.table("Removals, how often", "what"));
        for made in &report.estimate.measures {
            if matches!(made.measure, Measure::Removal(_)) {
                let mut row: Vec<Cell> = vec![report.word(made.measure).into()];
                row.extend(self.cells(made.measure, report.whole(made)));
                table.row(row);
            }
        }
        (!table.rows.is_empty()).then_some(table)
    }

    /// What is not the total price, by stratum and payer.
    fn others(&self, blocks: &mut Vec<Block>) {
        let (report, estimate) = (self.report, self.report.estimate);
        if estimate.strata.len() < 2 && estimate.payers.len() < 2 {
            return;
        }
        blocks.push(Block::Heading(
            "Other figures by stratum and payer".to_owned(),
        ));
        let found = |made: &&MeasureEstimate| made.total.whole.total != 0.0;
        for made in self.plain_measures().skip(1).filter(found) {
            let caption = format!("{} by stratum and payer", report.word(made.measure));
            let mut table = Self::figures(self.table(&caption, "of"));
            let mut row = |name: String, figure: Option<&Figure>| {
                let mut row: Vec<Cell> = vec![name.into()];
                row.extend(self.cells(made.measure, figure));
                table.row(row);
            };
            if estimate.strata.len() > 1 {
                for (stratum, found) in estimate.strata.iter().zip(&made.total.strata) {
                    row(stratum.name.clone(), found.figure.as_ref());
                }
            }
            if estimate.payers.len() > 1 {
                for (at, figure) in made.by_payer.iter().enumerate() {
                    row(format!("payer {}", report.payer(at)), figure.as_ref());
                }
            }
            let mut sums: Vec<Cell> = vec![report.whole_word().into()];
            sums.extend(self.cells(made.measure, report.whole(made)));
            table.sums(sums);
            blocks.push(Block::Table(table));
        }
    }
}

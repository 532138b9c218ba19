//! A report of one page with its numbers as a table: the same four files of every
//! such report.

use super::handouts::{FILE_WIDTH, Handout, write_pdf};
use super::output::Stop;
use crate::money::Currency;
use crate::report::document::Document;
use crate::report::html::{Step, page};
use crate::report::pages::IndexEntry;
use crate::report::pdf::Paper;
use crate::report::{Grid, ReportFolder, document_text, to_csv};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// `STEM.html`, `STEM.pdf`, `STEM.txt` and `STEM.csv`, and what they are, as the
/// index has them.
pub struct PageFiles {
    /// What their names begin with.
    pub stem: &'static str,
    /// What the page is.
    pub page: &'static str,
    /// What the table is.
    pub table: &'static str,
}

/// The odds of the date.
pub const FORECAST: PageFiles = PageFiles {
    stem: "forecast",
    page: "the odds of the date: when all is done, which promises hold, cars finished each day",
    table: "cars finished by the end of each working day, at five odds",
};
/// Crews of other sizes.
pub const STAFF: PageFiles = PageFiles {
    stem: "staff",
    page: "the crew to bring: days, odds and cost by crew size",
    table: "a row for every crew that was compared",
};
/// The whole lot from the cars counted so far.
pub const LOT: PageFiles = PageFiles {
    stem: "lot",
    page: "the whole lot by the cars counted so far, and how sure that is; for yourself",
    table: "every figure of it by stratum and payer",
};

/// What was decided, billed and received.
pub const RECEIVABLES: PageFiles = PageFiles {
    stem: "receivables",
    page: "what was decided, billed and received, what is open and since when; for yourself",
    table: "a row for every car, from its price to what is open",
};

/// The storm's close.
pub const CLOSE: PageFiles = PageFiles {
    stem: "close",
    page: "what the storm earned, cost and leaves, and the hours it took; for yourself",
    table: "every figure of it",
};

/// What such files are made of.
pub struct PageContent<'a> {
    /// The page.
    pub document: Document,
    /// Its numbers.
    pub table: Grid<'a>,
    /// That amounts in the table are of.
    pub currency: Currency,
    /// The day of the PDF.
    pub day: Option<Date>,
}

impl PageFiles {
    /// The files of a kind, in the index's order.
    fn files(&self) -> [(Handout, String, &'static str); 4] {
        let name = |ending: &str| format!("{}.{ending}", self.stem);
        [
            (Handout::Html, name("html"), self.page),
            (Handout::Pdf, name("pdf"), "the same, to print or keep"),
            (Handout::Text, name("txt"), "the same as plain text"),
            (Handout::Tables, name("csv"), self.table),
        ]
    }

    /// Writes what is wanted; what of it the index is to list. `steps` lead from
    /// the page to what it belongs to.
    pub fn write(
        &self,
        folder: &ReportFolder,
        content: &PageContent<'_>,
        steps: &[Step],
        wanted: &BTreeSet<Handout>,
        paper: Paper,
    ) -> Result<Vec<IndexEntry>, Stop> {
        let document = &content.document;
        let mut entries = Vec::new();
        for (kind, path, what) in self.files() {
            if !wanted.contains(&kind) {
                continue;
            }
            match kind {
                Handout::Html => folder.write(&path, page(document, steps)?.as_bytes())?,
                Handout::Pdf => write_pdf(folder, self.stem, document, paper, content.day)?,
                Handout::Text => {
                    folder.write(&path, document_text(document, FILE_WIDTH).as_bytes())?;
                }
                Handout::Tables | Handout::Xlsx => {
                    folder.write(&path, &to_csv(&content.table, content.currency))?;
                }
            }
            entries.push(IndexEntry { path, what });
        }
        Ok(entries)
    }

    /// Files of it that lie there and were not written this time, when these kinds
    /// were, or none at all.
    pub fn stale(&self, folder: &ReportFolder, written: Option<&BTreeSet<Handout>>) -> Vec<String> {
        let files = self.files().into_iter();
        let not_written =
            files.filter(|(kind, _, _)| written.is_none_or(|written| !written.contains(kind)));
        not_written
            .map(|(_, path, _)| path)
            .filter(|path| folder.path().join(path).exists())
            .collect()
    }
}

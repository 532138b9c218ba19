//! The way into a report folder: what lies in it, and what was found wrong.

use super::sender_lines;
use crate::intake::Problems;
use crate::report::document::{Block, Cell, Document, Table};
use crate::storm::Storm;

/// Problems that are listed; problems.txt has them all.
const PROBLEMS_SHOWN: usize = 500;

/// One file of the folder.
#[derive(Debug, Clone)]
pub struct IndexEntry {
    /// Its path from the index.
    pub path: String,
    /// What it is and for whom.
    pub what: &'static str,
}

/// The index of a report folder.
#[must_use]
pub fn index_page(storm: &Storm, entries: &[IndexEntry], problems: &Problems) -> Document {
    let mut table = Table::new("What lies here")
        .words("file", 0)
        .words("what it is", 0);
    for entry in entries {
        table.row(vec![Cell::to(&entry.path, &entry.path), entry.what.into()]);
    }
    let mut blocks = vec![Block::Table(table)];
    let sorted = problems.sorted();
    if !sorted.is_empty() {
        blocks.push(Block::Heading("What was found in the files".to_owned()));
        let mut table = Table::new("Problems of the inputs, in file order")
            .words("kind", 0)
            .words("where and what", 0);
        table.long = true;
        for problem in sorted.iter().take(PROBLEMS_SHOWN) {
            let said = problem.to_string();
            let word = problem.severity.word();
            let rest = said
                .strip_prefix(word)
                .map_or(said.as_str(), |rest| rest.trim_start_matches(": "));
            table.row(vec![word.into(), rest.into()]);
        }
        blocks.push(Block::Table(table));
        let more = sorted.len().saturating_sub(PROBLEMS_SHOWN);
        if more > 0 {
            blocks.push(Block::Text(format!(
                "and {more} more: problems.txt has them all"
            )));
        }
    }
    Document {
        title: format!("{}: reports", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

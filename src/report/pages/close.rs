//! The storm's close on one page.

use super::receivables::BILL_CAUTION;
use super::split::PAY_CAUTION;
use super::{cars_text, hail_text, sender_lines};
use crate::crew::{HoursBook, HoursSum, WorkOf};
use crate::money::Money;
use crate::report::close_report::{CloseReport, hours_shown};
use crate::report::document::{Block, Cell, Document, Table};

/// The page.
#[must_use]
pub fn close_page(report: &CloseReport<'_>) -> Document {
    let storm = report.input.storm;
    let text = |amount: Money| storm.currency.grouped(amount);
    let earned = report.earned();
    let mut facts = vec![
        ("storm", format!("{}{}", storm.name, hail_text(storm))),
        ("on", report.bills.on.to_string()),
        ("priced", text(earned.priced)),
        ("received", text(earned.received)),
        ("stays", text(report.stays()[0].1)),
        ("amounts in", storm.currency.code().to_owned()),
    ];
    if !report.bills.left_out.is_empty() {
        facts.push(("without", cars_text(report.bills.left_out.len())));
    }
    let mut blocks = vec![Block::Facts(facts)];
    blocks.push(Block::Table(sums(report)));
    hours(report, &mut blocks);
    blocks.push(Block::Caution {
        about: "taxes and pay law".to_owned(),
        text: format!("{BILL_CAUTION} {PAY_CAUTION}"),
    });
    Document {
        title: format!("{}: close", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

/// What came in and what stays on the left, what it costs on the right: all of a
/// close is to stand on one page.
fn sums(report: &CloseReport<'_>) -> Table {
    let currency = report.input.storm.currency;
    let row = |what: &str, amount: Money| (what.to_owned(), currency.grouped(amount));
    let earned = report.earned();
    let mut left = vec![row("priced", earned.priced)];
    let taken_off = earned.not_billable.iter();
    for (what, amount) in taken_off.filter(|(_, amount)| !amount.is_zero()) {
        left.push(row(&format!("less: {what}"), -*amount));
    }
    left.push(row("can be billed", earned.billable));
    if earned.billable != earned.billed {
        left.push(row("less: not billed yet", earned.billed - earned.billable));
    }
    left.push(row("billed", earned.billed));
    left.push(row("less: open", -earned.open()));
    left.push(row("received", earned.received));
    let costs = report.costs();
    let mut right: Vec<(String, String)> = costs
        .iter()
        .filter(|(_, amount)| !amount.is_zero())
        .map(|(what, amount)| row(what, *amount))
        .collect();
    right.push(row(
        "together",
        costs.iter().map(|(_, amount)| *amount).sum(),
    ));
    for (what, amount) in report.stays() {
        left.push(row(&format!("stays, {what}"), amount));
    }
    let mut table = Table::new("What it earned and leaves, and what it costs")
        .words("earned, stays", 0)
        .figures("amount", 0)
        .words("costs", 0)
        .figures("amount", 0);
    let rows = left.len().max(right.len());
    for at in 0..rows {
        let (what, amount) = left.get(at).cloned().unwrap_or_default();
        let (cost, of_cost) = right.get(at).cloned().unwrap_or_default();
        table.row(vec![
            what.into(),
            amount.into(),
            cost.into(),
            of_cost.into(),
        ]);
    }
    table
}

fn hours(report: &CloseReport<'_>, blocks: &mut Vec<Block>) {
    let Some(book) = report.hours else {
        return;
    };
    let table = |caption: &str, of: &str| {
        Table::new(caption)
            .words(of, 0)
            .figures("tasks", 1)
            .figures("estimated h", 0)
            .figures("logged h", 0)
            .figures("logged / estimated", 1)
            .figures("other h", 2)
    };
    let row = |name: &str, of: &HoursSum| -> Vec<Cell> {
        vec![
            name.into(),
            of.tasks.to_string().into(),
            hours_shown(of.estimated).into(),
            hours_shown(of.logged).into(),
            ratio_shown(of).into(),
            hours_shown(of.beside).into(),
        ]
    };
    let total = book.total();
    let mut people = table("Hours of finished work by person", "person");
    for (person, of) in report.input.log.people.iter().zip(&book.people) {
        people.row(row(&person.name, of));
    }
    people.sums(row("together", &total));
    blocks.push(Block::Table(people));
    blocks.push(Block::Table(kinds(book)));
    blocks.push(Block::Text(
        "Estimated: by [time], one person at speed 1.0. Other hours: on unfinished work, on what has \
         no price, waiting, travel. What stays is before parts and material that the house bought, \
         travel, and all else that no file here names."
            .to_owned(),
    ));
}

/// Panels and stages in two columns.
fn kinds(book: &HoursBook) -> Table {
    let cells = |(kind, of): (&WorkOf, &HoursSum)| -> [Cell; 4] {
        [
            kind.word().into(),
            hours_shown(of.estimated).into(),
            hours_shown(of.logged).into(),
            ratio_shown(of).into(),
        ]
    };
    let all: Vec<[Cell; 4]> = book.kinds.iter().map(cells).collect();
    let (left, right) = all.split_at(all.len().div_ceil(2));
    let mut table = Table::new("Hours of finished work by panel and stage");
    for _ in 0..2 {
        table = table
            .words("panel, stage", 0)
            .figures("estimated h", 0)
            .figures("logged h", 0)
            .figures("logged / estimated", 1);
    }
    for (at, row) in left.iter().enumerate() {
        let mut row = row.to_vec();
        row.extend(right.get(at).cloned().unwrap_or_default());
        table.row(row);
    }
    table
}

fn ratio_shown(of: &HoursSum) -> String {
    of.ratio()
        .map_or_else(String::new, |ratio| format!("{:.2}", ratio.round_dp(2)))
}

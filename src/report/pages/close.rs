//! The storm's close on one page.

use super::receivables::BILL_CAUTION;
use super::split::PAY_CAUTION;
use super::{cars_text, hail_text, sender_lines};
use crate::crew::HoursSum;
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
    let row = |what: &str, amount: Money| vec![what.into(), text(amount).into()];
    let table = |caption: &str| Table::new(caption).words("what", 0).figures("amount", 0);

    let mut earnings = table("What it earned, from the price to what came in");
    earnings.row(row("priced", earned.priced));
    for (what, amount) in &earned.not_billable {
        if !amount.is_zero() {
            earnings.row(row(&format!("less: {what}"), -*amount));
        }
    }
    earnings.row(row("can be billed", earned.billable));
    if earned.billable != earned.billed {
        earnings.row(row("less: not billed yet", earned.billed - earned.billable));
    }
    earnings.row(row("billed", earned.billed));
    earnings.row(row("less: open", -earned.open()));
    earnings.sums(row("received", earned.received));
    blocks.push(Block::Table(earnings));

    let mut costs = table("What it costs");
    let all = report.costs();
    for (what, amount) in &all {
        if !amount.is_zero() {
            costs.row(row(what, *amount));
        }
    }
    costs.sums(row("together", all.iter().map(|(_, amount)| *amount).sum()));
    blocks.push(Block::Table(costs));

    let mut stays = table("What stays with the house after these costs");
    for (what, amount) in report.stays() {
        stays.row(row(what, amount));
    }
    blocks.push(Block::Table(stays));
    blocks.push(Block::Text(
        "Parts and material that the house bought, travel and everything that no file here names \
         are still to come off."
            .to_owned(),
    ));
    hours(report, &mut blocks);
    for (about, said) in [("taxes and law", BILL_CAUTION), ("pay law", PAY_CAUTION)] {
        blocks.push(Block::Caution {
            about: about.to_owned(),
            text: said.to_owned(),
        });
    }
    Document {
        title: format!("{}: close", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
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
            of.ratio()
                .map_or_else(String::new, |ratio| format!("{:.2}", ratio.round_dp(2)))
                .into(),
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
    let mut kinds = table("Hours of finished work by panel and stage", "panel, stage");
    kinds.long = true;
    let mut beside = total;
    for (kind, of) in &book.kinds {
        beside.beside -= of.beside;
        kinds.row(row(kind.word(), of));
    }
    if !beside.beside.is_zero() {
        let waiting = HoursSum {
            beside: beside.beside,
            ..HoursSum::default()
        };
        kinds.row(row("(waiting, travel, left-out cars)", &waiting));
    }
    kinds.sums(row("together", &total));
    blocks.push(Block::Table(kinds));
    blocks.push(Block::Text(
        "Estimated: by [time], one person at speed 1.0. Logged above estimated by much and for \
         everyone says that [time] is short; for one person, that the stated speed is high. Other \
         hours: on unfinished work, on what has no price, waiting."
            .to_owned(),
    ));
}

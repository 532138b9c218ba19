//! One person's statement: what was earned of which car, what was added and
//! kept, what was handed over, and what is left. It names cars by their stock
//! only: an owner is no matter of a technician's.

use super::sender_lines;
use super::split::PAY_CAUTION;
use crate::money::{Currency, Money};
use crate::pay::{
    Awaiting, Entry, EntryKind, Period, Rate, SplitInput, Statement, StatementPeriod,
};
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::pay_tables::{hours_text, remark_text};
use crate::storm::{Panel, Person};
use jiff::ToSpan;

/// A part of a statement: its caption, and which entries are in it.
type Part = (&'static str, fn(EntryKind) -> bool);

/// The parts in their order. Every entry is in one of them.
const PARTS: [Part; 6] = [
    ("Work", |kind| kind == EntryKind::Work),
    ("By time", |kind| {
        matches!(kind, EntryKind::Hours | EntryKind::Car | EntryKind::Day)
    }),
    ("Done again", |kind| {
        matches!(kind, EntryKind::Redo | EntryKind::RedoCharge)
    }),
    ("Come in for earlier work", |kind| kind == EntryKind::CameIn),
    ("Guarantee, overtime, added and kept", |kind| {
        matches!(kind, EntryKind::Guarantee | EntryKind::Overtime)
            || matches!(kind, EntryKind::Paid(kind) if !kind.settles())
    }),
    ("Handed over", EntryKind::settles),
];

/// A statement's page, of the periods that are in it.
#[must_use]
pub fn statement_page(
    input: &SplitInput<'_>,
    statement: &Statement,
    awaiting: Option<&Awaiting>,
) -> Document {
    let storm = input.storm;
    let person = &input.log.people[statement.person];
    let page = StatementPage {
        people: &input.log.people,
        currency: storm.currency,
    };
    let mut facts = vec![
        ("storm", storm.name.clone()),
        ("person", person.name.clone()),
        ("paid", pay_text(person, storm.currency)),
        ("balance", page.money(statement.balance())),
    ];
    if let Some(awaiting) = awaiting {
        let awaited = page.money(awaiting.of_person(statement.person));
        facts.push(("earned and awaited", awaited));
    }
    facts.push(("amounts in", storm.currency.code().to_owned()));
    let mut blocks = vec![Block::Facts(facts)];
    if statement.periods.is_empty() {
        blocks.push(Block::Text("Nothing stands in it.".to_owned()));
    }
    for period in &statement.periods {
        page.period(period, &mut blocks);
    }
    if awaiting.is_some() {
        blocks.push(Block::Text(
            "Percentages are payable as money comes in for the car, in proportion to its price; \
             whole cents only, the rest once all has come in. Time, days and guarantees do not wait."
                .to_owned(),
        ));
    }
    blocks.push(Block::Text(
        "Reckoned from the whole log as it is now: where an old row was corrected, the carried \
         balance evens it out. A balance below zero is carried, never claimed."
            .to_owned(),
    ));
    blocks.push(Block::Caution {
        about: "pay law".to_owned(),
        text: PAY_CAUTION.to_owned(),
    });
    Document {
        title: format!("{}: statement of {}", storm.name, person.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

/// What a person is paid, in words of the crew list.
#[must_use]
pub fn pay_text(person: &Person, currency: Currency) -> String {
    let pay = &person.pay;
    let rates = [
        pay.percent.map(Rate::Percent),
        pay.per_hour.map(Rate::Hour),
        pay.per_car.map(Rate::Car),
        pay.per_day.map(Rate::Day),
    ];
    let mut terms: Vec<String> = vec![
        rates
            .into_iter()
            .flatten()
            .map(|rate| rate.text(currency))
            .collect::<Vec<String>>()
            .join(" + "),
    ];
    if let Some(least) = person.guarantee {
        terms.push(format!("at least {} a day", currency.grouped(least)));
    }
    terms.retain(|term| !term.is_empty());
    if terms.is_empty() {
        return "nothing agreed".to_owned();
    }
    terms.join(", ")
}

struct StatementPage<'a> {
    people: &'a [Person],
    currency: Currency,
}

impl StatementPage<'_> {
    fn money(&self, amount: Money) -> String {
        self.currency.grouped(amount)
    }

    fn period(&self, period: &StatementPeriod, blocks: &mut Vec<Block>) {
        let title = period_text(period.period);
        blocks.push(Block::Heading(title.clone()));
        let mut closing = Table::new(format!("{title}: balance"))
            .words("what", 0)
            .figures("amount", 0);
        closing.row(vec![
            "carried from before".into(),
            self.money(period.carried).into(),
        ]);
        for (caption, is_in) in PARTS {
            let entries: Vec<&Entry> = period
                .entries
                .iter()
                .filter(|entry| is_in(entry.kind))
                .collect();
            if entries.is_empty() {
                continue;
            }
            let sum = self.money(entries.iter().map(|entry| entry.amount).sum());
            blocks.push(Block::Table(self.part(caption, &entries, &sum)));
            closing.row(vec![caption.to_lowercase().into(), sum.into()]);
        }
        closing.sums(vec!["balance".into(), self.money(period.balance).into()]);
        blocks.push(Block::Table(closing));
    }

    fn part(&self, caption: &str, entries: &[&Entry], sum: &str) -> Table {
        let mut table = Table::new(caption)
            .words("date", 0)
            .words("what", 2)
            .words("stock", 0)
            .words("panel", 0)
            .figures("hours", 1)
            .figures("pool", 3)
            .figures("part", 3)
            .figures("rate", 1)
            .figures("amount", 0)
            .words("note", 4);
        for entry in entries {
            table.row(vec![
                entry.date.to_string().into(),
                what(entry).into(),
                entry.stock.as_deref().unwrap_or_default().into(),
                entry.panel.map_or("", Panel::word).into(),
                hours_text(entry).into(),
                self.optional(entry.pool),
                self.optional(entry.part),
                entry
                    .rate
                    .map_or(String::new(), |rate| rate.text(self.currency))
                    .into(),
                self.money(entry.amount).into(),
                remark_text(&entry.remark, self.people, self.currency).into(),
            ]);
        }
        let mut foot = vec![Cell::default(); 10];
        foot[0] = "together".into();
        foot[8] = sum.into();
        table.sums(foot);
        table.without_empty_columns()
    }

    fn optional(&self, amount: Option<Money>) -> Cell {
        amount.map_or_else(Cell::default, |amount| self.money(amount).into())
    }
}

/// What an entry is of: the kind, or for work the trade.
fn what(entry: &Entry) -> String {
    let trade = entry.trade.map(|trade| trade.word());
    match (entry.kind, trade) {
        (EntryKind::Work | EntryKind::Hours, Some(trade)) => trade.to_owned(),
        (EntryKind::RedoCharge, _) => "charge".to_owned(),
        (kind, _) => kind.word().to_owned(),
    }
}

/// A period for people.
pub fn period_text(period: Period) -> String {
    match period {
        Period::Week(monday) => match monday.checked_add(6.days()) {
            Ok(sunday) => format!("Monday {monday} to Sunday {sunday}"),
            Err(_) => format!("from Monday {monday}"),
        },
        Period::Storm => "The whole storm".to_owned(),
    }
}

//! Who gets what of the storm: the lead's page.

use super::period::parts;
use super::{below_zero, cars_text, hail_text, sender_lines};
use crate::money::Money;
use crate::pay::{
    EntryKind, PayKind, PayPeriod, PayableOn, RedoFrom, Split, SplitInput, Statement,
};
use crate::report::document::{Block, Cell, Document, Table};
use crate::report::pay_tables::HOUSE;
use crate::storm::{PaidKind, Panel};

/// Cars and panels that a list shows; pay.csv has them all.
const SHOWN: usize = 200;

/// What the house pays, or in the last row is paid.
const HOUSE_PAYS: [&str; 9] = [
    "percentages of them",
    "hours",
    "cars",
    "days",
    "work done again",
    "guarantees",
    "overtime",
    "allowances, lodging, bonuses",
    "charge-backs, to the house",
];

/// What pay needs a licensed adviser for.
pub const PAY_CAUTION: &str = "This is arithmetic on what was agreed and logged, not advice. Who \
    is an employee, what counts as pay, what may be kept from wages, minimum pay and what state \
    or local law adds are for a licensed adviser.";

/// What the overtime reckons, and what it does not.
const OVERTIME_CAUTION: &str = "Overtime is the half-time premium of the United States' 29 CFR \
    778.111 for people marked as employees, above 40 logged hours from Monday to Sunday. It is \
    reckoned on request only; whether it applies, and what else is owed, is for a licensed adviser.";

/// The split's page. `left_out` are cars that were not priced, `files` the
/// names of the statements where the page may lead to them.
#[must_use]
pub fn split_page(
    input: &SplitInput<'_>,
    split: &Split,
    left_out: usize,
    files: Option<&[String]>,
) -> Document {
    let page = SplitPage {
        input,
        split,
        files,
    };
    let storm = input.storm;
    let mut blocks = vec![Block::Facts(vec![
        ("storm", format!("{}{}", storm.name, hail_text(storm))),
        ("priced", page.money(split.totals.priced)),
        ("of", page.cars_said(left_out)),
        (
            "statements",
            match input.terms.period {
                PayPeriod::Week => "by the week, Monday to Sunday",
                PayPeriod::Storm => "for the storm as one",
            }
            .to_owned(),
        ),
        (
            "redo",
            match input.terms.redo {
                RedoFrom::Charge => "out of the first person's part",
                RedoFrom::House => "out of the house's",
            }
            .to_owned(),
        ),
        ("amounts in", storm.currency.code().to_owned()),
    ])];
    if input.terms.on == PayableOn::Received {
        blocks.push(Block::Text(
            "Percentages and shares are payable as money comes in for the car.".to_owned(),
        ));
    }
    page.house_below_zero(&mut blocks);
    blocks.push(Block::Heading("From the price to who gets it".to_owned()));
    blocks.push(Block::Table(page.flow()));
    page.house(&mut blocks);
    page.people(&mut blocks);
    page.unearned(&mut blocks);
    below_zero::list(split, storm, &mut blocks);
    blocks.push(Block::Caution {
        about: "pay law".to_owned(),
        text: PAY_CAUTION.to_owned(),
    });
    if input.terms.overtime {
        blocks.push(Block::Caution {
            about: "overtime".to_owned(),
            text: OVERTIME_CAUTION.to_owned(),
        });
    }
    Document {
        title: format!("{}: who gets what", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

struct SplitPage<'s, 'a> {
    input: &'s SplitInput<'a>,
    split: &'s Split,
    files: Option<&'s [String]>,
}

impl SplitPage<'_, '_> {
    fn money(&self, amount: Money) -> String {
        self.input.storm.currency.grouped(amount)
    }

    fn cars_said(&self, left_out: usize) -> String {
        let priced = self.input.priced.cars.iter();
        let cars = cars_text(priced.filter(|car| car.is_counted()).count());
        match left_out {
            0 => cars,
            left_out => format!("{cars}, without {}", cars_text(left_out)),
        }
    }

    /// Loudly, before anything else.
    fn house_below_zero(&self, blocks: &mut Vec<Block>) {
        let house = self.split.totals.house;
        if house < Money::ZERO {
            blocks.push(Block::Caution {
                about: "THE HOUSE IS BELOW ZERO".to_owned(),
                text: format!(
                    "it pays {} more than it gets of this storm. What it pays by time, guarantee, \
                     allowance and redo is below.",
                    self.money(-house)
                ),
            });
        }
        blocks.extend(below_zero::caution(self.split));
    }

    /// Every part of the price; the foot is the price.
    fn flow(&self) -> Table {
        let totals = &self.split.totals;
        let mut table = Table::new("What was priced, in parts that sum to it")
            .words("to", 0)
            .words("what", 1)
            .figures("amount", 0)
            .figures("on cars not all earned", 2);
        for (share, sum) in self.input.terms.shares.iter().zip(&self.split.shares) {
            table.row(vec![
                share.to.as_str().into(),
                format!("{} of {}", share.percent, share.of.said()).into(),
                self.money(sum.amount).into(),
                self.money(sum.on_unearned).into(),
            ]);
        }
        for (to, what, amount) in [
            (
                "the people",
                "percentages, time, guarantees, adjustments",
                totals.people,
            ),
            (
                HOUSE,
                "what is left, parts and extra among it",
                totals.house,
            ),
            (
                "nobody yet",
                "not yet earned",
                self.whole(|kind| kind == PayKind::Unearned),
            ),
        ] {
            table.row(vec![
                to.into(),
                what.into(),
                self.money(amount).into(),
                Cell::default(),
            ]);
        }
        if self.split.awaiting.is_some() {
            table.row(vec![
                format!("the people, {HOUSE}").into(),
                "awaited: the car's price has not come in yet".into(),
                self.money(self.awaited()).into(),
                Cell::default(),
            ]);
        }
        let conventional = self.whole(|kind| kind == PayKind::Conventional);
        if conventional != Money::ZERO {
            table.row(vec![
                self.input.terms.conventional.as_str().into(),
                "referred panels, passed through".into(),
                self.money(conventional).into(),
                Cell::default(),
            ]);
        }
        for (name, amount) in self.taxes() {
            table.row(vec![
                name.into(),
                "tax, passed through".into(),
                self.money(amount).into(),
                Cell::default(),
            ]);
        }
        table.sums(vec![
            "priced".into(),
            Cell::default(),
            self.money(totals.priced).into(),
            Cell::default(),
        ]);
        table
    }

    /// All rows of a kind, come in or awaited.
    fn whole(&self, is_meant: impl Fn(PayKind) -> bool) -> Money {
        let rows = self.split.rows.iter().filter(|row| is_meant(row.kind));
        rows.map(|row| row.amount).sum()
    }

    /// What the people and the house await; what shares, taxes and others await
    /// stands in their own rows.
    fn awaited(&self) -> Money {
        let rows =
            self.split.rows.iter().filter(|row| {
                row.awaits && matches!(row.kind, PayKind::Person(_) | PayKind::House)
            });
        rows.map(|row| row.amount).sum()
    }

    fn taxes(&self) -> Vec<(&str, Money)> {
        let mut taxes: Vec<(&str, Money)> = Vec::new();
        for row in &self.split.rows {
            let (PayKind::Tax(tax), Some(car)) = (row.kind, row.car) else {
                continue;
            };
            let payer = self.input.storm.cars[car].vehicle.payer;
            let name = self.input.rates.terms[payer].taxes[tax].name.as_str();
            match taxes.iter_mut().find(|(known, _)| *known == name) {
                Some((_, sum)) => *sum += row.amount,
                None => taxes.push((name, row.amount)),
            }
        }
        taxes
    }

    /// What the house gets and what it pays; the foot is the house's row above.
    fn house(&self, blocks: &mut Vec<Block>) {
        let mut gets = Money::ZERO;
        for car in &self.split.cars {
            let pools: Money = car
                .pools
                .iter()
                .map(|pool| pool.amount - pool.unearned)
                .sum();
            // A removal left without a pool is the house's.
            let has_removal = car.pool(None).is_some();
            let loose = if has_removal {
                Money::ZERO
            } else {
                car.top.removal
            };
            gets += pools + car.top.house + loose;
        }
        let mut by_kind = [Money::ZERO; HOUSE_PAYS.len()];
        for entry in self.split.statements.iter().flat_map(Statement::entries) {
            let at = match entry.kind {
                kind if kind.settles() => continue,
                EntryKind::Redo if self.input.terms.redo == RedoFrom::House => 4,
                EntryKind::Work | EntryKind::Redo | EntryKind::RedoCharge | EntryKind::CameIn => 0,
                EntryKind::Hours => 1,
                EntryKind::Car => 2,
                EntryKind::Day => 3,
                EntryKind::Guarantee => 5,
                EntryKind::Overtime => 6,
                EntryKind::Paid(PaidKind::ChargeBack) => 8,
                EntryKind::Paid(_) => 7,
            };
            by_kind[at] += entry.amount;
        }
        let mut table = Table::new("What the house gets, and what it pays")
            .words("what", 0)
            .figures("amount", 0);
        table.row(vec![
            "earned pools, parts and extra".into(),
            self.money(gets).into(),
        ]);
        if self.split.awaiting.is_some() {
            table.row(vec![
                "awaited: the car's price has not come in yet".into(),
                self.money(-self.awaited()).into(),
            ]);
        }
        for (said, amount) in HOUSE_PAYS.iter().zip(by_kind) {
            if amount != Money::ZERO {
                table.row(vec![(*said).into(), self.money(-amount).into()]);
            }
        }
        table.sums(vec![
            HOUSE.into(),
            self.money(self.split.totals.house).into(),
        ]);
        blocks.push(Block::Table(table));
    }

    /// A person's name, leading to the statement where there is one.
    fn person(&self, person: usize) -> Cell {
        let name = self.input.log.people[person].name.as_str();
        match self.files {
            // A file's own `%` is no escape of the link's.
            Some(files) => {
                let file = files[person].replace('%', "%25").replace(' ', "%20");
                Cell::to(name, format!("statements/{file}.html"))
            }
            None => name.into(),
        }
    }

    fn people(&self, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading("The people".to_owned()));
        if self.input.log.people.is_empty() {
            blocks.push(Block::Text(
                "There is no crew list beside storm.toml, so nothing is earned by anyone yet."
                    .to_owned(),
            ));
            return;
        }
        let mut table = Table::new("What each person has to get, and what is left of it")
            .words("person", 0)
            .words("paid", 4)
            .figures("percentages", 2)
            .figures("by time", 2)
            .figures("guarantee", 3)
            .figures("adjusted", 3)
            .figures("to get", 1)
            .figures("handed over", 1)
            .figures("balance", 0)
            .figures("awaited", 1);
        let mut sums = [Money::ZERO; 7];
        let mut awaited = Money::ZERO;
        let awaited_text = |amount: Money| match self.split.awaiting {
            Some(_) => self.money(amount),
            None => String::new(),
        };
        for statement in &self.split.statements {
            let person = &self.input.log.people[statement.person];
            let parts = parts(statement);
            for (sum, part) in sums.iter_mut().zip(parts) {
                *sum += part;
            }
            let mut row: Vec<Cell> = vec![
                self.person(statement.person),
                super::statement::pay_text(person, self.input.storm.currency).into(),
            ];
            row.extend(parts.map(|part| Cell::from(self.money(part))));
            let waits = self.awaited_by(statement.person);
            awaited += waits;
            row.push(awaited_text(waits).into());
            table.row(row);
        }
        let mut foot: Vec<Cell> = vec!["together".into(), Cell::default()];
        foot.extend(sums.map(|sum| Cell::from(self.money(sum))));
        foot.push(awaited_text(awaited).into());
        table.sums(foot);
        blocks.push(Block::Table(table.without_empty_columns()));
        if self
            .split
            .statements
            .iter()
            .any(|statement| statement.balance() < Money::ZERO)
        {
            blocks.push(Block::Text(
                "A balance below zero is carried to the next period; nobody is asked to pay it back."
                    .to_owned(),
            ));
        }
    }

    fn awaited_by(&self, person: usize) -> Money {
        let awaiting = self.split.awaiting.as_ref();
        awaiting.map_or(Money::ZERO, |awaiting| awaiting.of_person(person))
    }

    /// Cars with a pool, or a part of one, that no finished work stands against.
    fn unearned(&self, blocks: &mut Vec<Block>) {
        let waiting: Vec<usize> = (0..self.split.cars.len())
            .filter(|car| self.split.cars[*car].unearned() != Money::ZERO)
            .collect();
        if waiting.is_empty() {
            return;
        }
        blocks.push(Block::Heading("Not yet earned".to_owned()));
        let mut table = Table::new("Cars on which no finished work stands against some money")
            .words("stock", 0)
            .words("panels", 0)
            .figures("not yet earned", 0);
        table.long = true;
        let mut left = Money::ZERO;
        for (at, car) in waiting.iter().enumerate() {
            let split = &self.split.cars[*car];
            if at >= SHOWN {
                left += split.unearned();
                continue;
            }
            let panels: Vec<&str> = split
                .pools
                .iter()
                .filter(|pool| pool.unearned != Money::ZERO)
                .map(|pool| pool.panel.map_or("removal", Panel::word))
                .collect();
            let all = split.pools.iter().all(|pool| pool.unearned == pool.amount);
            table.row(vec![
                self.input.storm.cars[*car].vehicle.stock.as_str().into(),
                if all {
                    "the whole car".to_owned()
                } else {
                    panels.join(", ")
                }
                .into(),
                self.money(split.unearned()).into(),
            ]);
        }
        if waiting.len() > SHOWN {
            table.sums(vec![
                format!("{} more", cars_text(waiting.len() - SHOWN)).into(),
                Cell::default(),
                self.money(left).into(),
            ]);
        }
        table.sums(vec![
            cars_text(waiting.len()).into(),
            Cell::default(),
            self.money(self.whole(|kind| kind == PayKind::Unearned))
                .into(),
        ]);
        blocks.push(Block::Table(table));
    }
}

//! One period of everyone, side by side.

use super::sender_lines;
use super::split::PAY_CAUTION;
use super::statement::period_text;
use crate::money::Money;
use crate::pay::{EntryKind, Period, Split, SplitInput, Statement};
use crate::report::document::{Block, Cell, Document, Table};

/// One period of everyone: what was carried, what came, what is left.
/// The statements hold that period only.
#[must_use]
pub fn period_page(input: &SplitInput<'_>, split: &Split, period: Period) -> Document {
    let storm = input.storm;
    let money = |amount: Money| Cell::from(storm.currency.grouped(amount));
    let mut table = Table::new("Everyone who has an entry in it or a balance")
        .words("person", 0)
        .figures("carried", 1)
        .figures("percentages", 2)
        .figures("by time", 2)
        .figures("guarantee", 3)
        .figures("adjusted", 3)
        .figures("handed over", 1)
        .figures("balance", 0);
    let mut sums = [Money::ZERO; 7];
    for statement in split.statements.iter().filter(|one| {
        let period = one.periods.first();
        period.is_some_and(|period| !period.entries.is_empty() || period.balance != Money::ZERO)
    }) {
        let carried = statement.periods[0].carried;
        let [percentages, time, guarantee, adjusted, _, handed, balance] = parts(statement);
        let row = [
            carried,
            percentages,
            time,
            guarantee,
            adjusted,
            handed,
            balance,
        ];
        for (sum, part) in sums.iter_mut().zip(row) {
            *sum += part;
        }
        let name = input.log.people[statement.person].name.as_str();
        let mut cells: Vec<Cell> = vec![name.into()];
        cells.extend(row.map(money));
        table.row(cells);
    }
    let mut foot: Vec<Cell> = vec!["together".into()];
    foot.extend(sums.map(money));
    table.sums(foot);
    Document {
        title: format!("{}: {}", storm.name, period_text(period)),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks: vec![
            Block::Facts(vec![("amounts in", storm.currency.code().to_owned())]),
            Block::Table(table),
            Block::Caution {
                about: "pay law".to_owned(),
                text: PAY_CAUTION.to_owned(),
            },
        ],
    }
}

/// Percentages, time, guarantee and overtime, adjustments; what they sum to;
/// what was handed over; the balance.
pub fn parts(statement: &Statement) -> [Money; 7] {
    let mut parts = [Money::ZERO; 7];
    for entry in statement.entries() {
        let at = match entry.kind {
            EntryKind::Work | EntryKind::Redo | EntryKind::RedoCharge | EntryKind::CameIn => 0,
            EntryKind::Hours | EntryKind::Car | EntryKind::Day => 1,
            EntryKind::Guarantee | EntryKind::Overtime => 2,
            EntryKind::Paid(kind) if kind.settles() => 5,
            EntryKind::Paid(_) => 3,
        };
        parts[at] += entry.amount;
    }
    parts[4] = statement.income();
    parts[6] = statement.balance();
    parts
}

//! The lines of one car and their sums, which are made in one place so that
//! every sheet foots.

use super::line::Line;
use crate::money::Money;
use crate::storm::{Group, Panel};

/// The sum of some lines, and whether all of them have an amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GroupSum {
    /// The sum of the known amounts.
    pub known: Money,
    /// Lines with an amount.
    pub priced: u32,
    /// Lines without one.
    pub open: u32,
}

impl GroupSum {
    /// Adds a line's amount.
    pub fn add(&mut self, amount: Option<Money>) {
        match amount {
            Some(amount) => {
                self.known += amount;
                self.priced += 1;
            }
            None => self.open += 1,
        }
    }

    /// Adds another sum.
    pub fn join(&mut self, other: GroupSum) {
        self.known += other.known;
        self.priced += other.priced;
        self.open += other.open;
    }

    /// What a sheet shows: nothing when there are lines and none has an amount.
    #[must_use]
    pub fn shown(self) -> Option<Money> {
        (self.open == 0 || self.priced > 0).then_some(self.known)
    }
}

/// The lines of one car with their sums per group.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    lines: Vec<Line>,
    sums: [GroupSum; 6],
}

impl Ledger {
    /// Adds a line.
    pub fn push(&mut self, line: Line) {
        self.sums[line.group.index()].add(line.amount);
        self.lines.push(line);
    }

    /// The lines, in the order of the sheet.
    #[must_use]
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// The sum of a group.
    #[must_use]
    pub fn sum(&self, group: Group) -> GroupSum {
        self.sums[group.index()]
    }

    /// The sum of several groups' known amounts.
    #[must_use]
    pub fn known(&self, groups: impl IntoIterator<Item = Group>) -> Money {
        groups.into_iter().map(|group| self.sum(group).known).sum()
    }

    /// The sum of all lines.
    #[must_use]
    pub fn total(&self) -> GroupSum {
        let mut total = GroupSum::default();
        for sum in self.sums {
            total.join(sum);
        }
        total
    }

    /// Whether some line has no amount.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.sums.iter().any(|sum| sum.open > 0)
    }

    /// Gives a line without an amount its amount.
    pub fn fill(&mut self, index: usize, amount: Money, basis: super::Basis) {
        let line = &mut self.lines[index];
        let sum = &mut self.sums[line.group.index()];
        sum.open -= 1;
        sum.add(Some(amount));
        line.amount = Some(amount);
        line.basis = basis;
    }

    /// The sums by panel and group; what belongs to no panel stands under `None`.
    #[must_use]
    pub fn by_panel(&self) -> Vec<(Option<Panel>, [GroupSum; 6])> {
        let mut sums: Vec<(Option<Panel>, [GroupSum; 6])> = Vec::new();
        for line in &self.lines {
            let at = sums
                .iter()
                .position(|(panel, _)| *panel == line.panel)
                .unwrap_or_else(|| {
                    sums.push((line.panel, [GroupSum::default(); 6]));
                    sums.len() - 1
                });
            sums[at].1[line.group.index()].add(line.amount);
        }
        sums
    }
}

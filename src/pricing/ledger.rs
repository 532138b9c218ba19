//! The lines of one car and their sums, which are made in one place so that
//! every sheet foots.

use super::line::Line;
use crate::money::Money;
use crate::storm::Group;

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
    #[inline]
    pub fn join(&mut self, other: GroupSum) {
        // Most groups of most cars have no line.
        if other.is_empty() {
            return;
        }
        self.known += other.known;
        self.priced = self.priced.saturating_add(other.priced);
        self.open = self.open.saturating_add(other.open);
    }

    /// Whether there is no line in it.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.priced == 0 && self.open == 0
    }

    /// The sum of so many equal ones.
    #[must_use]
    pub fn times(self, count: u32) -> GroupSum {
        GroupSum {
            known: self.known.times(count),
            priced: self.priced.saturating_mul(count),
            open: self.open.saturating_mul(count),
        }
    }

    /// The sum of several sums.
    #[must_use]
    pub fn of_all(sums: &[GroupSum]) -> GroupSum {
        let mut total = GroupSum::default();
        for sum in sums {
            total.join(*sum);
        }
        total
    }

    /// What a sheet shows: nothing when there are lines and none has an amount.
    #[must_use]
    pub fn shown(self) -> Option<Money> {
        (self.open == 0 || self.priced > 0).then_some(self.known)
    }
}

/// What is kept of a line where only sums are wanted.
#[derive(Debug, Clone, Copy)]
pub struct LineAmount {
    /// Its group.
    pub group: Group,
    /// Its amount.
    pub amount: Option<Money>,
}

impl From<Line> for LineAmount {
    #[inline]
    fn from(line: Line) -> LineAmount {
        LineAmount {
            group: line.group,
            amount: line.amount,
        }
    }
}

/// The lines of one car with their sums per group, or what is kept of them.
#[derive(Debug, Clone)]
pub struct Ledger<L = Line> {
    lines: Vec<L>,
    sums: [GroupSum; 6],
}

impl<L> Default for Ledger<L> {
    fn default() -> Ledger<L> {
        Ledger {
            lines: Vec::new(),
            sums: [GroupSum::default(); 6],
        }
    }
}

impl<L: From<Line>> Ledger<L> {
    /// Adds a line.
    #[inline]
    pub fn push(&mut self, line: Line) {
        self.sums[line.group.index()].add(line.amount);
        self.lines.push(L::from(line));
    }
}

impl Ledger {
    /// Adds some lines.
    pub fn extend(&mut self, lines: &[Line]) {
        for line in lines {
            self.sums[line.group.index()].add(line.amount);
        }
        self.lines.extend_from_slice(lines);
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
}

impl<L> Ledger<L> {
    /// Adds the sum of lines that nobody keeps.
    pub fn add_sum(&mut self, group: Group, sum: GroupSum) {
        self.sums[group.index()].join(sum);
    }

    /// Whether there is any line, kept or not.
    #[must_use]
    pub fn has_lines(&self) -> bool {
        self.sums.iter().any(|sum| !sum.is_empty())
    }

    /// Takes all lines out, so that another car can use the room.
    pub fn clear(&mut self) {
        self.lines.clear();
        self.sums = [GroupSum::default(); 6];
    }

    /// Goes on from sums whose lines are no longer needed.
    pub fn resume(&mut self, sums: [GroupSum; 6]) {
        self.lines.clear();
        self.sums = sums;
    }

    /// The sums of all groups, in [`Group::ALL`] order.
    #[must_use]
    pub fn sums(&self) -> &[GroupSum; 6] {
        &self.sums
    }

    /// The lines, in the order of the sheet.
    #[must_use]
    pub fn lines(&self) -> &[L] {
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
        let sums = groups.into_iter().map(|group| self.sum(group));
        let with_lines = sums.filter(|sum| !sum.is_empty());
        with_lines.map(|sum| sum.known).sum()
    }

    /// The sum of all lines.
    #[must_use]
    pub fn total(&self) -> GroupSum {
        GroupSum::of_all(&self.sums)
    }

    /// Whether some line has no amount.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.sums.iter().any(|sum| sum.open > 0)
    }
}

//! One car's money among shares, people, house and what is not yet earned.

use super::entry::Entry;
use super::off_the_top::OffTheTop;
use super::pool::{OpenPool, Pool, PoolRules, PoolSplit};
use super::share::Share;
use crate::intake::Finding;
use crate::intake::Severity;
use crate::money::Money;
use crate::pricing::PricedCar;
use crate::storm::{Car, Group, Panel, Trade, WorkRow};
use std::sync::Arc;

/// A car after both moves.
#[derive(Debug, Clone)]
pub struct CarSplit {
    /// The first move.
    pub top: OffTheTop,
    /// The pools in panel order, then removal where the car has it.
    pub pools: Vec<PoolSplit>,
}

impl CarSplit {
    /// What no finished work stands against, in all pools.
    #[must_use]
    pub fn unearned(&self) -> Money {
        self.pools.iter().map(|pool| pool.unearned).sum()
    }

    /// The pool of a panel, or of removal.
    #[must_use]
    pub fn pool(&self, panel: Option<Panel>) -> Option<&PoolSplit> {
        self.pools.iter().find(|pool| pool.panel == panel)
    }
}

/// What came of one car.
pub struct CarResult {
    /// The split.
    pub split: CarSplit,
    /// What its people earned of its pools.
    pub entries: Vec<Entry>,
    /// What was found on the way.
    pub findings: Vec<Finding>,
}

/// A car and the rows of the log that are about it.
pub struct CarInput<'a> {
    /// Its place in the storm.
    pub index: usize,
    /// The car.
    pub car: &'a Car,
    /// Its price.
    pub priced: &'a PricedCar,
    /// Its stock.
    pub stock: Arc<str>,
    /// Rows of the work log, by index, in log order.
    pub rows: &'a [usize],
}

/// Splits one car.
#[must_use]
pub fn split_car(rules: PoolRules<'_>, shares: &[Share], input: &CarInput<'_>) -> CarResult {
    let top = OffTheTop::of(input.priced, shares, rules.currency);
    let mut splitter = CarSplitter {
        rules,
        input,
        entries: Vec::new(),
        findings: Vec::new(),
    };
    let mut pools = splitter.pools(&top);
    splitter.work_without_pool(&pools);
    splitter.whole_car_for_nothing(&pools);
    splitter.redo(&mut pools);
    let pools: Vec<PoolSplit> = pools.into_iter().map(OpenPool::close).collect();
    splitter.logged_by_nobody(&pools);
    CarResult {
        split: CarSplit { top, pools },
        entries: splitter.entries,
        findings: splitter.findings,
    }
}

struct CarSplitter<'a> {
    rules: PoolRules<'a>,
    input: &'a CarInput<'a>,
    entries: Vec<Entry>,
    findings: Vec<Finding>,
}

impl<'a> CarSplitter<'a> {
    fn row(&self, at: usize) -> &'a WorkRow {
        &self.rules.log.work[at]
    }

    /// Rows of the car that satisfy a condition, redo rows aside.
    fn first_rows(&self, is: impl Fn(&WorkRow) -> bool) -> Vec<usize> {
        let rows = self.input.rows.iter().copied();
        rows.filter(|at| !self.row(*at).redo && is(self.row(*at)))
            .collect()
    }

    /// Shares every pool among those who worked on it first.
    fn pools(&mut self, top: &OffTheTop) -> Vec<OpenPool<'a>> {
        let whole_car = self.first_rows(|row| row.trade == Trade::Dents && row.panel.is_none());
        let mut pools = Vec::with_capacity(top.panels.len() + 1);
        for panel in &top.panels {
            let named =
                self.first_rows(|row| row.trade == Trade::Dents && row.panel == Some(panel.panel));
            pools.push(self.share(
                Some(panel.panel),
                panel.amount,
                panel.open,
                named,
                whole_car.clone(),
            ));
        }
        let removal = self.input.priced.ledger.sum(Group::Removal);
        if removal.priced + removal.open > 0 {
            let named = self.first_rows(|row| row.trade.is_removal());
            pools.push(self.share(None, top.removal, removal.open > 0, named, Vec::new()));
        }
        pools
    }

    fn share(
        &mut self,
        panel: Option<Panel>,
        amount: Money,
        waits: bool,
        named: Vec<usize>,
        behind: Vec<usize>,
    ) -> OpenPool<'a> {
        let input: &'a CarInput<'a> = self.input;
        let pool = Pool {
            car: input.index,
            stock: &input.stock,
            panel,
            amount,
            waits,
            named,
            behind,
        };
        OpenPool::share(self.rules, pool, &mut self.entries, &mut self.findings)
    }

    /// Work done again, in order of date and log.
    fn redo(&mut self, pools: &mut [OpenPool<'a>]) {
        let rows = self.input.rows.iter().copied();
        let mut redos: Vec<usize> = rows
            .filter(|at| {
                let row = self.row(*at);
                row.redo && (row.trade == Trade::Dents || row.trade.is_removal())
            })
            .collect();
        redos.sort_by_key(|at| (self.row(*at).date, *at));
        for at in redos {
            let row = self.row(at);
            let of_row = |pool: &OpenPool<'_>| match row.panel {
                _ if row.trade.is_removal() => pool.panel().is_none(),
                Some(panel) => pool.panel() == Some(panel),
                None => pool.panel().is_some(),
            };
            let (mut met, mut earned) = (false, false);
            for pool in pools.iter_mut().filter(|pool| of_row(pool)) {
                met = true;
                // What contradicts itself is said already.
                earned |= pool.faulty;
                if pool.earned.is_some_and(|day| day <= row.date) {
                    earned = true;
                    pool.redo(row, &mut self.entries);
                }
            }
            if met && !earned && self.rules.log.is_whole {
                self.find(
                    Severity::Error,
                    at,
                    "redo",
                    "yes",
                    "work that was finished on that day or before: nothing here can have been done again",
                );
            }
        }
    }

    /// Work on what has no price earns no percentage.
    fn work_without_pool(&mut self, pools: &[OpenPool<'_>]) {
        for &at in self.input.rows {
            let row = self.row(at);
            let has = |panel: Option<Panel>| pools.iter().any(|pool| pool.panel() == panel);
            let any_panel = || pools.iter().any(|pool| pool.panel().is_some());
            let (column, expected) = match (row.trade, row.panel) {
                (Trade::Dents, Some(panel)) if !has(Some(panel)) => (
                    "panel",
                    format!("a panel with a price; it is {}", self.why_no_price(panel)),
                ),
                (Trade::Dents, None) if !any_panel() => {
                    ("stock", "a car with a priced panel".to_owned())
                }
                (trade, _) if trade.is_removal() && !has(None) => {
                    ("trade", "a car whose price has removal".to_owned())
                }
                _ => continue,
            };
            let found = match column {
                "panel" => row.panel.map_or("", Panel::word).to_owned(),
                "stock" => self.input.stock.to_string(),
                _ => row.trade.word().to_owned(),
            };
            let expected = format!("{expected}. No percentage is earned, hours are paid");
            self.find(Severity::Caution, at, column, found, expected);
        }
    }

    /// Who worked on the whole car for a percentage, and others have all of it.
    fn whole_car_for_nothing(&mut self, pools: &[OpenPool<'_>]) {
        let panels: Vec<&OpenPool<'_>> =
            pools.iter().filter(|pool| pool.panel().is_some()).collect();
        if panels.is_empty() || panels.iter().any(|pool| pool.faulty) {
            return;
        }
        let rows = self.first_rows(|row| {
            let pay = &self.rules.log.people[row.person].pay;
            let whole_car = row.trade == Trade::Dents && row.panel.is_none();
            whole_car && row.part.is_none() && pay.percent.is_some()
        });
        for at in rows {
            let person = self.row(at).person;
            if !panels.iter().any(|pool| pool.is_claimed_by(person)) {
                let name = self.rules.log.people[person].name.as_str();
                let expected = "something left on the car's panels: others have all of them";
                self.find(Severity::Caution, at, "person", name, expected);
            }
        }
    }

    fn why_no_price(&self, panel: Panel) -> &'static str {
        let priced = &self.input.priced.panels;
        match priced.iter().find(|known| known.panel == panel) {
            None => "not counted",
            Some(known) if known.referral.is_some() => "referred to conventional repair",
            Some(known) if !known.dented() => "clean",
            Some(_) => "without a line",
        }
    }

    /// A priced panel that no row speaks of, on a car that was begun: one
    /// caution a car.
    fn logged_by_nobody(&mut self, pools: &[PoolSplit]) {
        if !self.rules.log.is_whole || self.input.rows.is_empty() {
            return;
        }
        let missing: Vec<&str> = pools
            .iter()
            .filter(|pool| !pool.logged)
            .map(|pool| pool.panel.map_or("removal", Panel::word))
            .collect();
        let Some(source) = self.input.car.panels.first().map(|count| count.source) else {
            return;
        };
        // Of which nothing at all is logged, those cars are named together.
        if missing.is_empty() || missing.len() == pools.len() {
            return;
        }
        self.findings.push(Finding {
            severity: Severity::Caution,
            source,
            column: "stock",
            found: self.input.stock.to_string(),
            expected: format!("work logged on {}: not yet earned", missing.join(", ")),
            meant: None,
            stock: Some(self.input.stock.to_string()),
        });
    }

    fn find(
        &mut self,
        severity: Severity,
        at: usize,
        column: &'static str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.findings.push(Finding {
            severity,
            source: self.row(at).source,
            column,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: Some(self.input.stock.to_string()),
        });
    }
}

//! Where a car's price and what its payer approved differ, line by line where the
//! payer said of which.

use super::account::{Accounts, AccountsInput, Standing};
use crate::intake::{Finding, Severity};
use crate::money::Money;
use crate::pricing::{Explainer, Line};
use crate::storm::words::fold;
use crate::storm::{Decision, Group, Panel, Subject};

/// One difference on one car.
#[derive(Debug, Clone)]
pub struct Difference<'a> {
    /// The car, by its place in the storm.
    pub car: usize,
    /// The decision that names the lines; none for what no decision explains.
    pub decision: Option<&'a Decision>,
    /// Our price of these lines.
    pub priced: Option<Money>,
    /// What was approved of them.
    pub approved: Option<Money>,
    /// What was approved less our price.
    pub difference: Money,
}

/// All differences, in lot order, those of named lines first; and decisions on
/// lines that the price has no longer.
#[must_use]
pub fn differences<'a>(
    input: AccountsInput<'a>,
    accounts: &Accounts<'a>,
) -> (Vec<Difference<'a>>, Vec<Finding>) {
    let (mut all, mut findings) = (Vec::new(), Vec::new());
    for (car, account) in accounts.cars.iter().enumerate() {
        let decided = &account.decided;
        if account.standing != Standing::Approved && decided.parts.is_empty() {
            continue;
        }
        let vehicle = &input.storm.cars[car].vehicle;
        let explainer = Explainer::new(input.storm, input.rates, vehicle.payer);
        let lines = input.priced.cars[car].ledger.lines();
        let mut explained = Money::ZERO;
        for &decision in &decided.parts {
            let Subject::Part { panel, group, item } = &decision.subject else {
                continue;
            };
            let is_meant = |line: &&Line| is_part(&explainer, line, *panel, *group, item);
            let mut met = lines.iter().filter(is_meant).peekable();
            if met.peek().is_none() {
                findings.push(Finding {
                    severity: Severity::Caution,
                    source: decision.source,
                    column: "item",
                    found: part_text(*panel, *group, item),
                    expected:
                        "lines that the car's price has; the decision may be older than the count"
                            .to_owned(),
                    meant: None,
                    stock: Some(vehicle.stock.clone()),
                });
                continue;
            }
            let priced: Money = met.filter_map(|line| line.amount).sum();
            let approved = decision.approved.unwrap_or(Money::ZERO);
            explained += approved - priced;
            if approved != priced {
                all.push(Difference {
                    car,
                    decision: Some(decision),
                    priced: Some(priced),
                    approved: Some(approved),
                    difference: approved - priced,
                });
            }
        }
        if account.standing != Standing::Approved {
            continue;
        }
        let rest = account.approved() - account.priced - explained;
        if !rest.is_zero() {
            all.push(Difference {
                car,
                decision: None,
                priced: None,
                approved: None,
                difference: rest,
            });
        }
    }
    (all, findings)
}

fn is_part(
    explainer: &Explainer<'_>,
    line: &Line,
    panel: Option<Panel>,
    group: Option<Group>,
    item: &str,
) -> bool {
    panel.is_none_or(|panel| line.panel == Some(panel))
        && group.is_none_or(|group| line.group == group)
        && (item.is_empty() || fold(&explainer.item(line)) == fold(item))
}

/// The lines of a decision, in words.
#[must_use]
pub fn part_text(panel: Option<Panel>, group: Option<Group>, item: &str) -> String {
    let words = [
        panel.map_or("", Panel::word),
        group.map_or("", Group::word),
        item,
    ];
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    words.join(", ")
}

//! What a log leaves out, and what it says of cars that nobody can split.

use super::car_split::CarSplit;
use super::split::SplitInput;
use crate::intake::Finding;
use crate::intake::Severity;
use crate::storm::{CrewLog, Trade};
use std::collections::{BTreeSet, HashMap};

/// Cars of whose work nothing is logged: most of them are still to be done, so
/// they are named together. Early in a storm that is all of them but a few.
pub fn not_begun(input: SplitInput<'_>, cars: &[CarSplit]) -> Option<Finding> {
    const NAMED: usize = 12;
    if !input.log.is_whole {
        return None;
    }
    let waiting: Vec<usize> = (0..cars.len())
        .filter(|car| {
            let pools = &cars[*car].pools;
            !pools.is_empty() && pools.iter().all(|pool| !pool.logged)
        })
        .collect();
    let first = &input.storm.cars[*waiting.first()?];
    let stocks: Vec<&str> = waiting
        .iter()
        .take(NAMED)
        .map(|car| input.storm.cars[*car].vehicle.stock.as_str())
        .collect();
    let more = match waiting.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(Finding {
        severity: Severity::Caution,
        source: first.panels.first()?.source,
        column: "stock",
        found: stocks.join(", ") + &more,
        expected: match waiting.len() {
            1 => "work logged on this car: nothing of it is earned yet".to_owned(),
            cars => format!("work logged on these {cars} cars: nothing of them is earned yet"),
        },
        meant: None,
        stock: None,
    })
}

/// Work on cars that were left out: listed, once a car.
pub fn left_out(log: &CrewLog, places: &HashMap<&str, usize>) -> Vec<Finding> {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut findings = Vec::new();
    for row in &log.work {
        let Some(stock) = row.stock.as_deref() else {
            continue;
        };
        if places.contains_key(stock) || !seen.insert(stock) {
            continue;
        }
        findings.push(Finding {
            severity: Severity::Caution,
            source: row.source,
            column: "stock",
            found: stock.to_owned(),
            expected:
                "a car that is priced: this one is left out, so work on it earns no percentage yet"
                    .to_owned(),
            meant: None,
            stock: Some(stock.to_owned()),
        });
    }
    findings
}

/// Finish earns no percentage; once a person.
pub fn finish_for_nothing(log: &CrewLog) -> Vec<Finding> {
    let mut seen = BTreeSet::new();
    let rows = log.work.iter().filter(|row| row.trade == Trade::Finish);
    rows.filter(|row| log.people[row.person].pay.is_percent_only() && seen.insert(row.person))
        .map(|row| Finding {
            severity: Severity::Caution,
            source: row.source,
            column: "trade",
            found: row.trade.word().to_owned(),
            expected: format!(
                "pay by hour, car or day for finish: {} is paid a percentage only, and no pool pays it",
                log.people[row.person].name
            ),
            meant: None,
            stock: row.stock.as_ref().map(ToString::to_string),
        })
        .collect()
}

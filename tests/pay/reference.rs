//! Every row of `pay.csv` and of every statement, equal to what a program made
//! that was written from the rules alone (`tests/data/pay`).

use super::STORMS;
use crate::builder::{data, read_csv};
use hailyard::intake::{Disk, Severity, read_storm};
use hailyard::pay::{SplitInput, split_storm};
use hailyard::pricing::price_storm;
use hailyard::report::{pay_grid, statement_files, statement_grid, to_csv};
use std::path::Path;

/// A CSV file that is in memory, as rows of cells.
fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(bytes)
        .records()
        .map(|record| record.expect("a row").iter().map(str::to_owned).collect())
        .collect()
}

fn differences(what: &str, found: &[Vec<String>], expected: &[Vec<String>]) -> Vec<String> {
    let mut all = Vec::new();
    for row in expected.iter().filter(|row| !found.contains(row)) {
        all.push(format!("{what} lacks {}", row.join(",")));
    }
    for row in found.iter().filter(|row| !expected.contains(row)) {
        all.push(format!("{what} has   {}", row.join(",")));
    }
    if all.is_empty() && found != expected {
        all.push(format!("{what}: another order"));
    }
    all
}

#[test]
fn every_row_equals_an_independent_program() {
    let (mut compared, mut wrong) = (0, Vec::new());
    for name in STORMS {
        let folder = data("pay").join(name);
        let intake = read_storm(&Disk::new(&folder), None);
        assert_eq!(intake.problems.errors(), 0, "{name}");
        assert_eq!(
            intake.crew_problems.errors(),
            0,
            "{name}: {:?}",
            intake.crew_problems.sorted()
        );
        let (storm, rates) = intake.storm.expect("a storm");
        let priced = price_storm(&storm, &rates);
        let input = SplitInput {
            storm: &storm,
            rates: &rates,
            priced: &priced,
            terms: &intake.pay,
            log: &intake.crew,
            came_in: &[],
        };
        let (split, findings) = split_storm(input).expect("a closed split");
        let errors: Vec<_> = findings
            .into_iter()
            .filter(|finding| finding.severity == Severity::Error)
            .map(|finding| finding.problem(&intake.sheets).to_string())
            .collect();
        assert_eq!(errors, Vec::<String>::new(), "{name}");
        let found = rows(&to_csv(&pay_grid(&input, &split), storm.currency));
        let expected = read_csv(&folder.join("expected/pay.csv"));
        compared += expected.len();
        wrong.extend(differences(&format!("{name} pay.csv"), &found, &expected));
        let files = statement_files(&intake.crew.people);
        for (statement, file) in split.statements.iter().zip(files) {
            let grid = statement_grid(statement, &intake.crew.people, storm.currency);
            let found = rows(&to_csv(&grid, storm.currency));
            let path = folder
                .join("expected/statements")
                .join(format!("{file}.csv"));
            let expected = expected_statement(&path);
            compared += expected.len();
            wrong.extend(differences(&format!("{name} {file}"), &found, &expected));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} differ:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(60)].join("\n")
    );
    assert!(compared > 6_000, "{compared} rows");
}

/// A statement as expected; its notes count days without minding the one.
fn expected_statement(path: &Path) -> Vec<Vec<String>> {
    let mut rows = read_csv(path);
    for row in &mut rows {
        if let Some(rest) = row[12].strip_prefix("1 days ") {
            row[12] = format!("1 day {rest}");
        }
    }
    rows
}

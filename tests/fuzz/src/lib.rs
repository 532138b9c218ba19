//! What every fuzz target does with its bytes: a storm of one file of them is
//! read and priced, and what must hold of any storm is asserted.

use hailyard::billing::{AccountsInput, CarAccount, IssueRequest, Standing, accounts, to_issue};
use hailyard::crew::{JobsInput, jobs};
use hailyard::intake::{InMemory, Intake, Problems, Severity, read_storm};
use hailyard::money::Money;
use hailyard::pay::{SplitInput, split_storm};
use hailyard::planning::{LotPlan, StopRule};
use hailyard::pricing::{PricedStorm, price_storm};
use hailyard::rates::Rates;
use hailyard::storm::Storm;
use jiff::civil::date;
use std::io::Write;
use std::sync::Once;

/// The settings that a fuzzed file is read under, and its card.
pub const STORM: &str = include_str!("storm.toml");
/// The card.
pub const CARD: &str = include_str!("card.toml");

/// A storm with these files beside its settings and card.
pub fn try_storm(files: &[(&str, &[u8])]) {
    allow_caught_panics();
    let mut folder = InMemory::default();
    folder.add("storm.toml", STORM.as_bytes());
    folder.add("rates/card.toml", CARD.as_bytes());
    for (name, bytes) in files {
        folder.add(name, bytes.to_vec());
    }
    holds(&read_storm(&folder, None));
}

/// Every problem can be written, and what is priced foots.
fn holds(intake: &Intake) {
    let problems = intake.problems.sorted();
    let errors = problems
        .iter()
        .filter(|problem| problem.severity == Severity::Error)
        .count();
    for problem in &problems {
        assert!(!problem.to_string().is_empty());
    }
    assert!(
        errors > 0 || intake.left_out.is_empty(),
        "a car is left out and no error says why"
    );
    let Some((storm, rates)) = &intake.storm else {
        assert!(errors > 0, "no storm and no error");
        return;
    };
    if intake.problems.stops() {
        return;
    }
    let of_books = [&intake.crew_problems, &intake.billing_problems];
    for problem in of_books.into_iter().flat_map(Problems::sorted) {
        assert!(!problem.to_string().is_empty());
    }
    let priced = price_storm(storm, rates);
    billed(intake, storm, rates, &priced);
    // A split closes, whatever the log says.
    let input = SplitInput {
        storm,
        rates,
        priced: &priced,
        terms: &intake.pay,
        log: &intake.crew,
        came_in: &[],
    };
    let (split, findings) = split_storm(input).expect("a split that closes");
    assert_eq!(split.statements.len(), intake.crew.people.len());
    for finding in findings {
        assert!(!finding.problem(&intake.sheets).to_string().is_empty());
    }
    // What is left to do is planned or answered, and no bound passes a plan.
    let jobs = jobs(JobsInput {
        storm,
        rates,
        priced: &priced,
        log: &intake.crew,
        terms: &intake.time,
        from: None,
    });
    match jobs {
        Ok(jobs) => {
            let made = LotPlan::of(storm, &intake.crew.people, &jobs, StopRule::Rounds(2), 1);
            if made.impossible.is_empty() {
                assert_eq!(made.plan.score.unplaced, 0, "work without a place");
                assert!(
                    made.bound.end <= made.plan.score.end,
                    "a bound above a plan"
                );
            }
        }
        Err(reasons) => {
            for reason in reasons {
                assert!(!reason.problem(storm).to_string().is_empty());
            }
        }
    }
    for car in &priced.cars {
        let mut sum = Money::ZERO;
        for line in car.ledger.lines() {
            sum += line.amount.unwrap_or(Money::ZERO);
        }
        assert_eq!(sum, car.total().known, "a sheet that does not foot");
        if let (Some(owner), Some(payer)) = (car.owner_pays, car.payer_pays) {
            assert_eq!(owner + payer, sum, "parts that are not the whole");
        }
    }
}

/// Accounts foot, whatever the books say, and what is billed once leaves nothing
/// to bill.
fn billed(intake: &Intake, storm: &Storm, rates: &Rates, priced: &PricedStorm) {
    let log = &intake.billing;
    let mut after = log.clone();
    let input = |log| AccountsInput {
        storm,
        rates,
        priced,
        terms: &intake.bill_terms,
        log,
    };
    let made = accounts(input(log));
    let came_in: Money = made.receipts.iter().map(|receipt| receipt.amount).sum();
    let of_cars: Money = made.cars.iter().map(|car| car.received()).sum();
    assert_eq!(
        of_cars + made.left_out.received,
        came_in,
        "money lost on the way"
    );
    for finding in &made.findings {
        assert!(
            !finding
                .clone()
                .problem(&intake.sheets)
                .to_string()
                .is_empty()
        );
    }
    let request = IssueRequest {
        date: date(2026, 8, 1),
        per: intake.bill_terms.per,
        only: None,
    };
    let rows = to_issue(input(log), &made, &request);
    after.bills.extend(rows);
    let again = accounts(input(&after));
    let is_left = |car: &CarAccount<'_>| {
        let is_decided = matches!(car.standing, Standing::Approved | Standing::Refused);
        is_decided && car.debtors.iter().any(|of| !of.unbilled().is_zero())
    };
    assert!(!again.cars.iter().any(is_left), "a bill that leaves a rest");
    assert!(
        to_issue(input(&after), &again, &request)
            .iter()
            .all(|row| !row.kind.bills())
    );
}

/// The engine's hook aborts at any panic; one that the reader catches, since
/// it stands in another's parser, is none.
fn allow_caught_panics() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let abort = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            let ours = info
                .location()
                .is_some_and(|place| !place.file().contains("/calamine-"));
            if ours {
                abort(info);
            }
        }));
    });
}

/// A workbook of members that are stored and not packed, so that a change of a
/// byte is a change of its text.
pub fn archive(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, bytes) in members {
        writer.start_file(*name, stored).expect("a member");
        writer.write_all(bytes).expect("its bytes");
    }
    writer.finish().expect("an archive").into_inner()
}

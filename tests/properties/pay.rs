//! The split of random storms among random crews: nothing is made or lost,
//! whatever the shares, the log and the currency.

use super::check;
use super::files::all;
use super::plain::Lot;
use super::sheets::{Sheet, one_sheet};
use super::storms::{Dice, SOME_PANELS};
use hailyard::intake::{InMemory, Severity, read_storm};
use hailyard::money::{Currency, Money};
use hailyard::pay::{PayKind, Split, SplitInput, split_storm};
use hailyard::pricing::price_storm;
use hailyard::report::{pay_grid, statement_grid, to_csv};
use proptest::test_runner::{TestCaseError, TestCaseResult};
use proptest::{prop_assert, prop_assert_eq};
use rayon::ThreadPoolBuilder;
use rust_decimal::Decimal;
use std::cell::Cell;
use std::collections::BTreeMap;

const NAMES: [&str; 5] = ["Ada", "Ben Oke", "=Cyd", "Dov", "Eli"];
const DAYS: [&str; 6] = [
    "2026-06-15",
    "2026-06-16",
    "2026-06-20",
    "2026-06-21",
    "2026-06-22",
    "2026-07-01",
];

/// Shares whose percents never pass the whole.
fn shares(dice: &mut Dice<'_>) -> String {
    let mut text = String::new();
    let mut left: BTreeMap<&str, u32> = ["dents", "removal", "parts", "extra"]
        .map(|of| (of, 10_000))
        .into();
    for at in 0..dice.below(5) {
        let of = dice.pick(&["dents", "dents_left", "total", "removal", "parts", "extra"]);
        let most = match of {
            "total" => left.values().copied().min().unwrap_or(0),
            "dents_left" => 10_000,
            of => left[of],
        };
        let hundredths = dice.below(most + 1);
        for (group, left) in &mut left {
            if of == "total" || of == *group {
                *left -= hundredths;
            }
        }
        text.push_str(&format!(
            "[[share]]\nto = \"receiver {at}\"\nof = \"{of}\"\npercent = \"{}.{:02}\"\n",
            hundredths / 100,
            hundredths % 100
        ));
    }
    let redo = dice.pick(&["charge", "house"]);
    let period = dice.pick(&["week", "storm"]);
    text.push_str(&format!(
        "[pay]\nredo = \"{redo}\"\nperiod = \"{period}\"\n"
    ));
    if period == "week" && dice.once_in(2) {
        text.push_str("overtime = \"us-piece-rate\"\n");
    }
    text
}

fn crew(dice: &mut Dice<'_>, places: u32) -> String {
    let mut text = String::from("name,pay,guarantee,employee\n");
    for name in NAMES {
        let mut terms = Vec::new();
        if dice.below(4) < 3 {
            terms.push(format!(
                "{}%",
                dice.pick(&["45", "100", "33.333", "0.5", "0"])
            ));
        }
        if dice.once_in(3) {
            terms.push(format!("{}/h", dice.pick(&["12.345", "0.01", "30"])));
        }
        for unit in ["car", "day"] {
            if dice.once_in(4) {
                terms.push(format!("{}/{unit}", dice.amount(places).money(places)));
            }
        }
        let least = if dice.once_in(3) {
            dice.amount(places).money(places)
        } else {
            String::new()
        };
        let employee = dice.pick(&["", "yes"]);
        text.push_str(&format!(
            "{name},{},{least},{employee}\n",
            terms.join(" + ")
        ));
    }
    text
}

/// Rows with hours throughout, so that no log contradicts itself; parts of one
/// person at most a fifth, so that they never pass the whole; redo rows of a
/// panel stand a month later, after everything was finished.
fn work(lot: &Lot, dice: &mut Dice<'_>) -> String {
    let mut text = String::from("date,stock,panel,person,trade,hours,part,redo,done\n");
    for car in &lot.cars {
        let stock = &car.stock;
        for _ in 0..dice.below(8) {
            let panel = if dice.once_in(3) {
                ""
            } else {
                dice.pick(&SOME_PANELS)
            };
            let (day, name) = (dice.pick(&DAYS), dice.pick(&NAMES));
            let hours = dice.pick(&["1", "0", "2.5", "0.333"]);
            let done = if dice.once_in(6) { "no" } else { "" };
            text.push_str(&format!("{day},{stock},{panel},{name},,{hours},,,{done}\n"));
        }
        for name in NAMES {
            if dice.once_in(6) {
                let panel = dice.pick(&SOME_PANELS);
                text.push_str(&format!("{},{stock},{panel},{name},,1,1/7,,\n", DAYS[0]));
            }
            if dice.once_in(6) {
                let trade = dice.pick(&["strip", "fit", "finish", "other"]);
                text.push_str(&format!(
                    "{},{stock},,{name},{trade},1.25,,,\n",
                    dice.pick(&DAYS)
                ));
            }
        }
    }
    text
}

/// Work done again on panels that are known to have been finished.
fn redo(lot: &Lot, work: &str, dice: &mut Dice<'_>) -> String {
    let mut text = String::new();
    for car in &lot.cars {
        let finished = |panel: &str| {
            let rows = work
                .lines()
                .filter(|row| row.split(',').nth(1) == Some(&car.stock));
            let mut of_panel = rows
                .filter(|row| {
                    let cells: Vec<&str> = row.split(',').collect();
                    cells[4].is_empty() && (cells[2] == panel || cells[2].is_empty())
                })
                .peekable();
            of_panel.peek().is_some() && of_panel.all(|row| !row.ends_with(",no"))
        };
        for panel in SOME_PANELS {
            if dice.once_in(4) && finished(panel) {
                let part = dice.pick(&["1/3", "50%", "", "100%", "0.125%"]);
                let name = dice.pick(&NAMES);
                text.push_str(&format!(
                    "2026-08-01,{},{panel},{name},,1,{part},yes,\n",
                    car.stock
                ));
            }
        }
    }
    text
}

fn paid(dice: &mut Dice<'_>, places: u32) -> String {
    let mut text = String::from("date,person,kind,amount,note\n");
    for _ in 0..dice.below(6) {
        let kind = dice.pick(&[
            "payment",
            "advance",
            "refund",
            "per-diem",
            "lodging",
            "bonus",
            "charge-back",
        ]);
        let amount = dice.amount(places).money(places);
        text.push_str(&format!(
            "{},{},{kind},{amount},\n",
            dice.pick(&DAYS),
            dice.pick(&NAMES)
        ));
    }
    text
}

/// A storm's files with a crew.
pub(super) fn crewed(lot: &Lot, dice: &mut Dice<'_>) -> Vec<Sheet> {
    let mut files = all(lot, one_sheet(lot));
    for (path, text) in &mut files {
        if path == "storm.toml" {
            text.push_str(&shares(dice));
        }
    }
    files.push(("crew.csv".to_owned(), crew(dice, lot.places)));
    let mut log = work(lot, dice);
    log.push_str(&redo(lot, &log, dice));
    files.push(("work.csv".to_owned(), log));
    files.push(("paid.csv".to_owned(), paid(dice, lot.places)));
    files
}

/// What comes of a storm: `pay.csv`, all statements, and what is checked within.
struct Outcome {
    pay: String,
    statements: String,
    entries: usize,
    negative_house: bool,
}

fn outcome(files: &[Sheet]) -> Result<Outcome, TestCaseError> {
    let mut source = InMemory::default();
    for (path, text) in files {
        source.add(path, text.clone().into_bytes());
    }
    let intake = read_storm(&source, None);
    let errors = |problems: &hailyard::intake::Problems| -> Vec<String> {
        let sorted = problems.sorted().into_iter();
        let errors = sorted.filter(|problem| problem.severity == Severity::Error);
        errors.map(ToString::to_string).collect()
    };
    prop_assert_eq!(errors(&intake.problems), Vec::<String>::new());
    prop_assert_eq!(errors(&intake.crew_problems), Vec::<String>::new());
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
    let (split, findings) = match split_storm(input) {
        Ok(split) => split,
        Err(error) => return Err(TestCaseError::fail(error.what)),
    };
    let found: Vec<String> = findings
        .into_iter()
        .filter(|finding| finding.severity == Severity::Error)
        .map(|finding| finding.problem(&intake.sheets).to_string())
        .collect();
    prop_assert_eq!(found, Vec::<String>::new());
    let pay = String::from_utf8(to_csv(&pay_grid(&input, &split), storm.currency)).expect("UTF-8");
    let mut statements = String::new();
    for statement in &split.statements {
        let grid = statement_grid(statement, &intake.crew.people, storm.currency);
        statements.push_str(&String::from_utf8(to_csv(&grid, storm.currency)).expect("UTF-8"));
    }
    let totals: BTreeMap<String, Decimal> = storm
        .cars
        .iter()
        .zip(&priced.cars)
        .map(|(car, priced)| {
            let text = storm.currency.text(priced.total().known);
            (car.vehicle.stock.clone(), text.parse().expect("a decimal"))
        })
        .collect();
    conserved(&pay, &statements, &totals)?;
    bounded(&split)?;
    Ok(Outcome {
        pay,
        statements,
        entries: split
            .statements
            .iter()
            .map(|one| one.entries().count())
            .sum(),
        negative_house: split.totals.house < Money::ZERO,
    })
}

/// Rows of a CSV text, headers aside.
fn rows(text: &str) -> Vec<Vec<String>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes())
        .records()
        .map(|row| {
            row.expect("a row")
                .iter()
                .map(str::to_owned)
                .collect::<Vec<String>>()
        })
        .filter(|row| !matches!(row[0].as_str(), "stock" | "person"))
        .collect()
}

/// Summed from the written text alone: each car is its price, what belongs to
/// no car is nothing, and the statements are the people's rows.
fn conserved(pay: &str, statements: &str, totals: &BTreeMap<String, Decimal>) -> TestCaseResult {
    let mut sums: BTreeMap<String, Decimal> = BTreeMap::new();
    let mut people: BTreeMap<String, Decimal> = BTreeMap::new();
    for row in rows(pay) {
        let amount: Decimal = row[4].parse().expect("an amount");
        prop_assert!(!amount.is_zero());
        *sums
            .entry(row[0].trim_start_matches('\'').to_owned())
            .or_default() += amount;
        if row[3] == "person" {
            *people.entry(row[2].clone()).or_default() += amount;
        }
    }
    prop_assert_eq!(sums.remove("").unwrap_or_default(), Decimal::ZERO);
    for (stock, total) in totals {
        prop_assert_eq!(
            sums.get(stock).copied().unwrap_or_default(),
            *total,
            "{}",
            stock
        );
    }
    let (mut income, mut carried) = (BTreeMap::<String, Decimal>::new(), BTreeMap::new());
    for row in rows(statements) {
        let amount: Decimal = row[11].parse().expect("an amount");
        let balance = carried.entry(row[0].clone()).or_insert(Decimal::ZERO);
        match row[3].as_str() {
            "carried" | "balance" => prop_assert_eq!(*balance, amount),
            kind => {
                *balance += amount;
                if !matches!(kind, "advance" | "payment" | "refund") {
                    *income.entry(row[0].clone()).or_default() += amount;
                }
            }
        }
    }
    income.retain(|_, sum| !sum.is_zero());
    people.retain(|_, sum| !sum.is_zero());
    prop_assert_eq!(income, people);
    Ok(())
}

/// What is not yet earned is never more than the pool, nor less than nothing.
fn bounded(split: &Split) -> TestCaseResult {
    for car in &split.cars {
        for pool in &car.pools {
            prop_assert!(pool.unearned >= Money::ZERO && pool.unearned <= pool.amount);
        }
    }
    for row in &split.rows {
        if matches!(row.kind, PayKind::Share(_) | PayKind::Unearned) {
            prop_assert!(row.amount > Money::ZERO);
        }
    }
    Ok(())
}

#[test]
fn nothing_is_made_or_lost() {
    let (entries, negative) = (Cell::new(0), Cell::new(0));
    check(1_000, 5, |lot, dice| {
        let outcome = outcome(&crewed(lot, dice))?;
        entries.set(entries.get() + outcome.entries);
        negative.set(negative.get() + usize::from(outcome.negative_house));
        Ok(())
    });
    assert!(
        entries.get() > 5_000 && negative.get() > 50,
        "{entries:?} {negative:?}"
    );
}

#[test]
fn neither_the_cores_nor_the_days_order_in_the_log_matter() {
    check(200, 6, |lot, dice| {
        let mut files = crewed(lot, dice);
        let one = ThreadPoolBuilder::new()
            .num_threads(1)
            .build()
            .expect("a thread");
        let first = one.install(|| outcome(&files))?;
        let again = outcome(&files)?;
        prop_assert_eq!(&first.pay, &again.pay);
        prop_assert_eq!(&first.statements, &again.statements);
        // Days in another order, rows of a day in their own.
        for (path, text) in &mut files {
            if path == "work.csv" {
                let mut lines: Vec<&str> = text.lines().collect();
                lines[1..].sort_by_key(|line| std::cmp::Reverse(line[..10].to_owned()));
                *text = format!("{}\n", lines.join("\n"));
            }
        }
        let other = outcome(&files)?;
        prop_assert_eq!(&first.pay, &other.pay);
        prop_assert_eq!(&first.statements, &other.statements);
        Ok(())
    });
}

/// Amounts below nothing, which no price makes, are the mirror image.
#[test]
fn a_pool_below_nothing_mirrors_one_above() {
    use hailyard::pay::{OffTheTop, Share, ShareOf};
    use hailyard::pricing::{Basis, Item, Line};
    use hailyard::storm::{Group, Panel};
    let usd = Currency::usd();
    let shares = [
        Share {
            to: "lot".to_owned(),
            of: ShareOf::Group(Group::Dents),
            percent: hailyard::money::Percent(Decimal::new(125, 1)),
            line: 0,
        },
        Share {
            to: "finder".to_owned(),
            of: ShareOf::DentsLeft,
            percent: hailyard::money::Percent(Decimal::from(8)),
            line: 0,
        },
    ];
    for units in [1_i128, 7, 99, 12_345, 1_000_003] {
        let of = |sign: i128| {
            let mut car = hailyard::pricing::PricedCar {
                status: hailyard::pricing::Status::Priced,
                panels: Vec::new(),
                ledger: hailyard::pricing::Ledger::default(),
                owner_pays: None,
                payer_pays: None,
                total_loss: None,
            };
            let basis = Basis::Each {
                count: 1,
                each: hailyard::money::Exact::ZERO,
            };
            for panel in [Some(Panel::Hood), Some(Panel::Roof), None] {
                car.ledger.push(Line {
                    panel,
                    group: Group::Dents,
                    item: Item::Discount,
                    quantity: None,
                    amount: Some(Money::from_minor_units(
                        if panel.is_none() { sign * units } else { 0 },
                        usd,
                    )),
                    basis,
                });
            }
            let top = OffTheTop::of(&car, &shares, usd);
            assert_eq!(top.total(), Money::from_minor_units(sign * units, usd));
            let mut parts: Vec<i128> = top
                .shares
                .iter()
                .map(|share| share.amount.minor_units(usd))
                .collect();
            parts.extend(top.panels.iter().map(|pool| pool.amount.minor_units(usd)));
            parts
        };
        let mirrored: Vec<i128> = of(-1).into_iter().map(|part| -part).collect();
        assert_eq!(of(1), mirrored);
    }
}

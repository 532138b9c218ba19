//! `hailyard pay`: who gets what, and a statement for everyone.

use super::Exit;
use super::arguments::PayArgs;
use super::books::{Want, Wanted};
use super::handouts::write_pdf;
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::people::find_person;
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::stale::{say_stale, stale_statements};
use crate::money::Money;
use crate::pay::{PayPeriod, Period, Split, Statement};
use crate::report::html::{Step, page};
use crate::report::pages::{period_page, split_page, statement_page};
use crate::report::pdf::Paper;
use crate::report::{
    ReportFolder, document_text, grid_to_json, pay_grid, statement_files, statement_grid, to_csv,
};
use jiff::civil::Date;
use rayon::prelude::*;
use std::path::PathBuf;

/// The folder of the statements.
pub const STATEMENTS: &str = "statements";

/// Runs the command.
pub fn run(args: &PayArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let mut priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        Wanted {
            split: Want::Yes,
            ..Wanted::default()
        },
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let Some(mut split) = priced.split.take() else {
        return Err(Stop::Failed(
            "bug: no split where one was asked for".to_owned(),
        ));
    };
    let period = args
        .period
        .as_deref()
        .map(|asked| period(asked, &split, priced.books.terms.period))
        .transpose()?;
    let person = args
        .person
        .as_deref()
        .map(|asked| find_person(asked, &priced.books.log.people))
        .transpose()?;
    if let Some(period) = period {
        for statement in &mut split.statements {
            *statement = statement.of_period(period);
        }
    }
    let mut written = None;
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        let kinds = SplitKinds {
            csv: true,
            html: true,
            pdf: Some(args.paper),
        };
        // A statement of one period must not take the place of the whole one.
        let place = match period {
            Some(period) => format!("{STATEMENTS}/{period}"),
            None => STATEMENTS.to_owned(),
        };
        write_statements(&folder, &place, &priced, &split, person, kinds)?;
        // Of some periods or people there is no split: a pool is earned once.
        if period.is_none() && person.is_none() {
            write_split(&folder, &priced, &split, &[], kinds)?;
        }
        written = Some(folder);
    }
    if common.json {
        let all: Vec<&Statement> = split.statements.iter().collect();
        let json = match (person, period) {
            (Some(person), _) => statements_json(&priced, &all[person..=person]),
            (None, Some(_)) => statements_json(&priced, &all),
            (None, None) => split_json(&priced, &split),
        };
        streams.json(&json)?;
    } else {
        let input = priced.split_input();
        let page = match (person, period) {
            (Some(person), _) => {
                statement_page(&input, &split.statements[person], split.awaiting.as_ref())
            }
            (None, Some(period)) => period_page(&input, &split, period),
            (None, None) => split_page(&input, &split, priced.left_out.len(), None),
        };
        streams.print(&document_text(&page, streams.table_width()))?;
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    if let Some(folder) = written {
        let files = statement_files(&priced.books.log.people);
        say_stale(&stale_statements(&folder, &files), streams);
    }
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// The period that was asked for: of a week any day will do.
fn period(asked: &str, split: &Split, by: PayPeriod) -> Result<Period, Stop> {
    let period = match by {
        PayPeriod::Storm if asked == "storm" => Some(Period::Storm),
        PayPeriod::Storm => None,
        PayPeriod::Week => asked.parse::<Date>().ok().map(|day| Period::of(day, by)),
    };
    let mut known: Vec<Period> = split
        .statements
        .iter()
        .flat_map(|statement| statement.periods.iter().map(|period| period.period))
        .collect();
    known.sort_unstable();
    known.dedup();
    period
        .filter(|period| known.contains(period))
        .ok_or_else(|| {
            let known: Vec<String> = known.iter().map(ToString::to_string).collect();
            Stop::Usage(match known.len() {
                0 => format!("no period {asked}: nothing is logged or paid yet"),
                _ => format!("no period {asked}; there is {}", known.join(", ")),
            })
        })
}

/// Writes the split: `pay.csv`, its page and its PDF. `steps` lead from the
/// page to what it belongs to.
pub fn write_split(
    folder: &ReportFolder,
    priced: &Priced,
    split: &Split,
    steps: &[Step],
    kinds: SplitKinds,
) -> Result<(), Stop> {
    let input = priced.split_input();
    let without = priced.left_out.len();
    if kinds.csv {
        let grid = pay_grid(&input, split);
        folder.write("pay.csv", &to_csv(&grid, priced.storm.currency))?;
    }
    if kinds.html {
        let files = statement_files(&priced.books.log.people);
        let linked = split_page(&input, split, without, Some(&files));
        folder.write("pay.html", page(&linked, steps)?.as_bytes())?;
    }
    if let Some(paper) = kinds.pdf {
        let plain = split_page(&input, split, without, None);
        write_pdf(folder, "pay", &plain, paper, priced.storm.date)?;
    }
    Ok(())
}

/// Writes statements as CSV, page and PDF: everyone's, or one person's.
pub fn write_statements(
    folder: &ReportFolder,
    place: &str,
    priced: &Priced,
    split: &Split,
    only: Option<usize>,
    kinds: SplitKinds,
) -> Result<(), Stop> {
    let folder = folder.inside(place)?;
    let people = &priced.books.log.people;
    let files = statement_files(people);
    let input = priced.split_input();
    split
        .statements
        .par_iter()
        .filter(|statement| only.is_none_or(|only| only == statement.person))
        .try_for_each(|statement| {
            let name = &files[statement.person];
            if kinds.csv {
                let grid = statement_grid(statement, people, priced.storm.currency);
                folder.write(
                    &format!("{name}.csv"),
                    &to_csv(&grid, priced.storm.currency),
                )?;
            }
            if kinds.html || kinds.pdf.is_some() {
                let document = statement_page(&input, statement, split.awaiting.as_ref());
                if kinds.html {
                    folder.write(&format!("{name}.html"), page(&document, &[])?.as_bytes())?;
                }
                if let Some(paper) = kinds.pdf {
                    write_pdf(&folder, name, &document, paper, priced.storm.date)?;
                }
            }
            Ok(())
        })
}

/// In which forms the split and the statements are written.
#[derive(Debug, Clone, Copy)]
pub struct SplitKinds {
    /// As tables.
    pub csv: bool,
    /// As pages for a browser.
    pub html: bool,
    /// As PDF, on this paper.
    pub pdf: Option<Paper>,
}

/// The split as JSON: sums, shares, people with their balance, and every row.
fn split_json(priced: &Priced, split: &Split) -> serde_json::Value {
    let currency = priced.storm.currency;
    let text = |amount: Money| currency.text(amount);
    let totals = &split.totals;
    let terms = &priced.books.terms;
    let shares: Vec<serde_json::Value> = terms
        .shares
        .iter()
        .zip(&split.shares)
        .map(|(share, sum)| {
            serde_json::json!({
                "to": share.to,
                "of": share.of.word(),
                "percent": share.percent.0.normalize().to_string(),
                "amount": text(sum.amount),
                "on_cars_not_all_earned": text(sum.on_unearned),
            })
        })
        .collect();
    let people: Vec<serde_json::Value> = split
        .statements
        .iter()
        .map(|statement| {
            serde_json::json!({
                "person": priced.books.log.people[statement.person].name,
                "to_get": text(statement.income()),
                "handed_over": text(statement.balance() - statement.income()),
                "balance": text(statement.balance()),
                "awaiting": split.awaiting.as_ref().map(|awaiting| text(awaiting.of_person(statement.person))),
            })
        })
        .collect();
    serde_json::json!({
        "format": 1,
        "storm": priced.storm.name,
        "currency": currency.code(),
        "left_out": priced.left_out,
        "priced": text(totals.priced),
        "shares_together": text(totals.shares),
        "people_together": text(totals.people),
        "house": text(totals.house),
        "unearned": text(totals.unearned),
        "awaiting": text(totals.awaiting),
        "conventional": text(totals.conventional),
        "taxes": text(totals.taxes),
        "shares": shares,
        "people": people,
        "rows": grid_to_json(&pay_grid(&priced.split_input(), split), currency),
    })
}

/// Some statements as JSON, row by row.
fn statements_json(priced: &Priced, statements: &[&Statement]) -> serde_json::Value {
    let currency = priced.storm.currency;
    let people = &priced.books.log.people;
    let statements: Vec<serde_json::Value> = statements
        .iter()
        .map(|statement| {
            serde_json::json!({
                "person": people[statement.person].name,
                "balance": currency.text(statement.balance()),
                "rows": grid_to_json(&statement_grid(statement, people, currency), currency),
            })
        })
        .collect();
    serde_json::json!({
        "format": 1,
        "storm": priced.storm.name,
        "currency": currency.code(),
        "statements": statements,
    })
}

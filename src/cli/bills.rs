//! `hailyard bills`: what was decided, billed and received, and the numbered bills.

use super::Exit;
use super::arguments::BillsArgs;
use super::bill_ledger::{HeldLedger, LEDGER};
use super::books::{Want, Wanted};
use super::handouts::{Handout, wanted, write_pdf};
use super::inputs::Input;
use super::output::{Stop, Streams};
use super::page_files::{PageContent, RECEIVABLES};
use super::people::find_payer;
use super::priced::{Priced, price};
use super::problems::say_cautions;
use super::progress::Progress;
use super::stale::say_stale;
use crate::billing::{
    Accounts, Bill, BillTerms, Difference, IssueRequest, accounts, bills_of, differences, to_issue,
};
use crate::intake::printable;
use crate::report::html::page;
use crate::report::pages::{BillPages, receivables_page};
use crate::report::pdf::Paper;
use crate::report::{
    BillsReport, ReportFolder, UblInput, ages_grid, bills_json, differences_grid, document_text,
    kind_title, ledger_grid, receivables_grid, tables_workbook, to_csv, ubl_bill,
};
use crate::storm::{BillRow, Debtor};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// The folder of the bills.
const BILLS: &str = "bills";
/// The workbook of all tables.
const WORKBOOK: &str = "bills.xlsx";

/// Accounts of a priced storm.
pub struct Books<'a> {
    priced: &'a Priced,
    accounts: Accounts<'a>,
    differences: Vec<Difference<'a>>,
    to_issue: Vec<BillRow>,
    on: Date,
}

impl<'a> Books<'a> {
    /// The accounts on a day, with the bills that could be written then.
    pub fn of(priced: &'a Priced, request: &IssueRequest<'_>) -> Books<'a> {
        let input = priced.accounts_input();
        let accounts = accounts(input);
        let (differences, _) = differences(input, &accounts);
        let to_issue = to_issue(input, &accounts, request);
        Books {
            priced,
            accounts,
            differences,
            to_issue,
            on: request.date,
        }
    }

    /// The struct behind every report.
    pub fn report(&self) -> BillsReport<'_> {
        BillsReport {
            input: self.priced.accounts_input(),
            accounts: &self.accounts,
            differences: &self.differences,
            to_issue: &self.to_issue,
            on: self.on,
            left_out: &self.priced.left_out,
        }
    }
}

/// What `storm` makes of it: the accounts on the last day that its books speak
/// of, so that its reports are the same every day.
pub fn books_of_storm(priced: &Priced) -> Option<Books<'_>> {
    if priced.bills_at_fault || !priced.books.collects(Wanted::ALL_KNOWN) {
        return None;
    }
    let log = &priced.books.billing;
    let days = log.decisions.iter().map(|decision| decision.date);
    let days = days.chain(log.receipts.iter().map(|receipt| receipt.date));
    let days = days.chain(log.bills.iter().map(|row| row.date));
    let request = IssueRequest {
        date: days.max()?,
        per: priced.books.bill_terms.per,
        only: None,
    };
    Some(Books::of(priced, &request))
}

/// Runs the command.
pub fn run(args: &BillsArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let common = &args.common;
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    let held = match (&input, args.issue) {
        (_, false) => None,
        (Input::Folder(folder), true) => Some(HeldLedger::hold(folder)?),
        (_, true) => {
            return Err(Stop::Usage(
                "--issue writes into the storm's folder: give one".to_owned(),
            ));
        }
    };
    let asked = Wanted {
        bills: Want::Yes,
        ..Wanted::default()
    };
    let mut priced = match price(
        &input,
        common.card.as_deref(),
        common.json,
        common.without_bad,
        asked,
        streams,
    )? {
        Ok(priced) => priced,
        Err(exit) => return Ok(exit),
    };
    let only = only(args, &priced)?;
    let request = IssueRequest {
        date: args.on.unwrap_or_else(|| ZonedDateTime::now().date()),
        per: args.per.unwrap_or(priced.books.bill_terms.per),
        only: only.as_ref(),
    };
    // Before a number is given out, it is known where the bill will lie.
    let folder = match &args.out {
        Some(out) => Some(ReportFolder::open(out, &input.paths())?),
        None => None,
    };
    let mut issued = 0;
    if let Some(held) = held {
        let rows = Books::of(&priced, &request).to_issue;
        if let Some(said) = odd_day(&priced, &rows, request.date) {
            return Err(Stop::Usage(format!("--on {}: {said}", request.date)));
        }
        if !rows.is_empty() {
            held.append(&rows, priced.storm.currency)?;
        }
        issued = bills_of(&rows).len();
        priced.books.billing.bills.extend(rows);
    }
    let books = Books::of(&priced, &request);
    let report = books.report();
    let (mut stale, mut lacking) = (Vec::new(), BTreeSet::new());
    if let Some(folder) = &folder {
        let progress = Progress::start(streams.progress);
        progress.stage("writing");
        // No plain text is written here, so one that lies there is stale.
        let kinds = wanted(&[Handout::Html, Handout::Pdf, Handout::Tables]);
        let content = receivables_content(&report);
        RECEIVABLES.write(folder, &content, &[], &kinds, args.paper)?;
        write_bills(folder, &report, args.paper)?;
        if args.ubl {
            lacking = write_ubl(folder, &report)?;
        }
        stale = RECEIVABLES.stale(folder, Some(&kinds));
    }
    if common.json {
        streams.json(&bills_json(&report))?;
    } else {
        let text = document_text(&receivables_page(&report), streams.table_width());
        streams.print(&text)?;
        if args.issue {
            let said = match issued {
                0 => "nothing to bill: no bill was written".to_owned(),
                1 => format!("1 bill was written into {LEDGER}"),
                bills => format!("{bills} bills were written into {LEDGER}"),
            };
            streams.print(&format!("\n{said}\n"))?;
        }
        if let Some(out) = &args.out {
            streams.print(&format!("\nwritten to {}\n", out.display()))?;
        }
    }
    for what in &lacking {
        streams.say(&format!("caution: not every bill is structured: {what}\n"));
    }
    say_stale(&stale, streams);
    say_cautions(&priced.problems, streams);
    Ok(priced.exit())
}

/// Days between an entry of the books and a bill that are taken for a slip.
const TOO_LATE: i32 = 366;

/// Why bills can't be of a day: what is numbered once stays.
fn odd_day(priced: &Priced, rows: &[BillRow], on: Date) -> Option<String> {
    let log = &priced.books.billing;
    if rows.is_empty() {
        return None;
    }
    if let Some(last) = log.bills.last().filter(|last| on < last.date) {
        return Some(format!(
            "the last bill is of {}, and bills are numbered in the order of their days",
            last.date
        ));
    }
    if let Some(hail) = priced.storm.date.filter(|hail| on < *hail) {
        return Some(format!("the hail was on {hail}"));
    }
    let billed: BTreeSet<&str> = rows.iter().map(|row| &*row.stock).collect();
    let decided = || {
        log.decisions
            .iter()
            .filter(|of| billed.contains(&*of.stock))
    };
    if let Some(later) = decided().find(|decision| decision.date > on) {
        return Some(format!(
            "car {} was decided on {}",
            printable(&later.stock),
            later.date
        ));
    }
    let last = log.receipts.iter().map(|receipt| receipt.date);
    let last = last.chain(log.bills.iter().map(|row| row.date));
    let last = last.chain(decided().map(|decision| decision.date)).max();
    last.filter(|last| (on - *last).get_days() > TOO_LATE)
        .map(|last| format!("the last entry of the books is of {last}; is the year right?"))
}

/// The cars that were asked for, by stock or payer; none: all.
fn only(args: &BillsArgs, priced: &Priced) -> Result<Option<BTreeSet<usize>>, Stop> {
    if args.car.is_empty() && args.payer.is_empty() {
        return Ok(None);
    }
    let storm = &priced.storm;
    let mut cars = BTreeSet::new();
    for stock in &args.car {
        let car = storm
            .cars
            .iter()
            .position(|car| car.vehicle.stock == *stock);
        let car = car.ok_or_else(|| Stop::Usage(format!("no car {}", printable(stock))))?;
        cars.insert(car);
    }
    for name in &args.payer {
        let payer = find_payer(name, &storm.payers)?;
        let of_payer = storm.cars.iter().enumerate();
        let of_payer = of_payer.filter(|(_, car)| car.vehicle.payer == payer);
        cars.extend(of_payer.map(|(car, _)| car));
    }
    Ok(Some(cars))
}

/// The files of the accounts.
pub fn receivables_content<'a>(report: &BillsReport<'a>) -> PageContent<'a> {
    PageContent {
        document: receivables_page(report),
        table: receivables_grid(report),
        currency: report.storm().currency,
        day: report.storm().date,
    }
}

/// Writes every bill as page and PDF, and all of them as tables and a workbook.
fn write_bills(folder: &ReportFolder, report: &BillsReport<'_>, paper: Paper) -> Result<(), Stop> {
    let (storm, log) = (report.storm(), report.input.log);
    let currency = storm.currency;
    let ledger = ledger_grid(&log.bills);
    folder.write(LEDGER, &to_csv(&ledger, currency))?;
    let tables = [
        ("Bills", ledger),
        ("Cars", receivables_grid(report)),
        ("Open", ages_grid(report)),
        ("Differences", differences_grid(report)),
    ];
    let book = tables_workbook(&storm.name, currency, &tables)
        .map_err(|error| Stop::Failed(format!("could not write {WORKBOOK}: {error}")))?;
    folder.write(WORKBOOK, &book)?;
    let bills = bills_of(&log.bills);
    if bills.is_empty() {
        return Ok(());
    }
    let inside = folder.inside(BILLS)?;
    let terms: &BillTerms = report.input.terms;
    let pages = BillPages::new(storm, terms);
    bills
        .par_iter()
        .try_for_each(|bill: &Bill<'_>| -> Result<(), Stop> {
            let document = pages.page(bill);
            let name = file_name(bill);
            inside.write(&format!("{name}.html"), page(&document, &[])?.as_bytes())?;
            write_pdf(&inside, &name, &document, paper, Some(bill.head().date))
        })
}

/// Writes the payers' bills as structured invoices. What the standard needs and
/// the storm does not say comes back; a bill that lacks it is not written.
fn write_ubl(folder: &ReportFolder, report: &BillsReport<'_>) -> Result<BTreeSet<String>, Stop> {
    let log = report.input.log;
    let input = UblInput::new(report.storm(), report.input.terms, &log.bills);
    let mut lacking = BTreeSet::new();
    for bill in bills_of(&log.bills) {
        // An owner's country is not known, and a credit is no invoice.
        let head = bill.head();
        if head.debtor() == Debtor::Owner || !head.kind.bills() {
            continue;
        }
        match ubl_bill(&input, &bill) {
            Ok(bytes) => {
                let inside = folder.inside(BILLS)?;
                inside.write(&format!("{}.xml", file_name(&bill)), &bytes)?;
            }
            Err(what) => lacking.extend(what),
        }
    }
    Ok(lacking)
}

/// A bill's file: what it is and its number, which holds no sign that a file's name
/// can't.
fn file_name(bill: &Bill<'_>) -> String {
    let head = bill.head();
    let first = kind_title(head.kind).split(' ').next().unwrap_or_default();
    format!("{} {}", first.to_lowercase(), head.number.text)
}

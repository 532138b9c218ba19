//! What was decided, billed and received: the lead's page.

use super::{cars_text, hail_text, optional_text, sender_lines};
use crate::billing::{AGES, AgeRow, CarAccount, Standing};
use crate::money::Money;
use crate::report::bills_report::{BillsReport, age_text, difference_text};
use crate::report::document::{Block, Cell, Document, Table};
use crate::storm::{BillKind, BillRow, Debtor, Subject};

/// Cars that a list of things to do shows; receivables.csv has them all.
const SHOWN: usize = 200;

/// What bills need an adviser for.
pub const BILL_CAUTION: &str = "Which taxes apply, what a bill must say, how long it must be kept \
    and what may be claimed from an owner are for a tax adviser and local law.";

/// The page; what waits for somebody stands first.
#[must_use]
pub fn receivables_page(report: &BillsReport<'_>) -> Document {
    let page = Page { report };
    let storm = report.storm();
    let totals = report.totals();
    let mut facts = vec![
        ("storm", format!("{}{}", storm.name, hail_text(storm))),
        ("on", report.on.to_string()),
        ("priced", page.text(totals.priced)),
        ("approved", page.text(totals.approved)),
        ("billed", page.text(totals.billed)),
        ("received", page.text(totals.received)),
        ("open", page.text(totals.open)),
    ];
    if totals.over != Money::ZERO {
        facts.push(("over-paid", page.text(totals.over)));
    }
    facts.push(("amounts in", storm.currency.code().to_owned()));
    let mut blocks = vec![Block::Facts(facts)];
    page.left_out(&mut blocks);
    page.decide(&mut blocks);
    page.to_bill(&mut blocks);
    page.ages(&mut blocks);
    page.over(&mut blocks);
    page.differences(&mut blocks);
    page.every_car(&mut blocks);
    blocks.push(Block::Caution {
        about: "taxes and law".to_owned(),
        text: BILL_CAUTION.to_owned(),
    });
    Document {
        title: format!("{}: billed and received", storm.name),
        sender: sender_lines(&storm.sender),
        number: String::new(),
        blocks,
    }
}

struct Page<'r, 'a> {
    report: &'r BillsReport<'a>,
}

impl<'a> Page<'_, 'a> {
    fn text(&self, amount: Money) -> String {
        self.report.storm().currency.grouped(amount)
    }

    fn money(&self, amount: Money) -> Cell {
        self.text(amount).into()
    }

    fn stock(&self, car: usize) -> Cell {
        self.report.storm().cars[car].vehicle.stock.as_str().into()
    }

    /// Bills and receipts of cars that no account is made of.
    fn left_out(&self, blocks: &mut Vec<Block>) {
        let (of, cars) = (&self.report.accounts.left_out, self.report.left_out.len());
        if cars == 0 && of.billed.billed().is_zero() && of.received.is_zero() {
            return;
        }
        blocks.push(Block::Caution {
            about: match cars {
                0 => "cars that are gone".to_owned(),
                cars => format!("without {}", cars_text(cars)),
            },
            text: format!(
                "errors, or a list that names them no longer, keep cars out of every sum here; {} was billed on them and {} received.",
                self.text(of.billed.amount()),
                self.text(of.received)
            ),
        });
    }

    /// Cars that wait for somebody's word.
    fn decide(&self, blocks: &mut Vec<Block>) {
        let waits = [
            (Standing::Waiting, "the payer's yes or no"),
            (
                Standing::Quote,
                "a written quote, then the payer's yes or no",
            ),
            (Standing::Refused, "what now: the payer refused"),
        ];
        let all: Vec<(usize, &CarAccount<'a>, &str)> = waits
            .into_iter()
            .flat_map(|(standing, what)| {
                let cars = self.report.cars(standing);
                cars.map(move |(car, account)| (car, account, what))
            })
            .collect();
        blocks.push(Block::Heading("To decide first".to_owned()));
        if all.is_empty() {
            blocks.push(Block::Text("No car waits for a decision.".to_owned()));
            return;
        }
        let mut table = Table::new("Cars that wait for a decision")
            .words("stock", 0)
            .words("payer", 2)
            .figures("priced", 0)
            .words("waits for", 0)
            .words("said", 3);
        table.long = true;
        let mut sum = Money::ZERO;
        for (at, (car, account, what)) in all.iter().enumerate() {
            sum += account.priced;
            if at >= SHOWN {
                continue;
            }
            let said = account.decided.car.map_or(String::new(), |decision| {
                format!("{}, {}", decision.by, decision.date)
            });
            table.row(vec![
                self.stock(*car),
                self.report.debtor(*car, Debtor::Payer).into(),
                self.money(account.priced),
                (*what).into(),
                said.into(),
            ]);
        }
        let more = all.len().saturating_sub(SHOWN);
        let mut foot = vec![
            cars_text(all.len()).into(),
            Cell::default(),
            self.money(sum),
        ];
        foot.push(match more {
            0 => Cell::default(),
            more => format!("{more} more in receivables.csv").into(),
        });
        foot.push(Cell::default());
        table.sums(foot);
        blocks.push(Block::Table(table.without_empty_columns()));
    }

    /// What `--issue` would bill.
    fn to_bill(&self, blocks: &mut Vec<Block>) {
        let rows = self.report.to_issue;
        if rows.is_empty() {
            return;
        }
        let mut table = Table::new("What is not billed yet, and the bills it would make")
            .words("to", 0)
            .words("what", 0)
            .figures("bills", 2)
            .figures("cars", 1)
            .figures("amount", 0);
        let mut kinds: Vec<((&str, BillKind), Vec<&BillRow>)> = Vec::new();
        for row in rows {
            let key = (row.to.as_str(), row.kind);
            match kinds.iter_mut().find(|(known, _)| *known == key) {
                Some((_, same)) => same.push(row),
                None => kinds.push((key, vec![row])),
            }
        }
        let mut bills_in_all = 0;
        for ((to, kind), same) in kinds {
            let bills = same.chunk_by(|one, next| one.number == next.number).count();
            bills_in_all += bills;
            table.row(vec![
                to.into(),
                kind.word().into(),
                bills.to_string().into(),
                same.len().to_string().into(),
                self.money(same.iter().map(|row| row.parts.amount()).sum()),
            ]);
        }
        table.sums(vec![
            "together".into(),
            Cell::default(),
            bills_in_all.to_string().into(),
            rows.len().to_string().into(),
            self.money(rows.iter().map(|row| row.parts.amount()).sum()),
        ]);
        blocks.push(Block::Heading("To bill".to_owned()));
        blocks.push(Block::Table(table));
        blocks.push(Block::Text(
            "`hailyard bills --issue` numbers them and writes them into bills.csv.".to_owned(),
        ));
    }

    fn ages(&self, blocks: &mut Vec<Block>) {
        let rows = self.report.ages();
        let mut table = Table::new("What is open, by days since its bill").words("from", 0);
        table = table.figures("cars", 2);
        for at in 0..AGES.len() {
            table = table.figures(&age_text(at), 1);
        }
        table = table.figures("open", 0);
        let mut sum = AgeRow::default();
        let push = |table: &mut Table, name: &str, row: &AgeRow, foot: bool| {
            let mut cells = vec![name.into(), row.cars.to_string().into()];
            cells.extend(row.open.map(|amount| self.money(amount)));
            cells.push(self.money(row.total()));
            if foot {
                table.sums(cells);
            } else {
                table.row(cells);
            }
        };
        for (name, row) in &rows {
            sum.join(row);
            push(&mut table, name, row, false);
        }
        push(&mut table, "together", &sum, true);
        blocks.push(Block::Heading("Open bills".to_owned()));
        blocks.push(Block::Table(table));
    }

    /// More came in than was billed.
    fn over(&self, blocks: &mut Vec<Block>) {
        let mut table = Table::new("More came in than was billed: it is owed back")
            .words("stock", 0)
            .words("from", 1)
            .figures("billed", 2)
            .figures("received", 2)
            .figures("over", 0)
            .words("credit", 1);
        let mut sum = Money::ZERO;
        for (car, account) in self.report.accounts.cars.iter().enumerate() {
            for (debtor, of) in Debtor::ALL.into_iter().zip(&account.debtors) {
                let over = -of.open();
                if over <= Money::ZERO {
                    continue;
                }
                sum += over;
                table.row(vec![
                    self.stock(car),
                    self.report.debtor(car, debtor).into(),
                    self.money(of.billed.amount()),
                    self.money(of.received),
                    self.money(over),
                    match () {
                        () if of.billed.amount().is_zero() => "not billed yet",
                        () if of.to_credit().is_zero() => "written",
                        () => "to be written",
                    }
                    .into(),
                ]);
            }
        }
        if table.rows.is_empty() {
            return;
        }
        let mut foot = vec![Cell::default(); 6];
        foot[0] = "together".into();
        foot[4] = self.money(sum);
        table.sums(foot);
        blocks.push(Block::Heading("Over-payments".to_owned()));
        blocks.push(Block::Table(table));
    }

    fn differences(&self, blocks: &mut Vec<Block>) {
        let differences = self.report.differences;
        if differences.is_empty() {
            return;
        }
        let currency = self.report.storm().currency;
        let mut table =
            Table::new("What was approved less our price, by the lines that were named")
                .words("stock", 0)
                .words("lines", 0)
                .figures("priced", 1)
                .figures("approved", 1)
                .figures("difference", 0)
                .words("said", 2)
                .words("note", 3);
        table.long = true;
        let mut sum = Money::ZERO;
        for one in differences {
            sum += one.difference;
            let said = one.decision.map_or(String::new(), |decision| {
                format!("{}, {}", decision.by, decision.date)
            });
            table.row(vec![
                self.stock(one.car),
                difference_text(one).into(),
                optional_text(currency, one.priced).into(),
                optional_text(currency, one.approved).into(),
                self.money(one.difference),
                said.into(),
                one.decision.map_or("", |decision| &decision.note).into(),
            ]);
        }
        let mut foot = vec![Cell::default(); 7];
        foot[0] = "together".into();
        foot[4] = self.money(sum);
        table.sums(foot);
        blocks.push(Block::Heading("Where price and approval differ".to_owned()));
        blocks.push(Block::Table(table.without_empty_columns()));
    }

    fn every_car(&self, blocks: &mut Vec<Block>) {
        let mut table = Table::new("From the price to what is open")
            .words("stock", 0)
            .words("payer", 3)
            .words("state", 0)
            .figures("priced", 1)
            .figures("approved", 1)
            .figures("billed", 1)
            .figures("received", 1)
            .figures("open", 0)
            .figures("owner billed", 2)
            .figures("owner received", 2)
            .figures("owner open", 1)
            .words("supplements", 4);
        table.long = true;
        let mut sums = [Money::ZERO; 8];
        for (car, account) in self.report.accounts.cars.iter().enumerate() {
            if account.standing == Standing::Nothing && account.received().is_zero() {
                continue;
            }
            let [payer, owner] = &account.debtors;
            let amounts = [
                account.priced,
                account.approved(),
                payer.billed.amount(),
                payer.received,
                payer.open(),
                owner.billed.amount(),
                owner.received,
                owner.open(),
            ];
            for (sum, amount) in sums.iter_mut().zip(amounts) {
                *sum += amount;
            }
            let mut row = vec![
                self.stock(car),
                self.report.debtor(car, Debtor::Payer).into(),
                account.standing.word().into(),
            ];
            row.extend(amounts.map(|amount| self.money(amount)));
            row.push(supplements(account).into());
            table.row(row);
        }
        let mut foot = vec![
            cars_text(table.rows.len()).into(),
            Cell::default(),
            Cell::default(),
        ];
        foot.extend(sums.map(|amount| self.money(amount)));
        foot.push(Cell::default());
        table.sums(foot);
        blocks.push(Block::Heading("Every car".to_owned()));
        blocks.push(Block::Table(table.without_empty_columns()));
    }
}

/// The supplements that were decided on since the last word on the whole car.
fn supplements(account: &CarAccount<'_>) -> String {
    let names = account.decided.supplements.iter().map(|decision| {
        let name = match &decision.subject {
            Subject::Supplement(name) => name.as_str(),
            _ => "",
        };
        match decision.approved {
            Some(_) => name.to_owned(),
            None => format!("{name} (refused)"),
        }
    });
    names.collect::<Vec<_>>().join(", ")
}

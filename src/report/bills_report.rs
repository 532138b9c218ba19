//! What was billed and came in, as tables of values: behind every format of it.

use super::grid::{Column, Grid, Kind, Value, columns};
use super::json::grid_to_json;
use super::plain::wrap_into;
use super::terminal::Width;
use crate::billing::{
    AGES, Accounts, AccountsInput, AgeRow, CarAccount, Difference, Standing, open_by_age, part_text,
};
use crate::intake::BILL_COLUMNS;
use crate::money::Money;
use crate::storm::{BillKind, BillRow, Debtor, Group, Storm, Subject};
use jiff::civil::Date;
use serde_json::{Value as Json, json};

/// The books of a storm on a day.
#[derive(Clone, Copy)]
pub struct BillsReport<'a> {
    /// What the accounts are made of.
    pub input: AccountsInput<'a>,
    /// The accounts.
    pub accounts: &'a Accounts<'a>,
    /// Where price and approval differ.
    pub differences: &'a [Difference<'a>],
    /// The rows that would be billed on that day.
    pub to_issue: &'a [BillRow],
    /// The day up to which ages are reckoned.
    pub on: Date,
    /// Stocks of cars that are left out because of errors.
    pub left_out: &'a [String],
}

/// The sums of all cars.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct BillsTotals {
    /// Their price, as far as it is known.
    pub priced: Money,
    /// What the payers approved.
    pub approved: Money,
    /// What was billed.
    pub billed: Money,
    /// What came in.
    pub received: Money,
    /// What is open of bills.
    pub open: Money,
    /// What came in above bills, which is owed back.
    pub over: Money,
}

impl<'a> BillsReport<'a> {
    /// The storm.
    #[must_use]
    pub fn storm(&self) -> &'a Storm {
        self.input.storm
    }

    /// The sums of all cars; what is open less what is over is what was billed
    /// less what came in.
    #[must_use]
    pub fn totals(&self) -> BillsTotals {
        let mut totals = BillsTotals::default();
        for account in &self.accounts.cars {
            totals.priced += account.priced;
            totals.approved += account.approved();
            totals.billed += account.billed();
            totals.received += account.received();
            for debtor in &account.debtors {
                totals.open += debtor.open().max(Money::ZERO);
                totals.over += (-debtor.open()).max(Money::ZERO);
            }
        }
        totals
    }

    /// Cars of a standing, by their place in the storm.
    pub fn cars(&self, standing: Standing) -> impl Iterator<Item = (usize, &'a CarAccount<'a>)> {
        let cars = self.accounts.cars.iter().enumerate();
        cars.filter(move |(_, account)| account.standing == standing)
    }

    /// What is open by payer and age, and the name of each row.
    #[must_use]
    pub fn ages(&self) -> Vec<(&'a str, AgeRow)> {
        let rows = open_by_age(self.input, self.accounts, self.on);
        let payers = self.storm().payers.iter().map(|payer| payer.name.as_str());
        payers.chain(["owners"]).zip(rows).collect()
    }

    /// Who is billed of a car.
    #[must_use]
    pub fn debtor(&self, car: usize, debtor: Debtor) -> &'a str {
        let storm = self.storm();
        match debtor {
            Debtor::Payer => &storm.payers[storm.cars[car].vehicle.payer].name,
            Debtor::Owner => Debtor::OWNER,
        }
    }
}

/// `30 days`, `31-60`, `61-90`, `over 90`.
#[must_use]
pub fn age_text(at: usize) -> String {
    let first = match at {
        0 => 0,
        at => AGES[at - 1].map_or(0, |last| last + 1),
    };
    match AGES[at] {
        Some(last) => format!("{first}-{last} days"),
        None => format!("over {} days", first - 1),
    }
}

/// `receivables.csv`: one row a car.
#[must_use]
pub fn receivables_grid<'a>(report: &BillsReport<'a>) -> Grid<'a> {
    let rows = report.accounts.cars.iter().enumerate().map(|(car, of)| {
        let vehicle = &report.storm().cars[car].vehicle;
        let decision = of.decided.car;
        let mut row = vec![
            Value::text(vehicle.stock.as_str()),
            Value::text(report.debtor(car, Debtor::Payer)),
            Value::text(of.standing.word()),
            Value::Money(of.priced),
            Value::money(of.decided.approved()),
            Value::text(decision.map_or("", |decision| decision.by.as_str())),
            Value::text(decision.map_or(String::new(), |decision| decision.date.to_string())),
        ];
        for debtor in &of.debtors {
            row.extend([
                Value::Money(debtor.target.amount()),
                Value::Money(debtor.billed.amount()),
                Value::Money(debtor.received),
                Value::Money(debtor.open()),
            ]);
        }
        row
    });
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("payer", Kind::Text),
            ("state", Kind::Text),
            ("priced", Kind::Money),
            ("approved", Kind::Money),
            ("decided_by", Kind::Text),
            ("decided_on", Kind::Text),
            ("payer_part", Kind::Money),
            ("payer_billed", Kind::Money),
            ("payer_received", Kind::Money),
            ("payer_open", Kind::Money),
            ("owner_part", Kind::Money),
            ("owner_billed", Kind::Money),
            ("owner_received", Kind::Money),
            ("owner_open", Kind::Money),
        ]),
        rows: rows.collect(),
    }
}

/// What is open by payer and age.
#[must_use]
pub fn ages_grid<'a>(report: &BillsReport<'a>) -> Grid<'a> {
    let rows = report.ages().into_iter().map(|(name, row)| {
        let mut cells = vec![Value::text(name), Value::Count(u64::from(row.cars))];
        cells.extend(row.open.map(Value::Money));
        cells.extend([Value::Money(row.total()), Value::Money(row.over)]);
        cells
    });
    Grid {
        columns: columns(&[
            ("from", Kind::Text),
            ("cars", Kind::Count),
            ("days_0_30", Kind::Money),
            ("days_31_60", Kind::Money),
            ("days_61_90", Kind::Money),
            ("days_over_90", Kind::Money),
            ("open", Kind::Money),
            ("over", Kind::Money),
        ]),
        rows: rows.collect(),
    }
}

/// Where price and approval differ.
#[must_use]
pub fn differences_grid<'a>(report: &BillsReport<'a>) -> Grid<'a> {
    let rows = report.differences.iter().map(|one| {
        let (by, on, note) = one.decision.map_or(("", String::new(), ""), |decision| {
            (&decision.by, decision.date.to_string(), &decision.note)
        });
        vec![
            Value::text(report.storm().cars[one.car].vehicle.stock.as_str()),
            Value::text(difference_text(one)),
            Value::money(one.priced),
            Value::money(one.approved),
            Value::Money(one.difference),
            Value::text(by),
            Value::text(on),
            Value::text(note),
        ]
    });
    Grid {
        columns: columns(&[
            ("stock", Kind::Text),
            ("lines", Kind::Text),
            ("priced", Kind::Money),
            ("approved", Kind::Money),
            ("difference", Kind::Money),
            ("by", Kind::Text),
            ("date", Kind::Text),
            ("note", Kind::Text),
        ]),
        rows: rows.collect(),
    }
}

/// The lines that a difference is about, in words.
#[must_use]
pub fn difference_text(difference: &Difference<'_>) -> String {
    match difference.decision.map(|decision| &decision.subject) {
        Some(Subject::Part { panel, group, item }) => part_text(*panel, *group, item),
        _ => "lines that nobody named".to_owned(),
    }
}

/// Rows of the bill ledger, as its file has them.
#[must_use]
pub fn ledger_grid(rows: &[BillRow]) -> Grid<'_> {
    let money = |name: &str| {
        let of_money = ["not_approved", "other_part", "credit", "amount"];
        of_money.contains(&name) || Group::from_word(name).is_some()
    };
    let names = std::iter::once(BILL_COLUMNS.key).chain(BILL_COLUMNS.others.iter().copied());
    Grid {
        columns: names
            .map(|name| Column {
                name,
                kind: if money(name) { Kind::Money } else { Kind::Text },
            })
            .collect(),
        rows: rows.iter().map(ledger_row).collect(),
    }
}

fn ledger_row(row: &BillRow) -> Vec<Value<'_>> {
    let rates = Group::ALL.into_iter().zip(row.tax_rates);
    let rates: Vec<String> = rates
        .filter(|(_, rate)| !rate.is_zero())
        .map(|(group, rate)| format!("{} {}", group.word(), rate.0.normalize()))
        .collect();
    let mut cells = vec![
        Value::text(row.number.text.as_str()),
        Value::text(row.date.to_string()),
        Value::text(row.due.to_string()),
        Value::text(row.kind.word()),
        Value::text(row.to.as_str()),
        Value::text(&*row.stock),
        Value::text(row.of.as_str()),
    ];
    cells.extend(row.parts.groups.map(Value::Money));
    cells.extend([
        Value::Money(row.parts.not_approved),
        Value::Money(row.parts.other_part),
        Value::Money(row.parts.credit),
        Value::Money(row.parts.amount()),
        Value::text(rates.join("; ")),
    ]);
    cells
}

/// The accounts in a few lines, under a storm's summary.
#[must_use]
pub fn bills_summary(report: &BillsReport<'_>, width: Width) -> String {
    let money = |amount: Money| report.storm().currency.grouped(amount);
    let totals = report.totals();
    let waiting = report.cars(Standing::Waiting).count();
    let mut said = format!(
        "bills, {}: approved {}, billed {}, received {}, open {}",
        report.on,
        money(totals.approved),
        money(totals.billed),
        money(totals.received),
        money(totals.open)
    );
    if totals.over != Money::ZERO {
        said.push_str(&format!(", {} received above bills", money(totals.over)));
    }
    match waiting {
        0 => {}
        1 => said.push_str("; 1 car waits for its payer's word"),
        cars => said.push_str(&format!("; {cars} cars wait for their payer's word")),
    }
    said.push_str("; `hailyard bills` shows which");
    let mut text = String::from("\n");
    wrap_into(&mut text, &said, width, "  ");
    text
}

/// The sums of it as JSON.
#[must_use]
pub fn bills_sums_json(report: &BillsReport<'_>) -> Json {
    let currency = report.storm().currency;
    let text = |amount: Money| currency.text(amount);
    let totals = report.totals();
    json!({
        "on": report.on.to_string(),
        "approved": text(totals.approved),
        "billed": text(totals.billed),
        "received": text(totals.received),
        "open": text(totals.open),
        "over": text(totals.over),
    })
}

/// Everything of it as JSON.
#[must_use]
pub fn bills_json(report: &BillsReport<'_>) -> Json {
    let currency = report.storm().currency;
    let text = |amount: Money| currency.text(amount);
    let totals = report.totals();
    let grid = |grid: &Grid<'_>| grid_to_json(grid, currency);
    json!({
        "format": 1,
        "storm": report.storm().name,
        "currency": currency.code(),
        "on": report.on.to_string(),
        "left_out": report.left_out,
        "priced": text(totals.priced),
        "approved": text(totals.approved),
        "billed": text(totals.billed),
        "received": text(totals.received),
        "open": text(totals.open),
        "over": text(totals.over),
        "ages": grid(&ages_grid(report)),
        "cars": grid(&receivables_grid(report)),
        "differences": grid(&differences_grid(report)),
        "bills": grid(&ledger_grid(&report.input.log.bills)),
        "to_bill": grid(&ledger_grid(report.to_issue)),
    })
}

/// What a kind of bill is called at the top of one.
#[must_use]
pub fn kind_title(kind: BillKind) -> &'static str {
    match kind {
        BillKind::Bill => "Bill",
        BillKind::Supplement => "Bill of a supplement",
        BillKind::Correction => "Credit note",
        BillKind::Credit => "Credit of an over-payment",
    }
}

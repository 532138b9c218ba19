//! One numbered bill, for whoever is to pay it.

use super::sender_lines;
use crate::billing::{Bill, BillTerms};
use crate::money::Money;
use crate::report::bills_report::kind_title;
use crate::report::document::{Block, Cell, Document, Table};
use crate::storm::{BillKind, BillRow, Debtor, Group, Party, Storm, Vehicle};
use std::collections::HashMap;

/// What a bill's page is made of.
pub struct BillPages<'a> {
    storm: &'a Storm,
    terms: &'a BillTerms,
    vehicles: HashMap<&'a str, &'a Vehicle>,
}

impl<'a> BillPages<'a> {
    /// The pages of a storm's bills.
    #[must_use]
    pub fn new(storm: &'a Storm, terms: &'a BillTerms) -> BillPages<'a> {
        let vehicles = storm.cars.iter().map(|car| &car.vehicle);
        BillPages {
            storm,
            terms,
            vehicles: vehicles
                .map(|vehicle| (vehicle.stock.as_str(), vehicle))
                .collect(),
        }
    }

    fn money(&self, amount: Money) -> String {
        self.storm.currency.grouped(amount)
    }

    /// One bill. Its amounts are those of the ledger: what was billed once is
    /// never reckoned anew.
    #[must_use]
    pub fn page(&self, bill: &Bill<'_>) -> Document {
        let head = bill.head();
        let amount = bill.amount();
        let mut blocks = vec![Block::Facts(self.facts(bill))];
        if head.kind == BillKind::Credit {
            blocks.push(Block::Table(self.credits(bill)));
            blocks.push(Block::Text(format!(
                "{} more came in than was billed. It stands to your credit: it is paid back, or \
                 set off against the next bill of the same car.",
                self.money(-amount)
            )));
        } else {
            blocks.push(Block::Table(self.cars(bill)));
            blocks.push(Block::Text(if amount < Money::ZERO {
                format!(
                    "{} is taken off what was billed before.",
                    self.money(-amount)
                )
            } else {
                format!("To pay by {}: {}", head.due, self.money(amount))
            }));
            if amount > Money::ZERO && !self.terms.pay_to.is_empty() {
                blocks.push(Block::Text(self.terms.pay_to.clone()));
            }
            blocks.extend(self.notes(bill).into_iter().map(Block::Text));
        }
        if !self.storm.sender.note.is_empty() {
            blocks.push(Block::Text(self.storm.sender.note.clone()));
        }
        let mut sender = sender_lines(&self.storm.sender);
        if !self.terms.tax_id.is_empty() {
            sender.push(format!("tax no. {}", self.terms.tax_id));
        }
        Document {
            title: format!("{} {}", kind_title(head.kind), head.number.text),
            sender,
            number: String::new(),
            blocks,
        }
    }

    fn facts(&self, bill: &Bill<'_>) -> Vec<(&'static str, String)> {
        let head = bill.head();
        let mut facts = Vec::new();
        let mut fact = |label, value: &str| {
            if !value.trim().is_empty() {
                facts.push((label, value.trim().to_owned()));
            }
        };
        let none = Party::default();
        if head.debtor() == Debtor::Owner {
            let owner = self.vehicles.get(&*head.stock).map(|of| of.owner.as_str());
            let stock = format!("the owner of car {}", head.stock);
            fact(
                "to",
                owner.filter(|name| !name.is_empty()).unwrap_or(&stock),
            );
        } else {
            fact("to", &head.to);
            let payers = &self.storm.payers;
            let known = payers.iter().find(|payer| payer.name == head.to);
            let party = known.map_or(&none, |payer| &payer.party);
            let address: Vec<&str> = party.address.lines().map(str::trim).collect();
            fact("address", &address.join(", "));
            fact("tax no.", &party.tax_id);
            fact("your reference", &party.reference);
        }
        fact("number", &head.number.text);
        fact("date", &head.date.to_string());
        if head.kind.bills() && bill.amount() > Money::ZERO {
            fact("due", &head.due.to_string());
        }
        fact("storm", &self.storm.name);
        let hail = self
            .storm
            .date
            .map_or(String::new(), |date| date.to_string());
        fact("hail of", &hail);
        fact("amounts in", self.storm.currency.code());
        facts
    }

    fn car(&self, row: &BillRow) -> Vec<Cell> {
        let vehicle = self.vehicles.get(&*row.stock);
        let text = |text: fn(&Vehicle) -> &str| vehicle.map_or("", |of| text(of)).to_owned();
        let name = vehicle.map_or(String::new(), |of| {
            let words = [&of.year, &of.make, &of.model].map(|word| word.as_str());
            let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
            words.join(" ")
        });
        vec![
            (&*row.stock).into(),
            name.into(),
            text(|of| &of.vin).into(),
            text(|of| &of.plate).into(),
            text(|of| &of.claim).into(),
            row.of.as_str().into(),
        ]
    }

    fn table(caption: &str) -> Table {
        Table::new(caption)
            .words("stock", 0)
            .words("vehicle", 2)
            .words("VIN", 3)
            .words("plate", 3)
            .words("claim", 1)
            .words("for", 1)
    }

    fn cars(&self, bill: &Bill<'_>) -> Table {
        let head = bill.head();
        let is_owners = head.debtor() == Debtor::Owner;
        let mut table = BillPages::table("What is billed, car by car");
        for group in Group::ALL {
            table = table.figures(group.word(), 2);
        }
        // In a later bill the column is what came to a yes, or was taken from it.
        let not_approved = match head.kind {
            BillKind::Bill => "not approved",
            _ if bill.parts().not_approved > Money::ZERO => "approved since",
            _ => "approved no longer",
        };
        table = table
            .figures(not_approved, 1)
            .figures(
                if is_owners {
                    "deductible"
                } else {
                    "owner pays"
                },
                1,
            )
            .figures("set off", 1)
            .figures("amount", 0);
        let shown = |amount: Money| {
            if amount.is_zero() {
                Cell::default()
            } else {
                self.money(amount).into()
            }
        };
        let amounts = |parts: &crate::storm::BillParts| {
            let mut cells: Vec<Cell> = parts.groups.map(shown).into();
            cells.extend([
                shown(parts.not_approved),
                shown(parts.other_part),
                shown(parts.credit),
            ]);
            cells.push(self.money(parts.amount()).into());
            cells
        };
        for row in &bill.rows {
            let mut cells = self.car(row);
            cells.extend(amounts(&row.parts));
            table.row(cells);
        }
        let mut foot = vec![Cell::default(); 6];
        foot[0] = "total".into();
        foot.extend(amounts(&bill.parts()));
        table.sums(foot);
        table.without_empty_columns()
    }

    fn credits(&self, bill: &Bill<'_>) -> Table {
        let mut table =
            BillPages::table("Received above what was billed").figures("to your credit", 0);
        for row in &bill.rows {
            let mut cells = self.car(row);
            cells.push(self.money(-row.parts.amount()).into());
            table.row(cells);
        }
        let mut foot = vec![Cell::default(); 6];
        foot[0] = "total".into();
        foot.push(self.money(-bill.amount()).into());
        table.sums(foot);
        table.without_empty_columns()
    }

    /// What is to be said of the columns.
    fn notes(&self, bill: &Bill<'_>) -> Vec<String> {
        let parts = bill.parts();
        let mut notes = Vec::new();
        if bill.head().debtor() == Debtor::Owner {
            notes.push("The deductible that you bear of this hail's repair.".to_owned());
            return notes;
        }
        if parts.other_part != Money::ZERO {
            notes.push(format!(
                "Owners pay {} of it as their deductible; it is billed to them and not claimed here.",
                self.money(-parts.other_part)
            ));
        }
        if parts.credit != Money::ZERO {
            notes.push(format!(
                "{} that came in above earlier bills is set off.",
                self.money(-parts.credit)
            ));
        }
        if bill.head().kind == BillKind::Bill && parts.not_approved != Money::ZERO {
            notes.push(
                "What was not approved is taken off as a whole; it is still in the parts beside it."
                    .to_owned(),
            );
        }
        let taxed = bill
            .rows
            .iter()
            .map(|row| row.parts.groups[Group::Tax.index()]);
        if taxed.sum::<Money>() != Money::ZERO {
            notes.push("Each car's own sheet names its taxes and explains every line.".to_owned());
        } else {
            notes.push("Each car's own sheet explains every line.".to_owned());
        }
        notes
    }
}

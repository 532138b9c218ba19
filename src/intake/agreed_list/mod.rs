//! `agreed.*`: what people agreed by hand, and what payers decided.

mod decision;

use super::cells::{self, Refusal};
use super::count_sheet::stock_text;
use super::draft::{Drafts, SheetMeta};
use super::plain_sheet::Columns;
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Settings;
use super::table::{Row, Table};
use super::vehicle_list::three_after_comma;
use crate::storm::words::{self, PanelWord};
use crate::storm::{Agreed, Decision, Group, Panel, Provenance};
use decision::Verdict;
use std::collections::HashMap;

/// The columns of the list.
pub const COLUMNS: Columns = Columns {
    key: "stock",
    others: &["panel", "group", "item", "amount", "by", "date", "note"],
    key_alone: false,
};

/// The most rows of one car.
const MOST_ROWS: u32 = 200;

/// What the list says.
#[derive(Default)]
pub struct AgreedRows {
    /// Amounts of cars, which are indexed by draft.
    pub agreed: Vec<Agreed>,
    /// What payers decided.
    pub decisions: Vec<Decision>,
    /// What is wrong in decisions, which no price hangs on.
    pub of_decisions: Vec<Problem>,
    /// Rows met so far, by car, panel and folded item.
    seen: HashMap<(usize, Option<Panel>, String), u32>,
    /// Decisions met so far, by car and all that tells them apart.
    decided: HashMap<(usize, String), u32>,
}

/// Reads one table. Whether it had the header.
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    drafts: &mut Drafts,
    rows: &mut AgreedRows,
    problems: &mut Problems,
) -> bool {
    let mut rows_of = HashMap::new();
    let sheet = drafts.add_sheet(SheetMeta::new(
        order,
        &table.file,
        table.sheet.as_deref(),
        Vec::new(),
    ));
    COLUMNS.read(
        table,
        order,
        &settings.intake,
        problems,
        |header, row, problems| {
            let mut reader = AgreedRow {
                table,
                order,
                row,
                settings,
                drafts,
                problems,
                rows_of: &mut rows_of,
                aside: None,
                column: |which| {
                    header
                        .column(which)
                        .map(|(index, name)| (index, name.to_owned()))
                },
            };
            let source = Provenance {
                sheet,
                row: row.number,
            };
            reader.read(source, rows);
            rows.of_decisions.extend(reader.aside.into_iter().flatten());
        },
    )
}

struct AgreedRow<'a, C: Fn(usize) -> Option<(usize, String)>> {
    table: &'a Table,
    order: u32,
    row: Row<'a>,
    settings: &'a Settings,
    drafts: &'a mut Drafts,
    problems: &'a mut Problems,
    rows_of: &'a mut HashMap<usize, u32>,
    /// Of a decision: what is wrong with it.
    aside: Option<Vec<Problem>>,
    column: C,
}

impl<C: Fn(usize) -> Option<(usize, String)>> AgreedRow<'_, C> {
    fn place(&self, which: usize) -> Place {
        let column = (self.column)(which);
        Place {
            order: self.order,
            file: self.table.file.clone(),
            sheet: self.table.sheet.clone(),
            row: Some(self.row.number),
            column_index: column
                .as_ref()
                .and_then(|(index, _)| u32::try_from(*index).ok()),
            column: Some(column.map_or_else(
                || COLUMNS.others[which.saturating_sub(1)].to_owned(),
                |(_, name)| name,
            )),
        }
    }

    fn cell(&self, which: usize) -> super::table::Cell<'_> {
        (self.column)(which).map_or(super::table::Cell::Blank, |(index, _)| self.row.cell(index))
    }

    fn refuse(&mut self, which: usize, car: Option<usize>, refusal: Refusal) {
        let found = self.cell(which).shown().into_owned();
        let place = self.place(which);
        let problem = Problem {
            severity: Severity::Error,
            place,
            found,
            expected: refusal.expected,
            meant: refusal.meant,
            stock: car.map(|car| self.drafts.cars[car].stock.to_string()),
        };
        match &mut self.aside {
            Some(aside) => aside.push(problem),
            None => {
                self.drafts.agreed_at_fault.extend(car);
                self.problems.push(problem);
            }
        }
    }

    fn car(&mut self) -> Option<usize> {
        let stock = match stock_text(self.cell(0)) {
            Ok(stock) if stock.is_empty() => Err(Refusal::new("a stock")),
            other => other,
        };
        let stock = match stock {
            Ok(stock) => stock,
            Err(refusal) => {
                self.refuse(0, None, refusal);
                return None;
            }
        };
        let Some(car) = self.drafts.find(&stock) else {
            let near = self.drafts.near_misses(&stock);
            let names: Vec<&str> = near
                .iter()
                .map(|car| self.drafts.cars[*car].stock.as_str())
                .collect();
            if self.aside.is_none() {
                self.drafts.agreed_at_fault.extend(near);
            }
            let refusal = Refusal {
                expected: "a stock of the storm".to_owned(),
                meant: (!names.is_empty()).then(|| names.join(" or ")),
            };
            self.refuse(0, None, refusal);
            return None;
        };
        if !self.drafts.cars[car].spoken_of {
            self.refuse(0, Some(car), Refusal::new("a car that has been counted"));
            return None;
        }
        Some(car)
    }

    fn panel(&mut self, car: usize) -> Result<Option<Panel>, ()> {
        let text = self.cell(1).shown().into_owned();
        if text.trim().is_empty() {
            return Ok(None);
        }
        let vocabulary = &self.settings.vocabulary;
        match vocabulary.panel(&text) {
            Some(PanelWord::One(panel)) => Ok(Some(panel)),
            Some(PanelWord::NoSide(panels)) => {
                let sides: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                let expected = format!("a side: {}", super::toml_doc::one_of(&sides));
                self.refuse(1, Some(car), Refusal::new(expected));
                Err(())
            }
            None => {
                let refusal = Refusal {
                    expected: "a panel, or blank".to_owned(),
                    meant: vocabulary.nearest_panel(&text),
                };
                self.refuse(1, Some(car), refusal);
                Err(())
            }
        }
    }

    fn read(&mut self, source: Provenance, rows: &mut AgreedRows) {
        let verdict = cells::text(self.cell(3)).ok();
        let verdict = verdict.and_then(|item| Verdict::of(item.trim()));
        self.aside = verdict.is_some().then(Vec::new);
        let Some(car) = self.car() else { return };
        let panel = self.panel(car);
        let group = self.group(car);
        if let Some((verdict, name)) = verdict {
            let (Ok(panel), Ok(group)) = (panel, group) else {
                return;
            };
            let decision = self.decision(car, (verdict, name), panel, group, source, rows);
            rows.decisions.extend(decision);
            return;
        }
        let item = self.item(car);
        if let Some(near) = item.as_deref().and_then(Verdict::near) {
            let refusal = Refusal {
                expected: "what was agreed on, or approved or refused".to_owned(),
                meant: Some(near.to_owned()),
            };
            self.refuse(3, Some(car), refusal);
            return;
        }
        let amount = self.amount(car);
        let (Ok(panel), Some(item)) = (panel, item) else {
            return;
        };
        let key = (car, panel, words::fold(&item));
        if let Some(first) = rows.seen.get(&key) {
            let expected = format!("a stock, panel and item once; first at row {first}");
            self.refuse(3, Some(car), Refusal::new(expected));
            return;
        }
        if !self.has_room(car) {
            return;
        }
        rows.seen.insert(key, self.row.number);
        if let (Ok(group), Some(amount)) = (group, amount) {
            rows.agreed.push(Agreed {
                car,
                panel,
                group,
                item,
                amount,
                by: self.text(5),
                date: self.text(6),
                note: self.text(7),
                source,
            });
        }
    }

    /// Whether the car may have one more row: every row is matched with every
    /// line of its car, its own rows among them.
    fn has_room(&mut self, car: usize) -> bool {
        let so_far = self.rows_of.entry(car).or_insert(0);
        *so_far += 1;
        let has_room = *so_far <= MOST_ROWS;
        if !has_room {
            let refusal = Refusal::new(format!("at most {MOST_ROWS} agreed rows of one car"));
            self.refuse(3, Some(car), refusal);
        }
        has_room
    }

    fn group(&mut self, car: usize) -> Result<Option<Group>, ()> {
        let groups: Vec<(&'static str, Group)> = Group::ALL[..5]
            .iter()
            .map(|group| (group.word(), *group))
            .collect();
        let group = cells::word(self.cell(2), &groups, |word| {
            let folded = words::fold(word);
            Group::from_word(&folded).filter(|group| *group != Group::Tax)
        });
        group.map_err(|refusal| self.refuse(2, Some(car), refusal))
    }

    fn text(&self, which: usize) -> String {
        cells::text(self.cell(which)).unwrap_or_default()
    }

    fn item(&mut self, car: usize) -> Option<String> {
        match cells::text(self.cell(3)) {
            Ok(item) if item.trim().is_empty() => {
                self.refuse(3, Some(car), Refusal::new("what was agreed on"));
                None
            }
            Ok(item) => Some(item.trim().to_owned()),
            Err(refusal) => {
                self.refuse(3, Some(car), refusal);
                None
            }
        }
    }

    fn amount(&mut self, car: usize) -> Option<crate::money::Money> {
        let comma = self.table.decimal_comma();
        let figure = match cells::figure(self.cell(4), comma, "money, 0 or more") {
            Ok(Some(figure)) => figure,
            Ok(None) => {
                self.refuse(4, Some(car), Refusal::new("the amount agreed"));
                return None;
            }
            Err(refusal) => {
                self.refuse(4, Some(car), refusal);
                return None;
            }
        };
        if comma && three_after_comma(&self.cell(4).shown()) {
            let (place, found) = (self.place(4), self.cell(4).shown().into_owned());
            let expected = format!("money: the comma is taken as a decimal comma, {figure}");
            self.drafts
                .caution(car, place, found, expected, self.problems);
        }
        let amount = self.settings.currency.amount(figure);
        if amount.is_none() {
            let refusal = Refusal::new(super::resolve::no_finer(self.settings.currency));
            self.refuse(4, Some(car), refusal);
        }
        amount
    }
}

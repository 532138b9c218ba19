//! A payer's yes or no in `agreed.*`: to a car's total, to a supplement by its
//! name, or to some of the car's lines.

use super::{AgreedRow, AgreedRows};
use crate::intake::cells::Refusal;
use crate::intake::day_cell;
use crate::storm::words;
use crate::storm::{Decision, Group, Panel, Provenance, Subject};
use std::sync::Arc;

/// Yes or no.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Yes, to an amount.
    Approved,
    /// No.
    Refused,
}

impl Verdict {
    /// The verdict that an item begins with, and the name behind it.
    pub fn of(item: &str) -> Option<(Verdict, String)> {
        let (first, name) = item.split_once([' ', ':']).unwrap_or((item, ""));
        let verdict = match words::fold(first).as_str() {
            "approved" => Verdict::Approved,
            "refused" => Verdict::Refused,
            _ => return None,
        };
        let name = name.trim_start_matches([' ', ':']).trim_end();
        Some((verdict, name.to_owned()))
    }

    /// The verdict that an item's first word was probably meant to be: taken as an
    /// item it would become a price.
    pub fn near(item: &str) -> Option<&'static str> {
        let (first, _) = item.split_once([' ', ':']).unwrap_or((item, ""));
        let folded = words::fold(first);
        let near = words::nearest(&folded, ["approved", "refused"].into_iter())?;
        ["approved", "refused"]
            .into_iter()
            .find(|word| *word == near)
    }
}

impl<C: Fn(usize) -> Option<(usize, String)>> AgreedRow<'_, C> {
    /// A row with a verdict. It changes no price.
    pub(super) fn decision(
        &mut self,
        car: usize,
        (verdict, name): (Verdict, String),
        panel: Option<Panel>,
        group: Option<Group>,
        source: Provenance,
        rows: &mut AgreedRows,
    ) -> Option<Decision> {
        let subject = match name.as_str() {
            // What stands beside a panel or group names one of its lines.
            item if panel.is_some() || group.is_some() => Subject::Part {
                panel,
                group,
                item: item.to_owned(),
            },
            "" => Subject::Car,
            _ => Subject::Supplement(name),
        };
        let approved = match verdict {
            Verdict::Approved => self.amount(car).map(Some),
            Verdict::Refused if self.cell(4).is_blank() => Some(None),
            Verdict::Refused => {
                let expected = "no amount where the payer refused";
                self.refuse(4, Some(car), Refusal::new(expected));
                None
            }
        };
        let by = self.text(5).trim().to_owned();
        if by.is_empty() {
            self.refuse(5, Some(car), Refusal::new("who decided"));
        }
        let date = match day_cell::day(self.cell(6)) {
            Ok(Some(date)) => Some(date),
            Ok(None) => {
                self.refuse(6, Some(car), Refusal::new("the day of the decision"));
                None
            }
            Err(refusal) => {
                self.refuse(6, Some(car), refusal);
                None
            }
        };
        let (approved, date) = (approved?, date?);
        if by.is_empty() || !self.has_room(car) {
            return None;
        }
        let what = match &subject {
            Subject::Supplement(name) => words::fold(name),
            other => format!("{other:?}"),
        };
        let key = (car, format!("{what} {date}"));
        if let Some(first) = rows.decided.get(&key) {
            let expected = format!("one decision a day on the same thing; first at row {first}");
            self.refuse(3, Some(car), Refusal::new(expected));
            return None;
        }
        rows.decided.insert(key, self.row.number);
        Some(Decision {
            stock: Arc::from(self.drafts.cars[car].stock.as_str()),
            subject,
            approved,
            by,
            date,
            note: self.text(7),
            source,
        })
    }
}

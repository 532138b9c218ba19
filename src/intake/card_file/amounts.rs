//! Limits, amounts for referred panels, and extras.

use super::CardReader;
use super::raw::{RawConventional, RawExtra, RawLimit};
use crate::money::Exact;
use crate::rates::{Conventional, Extra, Limit, LimitAction, Per};
use toml::Spanned;

impl CardReader<'_, '_> {
    pub(super) fn limits(&mut self, raw: &[Spanned<RawLimit>]) -> Vec<Limit> {
        let mut limits = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let panels = self.panel_set(entry.panels.as_ref());
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "the most a panel may cost in dents"),
            };
            let then = match &entry.then {
                Some(value) => self.doc.word(
                    value,
                    &[("hold", LimitAction::Hold), ("refer", LimitAction::Refer)],
                ),
                None => self.missing(&span, "then", "hold or refer"),
            };
            if let (Some(panels), Some(amount), Some(then)) = (panels, amount, then) {
                limits.push(Limit {
                    panels,
                    amount: Exact::from(amount),
                    then,
                });
            }
        }
        limits
    }

    pub(super) fn conventional(&mut self, raw: &[Spanned<RawConventional>]) -> Vec<Conventional> {
        let mut entries = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let panels = self.panel_set(entry.panels.as_ref());
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "what a referred panel is entered at"),
            };
            if let (Some(panels), Some(amount)) = (panels, amount) {
                entries.push(Conventional {
                    panels,
                    amount: Exact::from(amount),
                });
            }
        }
        entries
    }

    pub(super) fn extras(&mut self, raw: &[Spanned<RawExtra>]) -> Vec<Extra> {
        let mut extras: Vec<Extra> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let name = match &entry.name {
                Some(value) => self.line_name(value, &names),
                None => self.missing(&span, "name", "the extra's name"),
            };
            names.extend(name.clone());
            let per = match &entry.per {
                Some(value) => self
                    .doc
                    .word(value, &[("vehicle", Per::Vehicle), ("panel", Per::Panel)]),
                None => self.missing(&span, "per", "vehicle or panel"),
            };
            let amount = match &entry.amount {
                Some(value) => self.doc.decimal(value),
                None => self.missing(&span, "amount", "the amount"),
            };
            if let (Some(name), Some(per), Some(amount)) = (name, per, amount) {
                extras.push(Extra {
                    name,
                    per,
                    amount: Exact::from(amount),
                });
            }
        }
        extras
    }
}

//! How cars are billed: `[bills]`, and what a bill says of a payer.

use super::super::toml_doc::Scalar;
use super::StormReader;
use super::raw::{RawBills, RawPayer};
use crate::billing::{BillTerms, BilledTogether, Untaxed};
use crate::storm::Party;
use iso_currency::Country;

/// The most days until a bill is due.
const MOST_DAYS: u32 = 366;
/// The most letters in front of a bill's number.
const LONGEST_PREFIX: usize = 24;

impl StormReader<'_, '_> {
    pub(super) fn bills(&mut self, raw: Option<&RawBills>) -> BillTerms {
        let mut terms = BillTerms::default();
        let Some(raw) = raw else {
            return terms;
        };
        if let Some(value) = &raw.prefix {
            terms.prefix = self.prefix(value).unwrap_or_default();
        }
        if let Some(value) = &raw.first
            && let Some(first) = self.doc.whole(value)
        {
            terms.first = u64::from(first);
        }
        if let Some(value) = &raw.per {
            let known = [
                ("car", BilledTogether::Car),
                ("payer", BilledTogether::Payer),
            ];
            terms.per = self.doc.word(value, &known).unwrap_or_default();
        }
        if let Some(value) = &raw.due_days
            && let Some(days) = self.doc.whole(value)
        {
            if days > MOST_DAYS {
                let expected = format!("at most {MOST_DAYS} days");
                self.doc.fault(&value.span(), expected);
            }
            terms.due_days = days;
        }
        if let Some(value) = &raw.untaxed {
            let known = [
                ("E", Untaxed::Exempt),
                ("Z", Untaxed::ZeroRated),
                ("O", Untaxed::OutOfScope),
            ];
            terms.untaxed = self.doc.word(value, &known).unwrap_or_default();
        }
        let texts = [
            (&raw.pay_to, &mut terms.pay_to),
            (&raw.account, &mut terms.account),
            (&raw.untaxed_reason, &mut terms.untaxed_reason),
            (&raw.tax_id, &mut terms.tax_id),
        ];
        for (value, text) in texts {
            if let Some(written) = value.as_ref().and_then(|value| self.doc.text(value)) {
                *text = written.trim().to_owned();
            }
        }
        terms.country = self.country(raw.country.as_ref());
        terms
    }

    /// What stands in front of a bill's figures.
    fn prefix(&mut self, value: &Scalar) -> Option<String> {
        let text = self.doc.text(value)?;
        let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        let is_sound = text.len() <= LONGEST_PREFIX && text.chars().all(is_plain);
        let is_sound = is_sound && !text.starts_with(['-', '.']);
        // Figures at its end would run into those of the number.
        if !is_sound || text.ends_with(|c: char| c.is_ascii_digit()) {
            let expected = format!(
                "at most {LONGEST_PREFIX} letters, figures, - _ or ., with no figure last and no sign first"
            );
            self.doc.fault(&value.span(), expected);
            return None;
        }
        Some(text)
    }

    /// A country's two letters.
    fn country(&mut self, value: Option<&Scalar>) -> String {
        let Some(value) = value else {
            return String::new();
        };
        let text = self.doc.text(value).unwrap_or_default();
        if text.to_ascii_uppercase().parse::<Country>().is_err() {
            let expected = "a country's two letters by ISO 3166-1";
            self.doc.fault(&value.span(), expected);
        }
        text.to_ascii_uppercase()
    }

    /// What a bill says of a payer beside its name.
    pub(super) fn party(&mut self, raw: &RawPayer) -> Party {
        let mut text = |value: &Option<Scalar>| {
            let written = value.as_ref().and_then(|value| self.doc.text(value));
            written.unwrap_or_default().trim().to_owned()
        };
        let (address, tax_id) = (text(&raw.address), text(&raw.tax_id));
        let reference = text(&raw.reference);
        Party {
            address,
            country: self.country(raw.country.as_ref()),
            tax_id,
            reference,
        }
    }
}

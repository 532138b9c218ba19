//! The terms of pay: `[[share]]` and `[pay]`.

use super::super::toml_doc::Scalar;
use super::StormReader;
use super::raw::{RawPay, RawShare};
use crate::money::Percent;
use crate::pay::{PayPeriod, PayTerms, PayableOn, RedoFrom, Share, ShareOf};
use crate::storm::{Group, words};
use rust_decimal::Decimal;
use toml::Spanned;

/// The most shares of a storm.
const MOST_SHARES: usize = 200;

const SHARED_OF: [(&str, ShareOf); 6] = [
    ("dents", ShareOf::Group(Group::Dents)),
    ("removal", ShareOf::Group(Group::Removal)),
    ("parts", ShareOf::Group(Group::Parts)),
    ("extra", ShareOf::Group(Group::Extra)),
    ("total", ShareOf::Total),
    ("dents_left", ShareOf::DentsLeft),
];

impl StormReader<'_, '_> {
    pub(super) fn pay(&mut self, shares: &[Spanned<RawShare>], pay: Option<&RawPay>) -> PayTerms {
        let mut terms = PayTerms {
            shares: self.shares(shares),
            ..PayTerms::default()
        };
        let Some(pay) = pay else {
            return terms;
        };
        if let Some(value) = &pay.redo {
            let known = [("charge", RedoFrom::Charge), ("house", RedoFrom::House)];
            terms.redo = self.doc.word(value, &known).unwrap_or_default();
        }
        if let Some(value) = &pay.period {
            let known = [("week", PayPeriod::Week), ("storm", PayPeriod::Storm)];
            terms.period = self.doc.word(value, &known).unwrap_or_default();
        }
        if let Some(value) = &pay.on {
            let known = [("work", PayableOn::Work), ("received", PayableOn::Received)];
            terms.on = self.doc.word(value, &known).unwrap_or_default();
        }
        if let Some(value) = &pay.conventional
            && let Some(name) = self.name(value)
        {
            terms.conventional = name;
        }
        if let Some(value) = &pay.overtime {
            terms.overtime = self.doc.word(value, &[("us-piece-rate", ())]).is_some();
            if terms.overtime && terms.period == PayPeriod::Storm {
                self.doc.fault(
                    &value.span(),
                    "period = \"week\": overtime goes by the week",
                );
            }
        }
        terms
    }

    /// A name that is not blank.
    fn name(&mut self, value: &Scalar) -> Option<String> {
        let text = self.doc.text(value)?.trim().to_owned();
        if text.is_empty() {
            self.doc.fault(&value.span(), "a name");
            return None;
        }
        Some(text)
    }

    fn shares(&mut self, raw: &[Spanned<RawShare>]) -> Vec<Share> {
        if let Some(first) = raw.get(MOST_SHARES) {
            let found = format!("{} of them", raw.len());
            let expected = format!("at most {MOST_SHARES} of [[share]]");
            self.doc.fault_key(&first.span(), "share", found, expected);
            return Vec::new();
        }
        let mut shares: Vec<Share> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let to = match &entry.to {
                Some(value) => self.name(value),
                None => {
                    self.doc.fault_key(&span, "to", "", "`to`: who gets it");
                    None
                }
            };
            if let (Some(to), Some(value)) = (&to, &entry.to)
                && shares
                    .iter()
                    .any(|share| words::fold(&share.to) == words::fold(to) && share.to != *to)
            {
                // One receiver, or two that nobody can tell apart on a list.
                self.doc
                    .fault(&value.span(), "one spelling of a name, or two names");
            }
            let of = match &entry.of {
                Some(value) => self.doc.word(value, &SHARED_OF),
                None => {
                    self.doc.fault_key(
                        &span,
                        "of",
                        "",
                        "`of`: dents, removal, parts, extra, total or dents_left",
                    );
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: how much");
                    None
                }
            };
            if let (Some(to), Some(of), Some(percent)) = (to, of, percent) {
                let at = entry
                    .percent
                    .as_ref()
                    .map_or(span.start, |value| value.span().start);
                let line = u32::try_from(self.doc.line_at(at)).unwrap_or(u32::MAX);
                shares.push(Share {
                    to,
                    of,
                    percent,
                    line,
                });
                self.check_whole(&shares, entry.percent.as_ref());
            }
        }
        shares
    }

    /// The percents of `total` and of one group are together at most 100.
    fn check_whole(&mut self, shares: &[Share], last: Option<&Scalar>) {
        let sum = |of: ShareOf| -> Decimal {
            shares
                .iter()
                .filter(|share| share.of == of)
                .map(|share| share.percent.0)
                .sum()
        };
        let (Some(last), Some(share)) = (last, shares.last()) else {
            return;
        };
        let groups = [Group::Dents, Group::Removal, Group::Parts, Group::Extra];
        let of_this = match share.of {
            ShareOf::Group(group) => vec![group],
            ShareOf::Total => groups.to_vec(),
            ShareOf::DentsLeft => Vec::new(),
        };
        for group in of_this {
            let together = sum(ShareOf::Total) + sum(ShareOf::Group(group));
            if Percent(together) > Percent(Decimal::ONE_HUNDRED) {
                let expected = format!(
                    "at most 100 with the shares of {} and of total above, not {}",
                    group.word(),
                    together.normalize()
                );
                self.doc.fault(&last.span(), expected);
                return;
            }
        }
    }
}

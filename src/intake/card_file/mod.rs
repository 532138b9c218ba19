//! `rates/NAME.toml` → [`RateCard`]. A card that comes out of here is sound.

mod amounts;
mod grids;
mod raw;
mod removals;
mod sizes;
mod uplifts;

pub use grids::band_expected;

use super::names::Names;
use super::source::Source;
use super::toml_doc::{Doc, List, Scalar, Span, one_of};
use crate::money::RoundingRule;
use crate::rates::{MixedSizes, RateCard, UpliftMode};
use crate::storm::words::{self, PanelWord, Vocabulary};
use crate::storm::{Body, Panel, PanelSet};
use raw::RawCard;
use rust_decimal::Decimal;
use toml::Spanned;

/// Reads one card. `None` when it is refused; the reasons are in the doc's problems.
pub fn read(
    doc: &mut Doc<'_>,
    source: &dyn Source,
    path: &str,
    names: &mut Names,
) -> Option<RateCard> {
    let before = doc.problems().errors();
    let raw: RawCard = doc.read()?;
    let mut reader = CardReader {
        doc,
        vocabulary: Vocabulary::default(),
    };
    let card = reader.card(&raw, source, path, names);
    (reader.doc.problems().errors() == before)
        .then_some(card)
        .flatten()
}

/// The most entries of one kind on a card.
const MOST_ENTRIES: usize = 200;

struct CardReader<'d, 'p> {
    doc: &'d mut Doc<'p>,
    vocabulary: Vocabulary,
}

fn panel_choices() -> Vec<(&'static str, Panel)> {
    Panel::ALL
        .into_iter()
        .map(|panel| (panel.word(), panel))
        .collect()
}

fn body_choices() -> Vec<(&'static str, Body)> {
    Body::ALL
        .into_iter()
        .map(|body| (body.word(), body))
        .collect()
}

impl CardReader<'_, '_> {
    fn card(
        &mut self,
        raw: &RawCard,
        source: &dyn Source,
        path: &str,
        names: &mut Names,
    ) -> Option<RateCard> {
        let before = self.doc.problems().errors();
        self.check_lengths(raw);
        if self.doc.problems().errors() > before {
            return None;
        }
        let name = match &raw.name {
            Some(name) => self.doc.name(name),
            None => self.missing(&(0..0), "name", "the card's name"),
        };
        let rounding = self.choice(
            raw.rounding.as_ref(),
            &[
                ("half-up", RoundingRule::HalfUp),
                ("half-even", RoundingRule::HalfEven),
            ],
        );
        let mixed_sizes = self.choice(
            raw.mixed_sizes.as_ref(),
            &[
                ("predominant", MixedSizes::Predominant),
                ("largest", MixedSizes::Largest),
                ("each", MixedSizes::Each),
            ],
        );
        let uplift_mode = self.choice(
            raw.uplifts.as_ref(),
            &[("add", UpliftMode::Add), ("compound", UpliftMode::Compound)],
        );
        let hour_rate = raw.hour_rate.as_ref().map(|rate| self.doc.decimal(rate));
        let removal_rate = raw.removal_rate.as_ref().map(|rate| self.doc.decimal(rate));
        let sizes = self.sizes(&raw.size, names);
        let grids = self.grids(&raw.grid, &sizes, hour_rate.is_some(), source, path);
        let oversize = self.steps(&raw.oversize);
        let uplifts = self.uplifts(&raw.uplift);
        let limits = self.limits(&raw.limit);
        let conventional = self.conventional(&raw.conventional);
        let removals = self.removals(&raw.removal, removal_rate.is_some(), names);
        let extras = self.extras(&raw.extra);
        let card = RateCard {
            name: name?,
            rounding,
            mixed_sizes,
            uplift_mode,
            hour_rate: hour_rate.unwrap_or(Some(Decimal::ZERO))?,
            removal_rate: removal_rate.unwrap_or(Some(Decimal::ZERO))?,
            sizes,
            grids,
            oversize,
            uplifts,
            limits,
            conventional,
            removals,
            extras,
        };
        self.check_compounding(raw, &card);
        Some(card)
    }

    /// Refuses lists that no agreed card has, since some rules compare every
    /// entry with every other.
    fn check_lengths(&mut self, raw: &RawCard) {
        let lists = [
            (
                "size",
                raw.size.len(),
                raw.size.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "grid",
                raw.grid.len(),
                raw.grid.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "oversize",
                raw.oversize.len(),
                raw.oversize.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "uplift",
                raw.uplift.len(),
                raw.uplift.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "limit",
                raw.limit.len(),
                raw.limit.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "conventional",
                raw.conventional.len(),
                raw.conventional.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "removal",
                raw.removal.len(),
                raw.removal.get(MOST_ENTRIES).map(Spanned::span),
            ),
            (
                "extra",
                raw.extra.len(),
                raw.extra.get(MOST_ENTRIES).map(Spanned::span),
            ),
        ];
        for (key, length, first_too_many) in lists {
            if let Some(span) = first_too_many {
                self.doc.fault_key(
                    &span,
                    key,
                    format!("{length} of them"),
                    format!("at most {MOST_ENTRIES} of [[{key}]]"),
                );
            }
        }
    }

    fn missing<T>(&mut self, at: &Span, key: &str, expected: &str) -> Option<T> {
        self.doc
            .fault_key(at, key, "", format!("`{key}`: {expected}"));
        None
    }

    fn choice<T: Copy + Default>(
        &mut self,
        value: Option<&Scalar>,
        known: &[(&'static str, T)],
    ) -> T {
        value
            .and_then(|value| self.doc.word(value, known))
            .unwrap_or_default()
    }

    fn panels(&mut self, list: &List) -> Option<Vec<Panel>> {
        let vocabulary = &self.vocabulary;
        self.doc.word_list(list, &panel_choices(), |word| {
            match vocabulary.panel(word)? {
                PanelWord::One(panel) => Some(panel.word().to_owned()),
                PanelWord::NoSide(panels) => {
                    let words: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                    Some(one_of(&words))
                }
            }
        })
    }

    /// A list of panels as a set: `Some(None)` without a list, `None` when the list is at fault.
    fn panel_set(&mut self, list: Option<&List>) -> Option<Option<PanelSet>> {
        match list {
            None => Some(None),
            Some(list) => Some(Some(self.panels(list)?.into_iter().collect())),
        }
    }

    /// A name that is printed on lines but heads no column.
    fn line_name(&mut self, value: &Scalar, others: &[String]) -> Option<String> {
        let name = self.doc.name(value)?;
        let folded = words::fold(&name);
        if name.contains(['+', ';']) {
            self.doc.fault(
                &value.span(),
                "a name without `+` or `;`, which part the terms of a sheet",
            );
            return None;
        }
        if ["mm", "in"].contains(&folded.as_str()) {
            self.doc.fault(&value.span(), "a name that is no unit");
            return None;
        }
        if let Some(other) = others.iter().find(|other| words::fold(other) == folded) {
            self.doc.fault(
                &value.span(),
                format!("a name that differs from `{other}` once folded"),
            );
            return None;
        }
        Some(name)
    }
}

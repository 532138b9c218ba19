//! When the site works and how long work takes: `[hours]`, `[time]`, `[site]`.

use super::super::day_cell::clock_time;
use super::super::names::Names;
use super::super::problem::{Place, Problem, Problems, Severity};
use super::super::toml_doc::Scalar;
use super::StormReader;
use super::raw::{RawHours, RawSite, RawTime};
use crate::crew::{Site, SiteHours, TimeStandard};
use crate::storm::words;
use crate::storm::{Access, Metal};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

const WEEKDAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// The greatest minutes of one thing, and the finest: every sum is then exact.
const MOST_MINUTES: u32 = 1_000;
const MINUTE_PLACES: u32 = 3;
/// Likewise of a factor.
const MOST_FACTOR: u32 = 20;
const FACTOR_PLACES: u32 = 2;

/// What was read of a standard before the cards have told their size classes.
pub struct StandardDraft {
    standard: TimeStandard,
    per_dent: Vec<(String, Decimal, Place)>,
}

impl StandardDraft {
    /// The standard, its classes found by name. `any` passes over a class that
    /// no card has: another card stands in for those of the storm.
    pub fn of_names(self, names: &Names, any: bool, problems: &mut Problems) -> TimeStandard {
        let mut standard = self.standard;
        for (name, minutes, place) in self.per_dent {
            match names.size(&name) {
                Ok(size) => {
                    standard.per_dent.insert(size, minutes);
                }
                Err(_) if any => {}
                Err(refusal) => problems.push_stopping(Problem {
                    severity: Severity::Error,
                    place,
                    found: name,
                    expected: "a size class of a card".to_owned(),
                    meant: refusal.meant,
                    stock: None,
                }),
            }
        }
        standard
    }
}

impl StormReader<'_, '_> {
    pub(super) fn hours(&mut self, raw: Option<&toml::Spanned<RawHours>>) -> Option<SiteHours> {
        let span = raw?.span();
        let raw = raw?.get_ref();
        let mut needed = |value: Option<&Scalar>, key: &str, expected: &str| {
            if value.is_none() {
                self.doc.fault_key(&span, key, "", expected);
            }
        };
        needed(
            raw.start.as_ref(),
            "start",
            "`start`: the first working day",
        );
        needed(
            raw.from.as_ref(),
            "from",
            "`from`: when the day begins, such as \"07:30\"",
        );
        needed(
            raw.to.as_ref(),
            "to",
            "`to`: when the day ends, such as \"18:00\"",
        );
        let start = self.date(raw.start.as_ref());
        if let (Some(day), Some(value)) = (start, &raw.start)
            && !YEARS.contains(&day.year())
        {
            let expected = format!("a day from {} to {}", YEARS.start(), YEARS.end());
            self.doc.fault(&value.span(), expected);
            return None;
        }
        let weekdays = match &raw.days {
            Some(value) => self.weekdays(value),
            None => Some([true, true, true, true, true, false, false]),
        };
        let from = raw.from.as_ref().and_then(|value| self.clock(value));
        let to = raw.to.as_ref().and_then(|value| self.clock(value));
        let length = match &raw.pause {
            Some(value) => self.length(value),
            None => Some(0),
        };
        let at = match &raw.pause_at {
            Some(value) => Some(self.clock(value)?),
            None => None,
        };
        let closed: Vec<Option<Date>> = raw
            .closed
            .iter()
            .flat_map(|list| list.get_ref())
            .map(|value| self.date(Some(value)))
            .collect();
        let (start, weekdays) = (start?, weekdays?);
        let (from, to, length) = (from?, to?, length?);
        let closed: Vec<Date> = closed.into_iter().collect::<Option<_>>()?;
        if closed.len() > MOST_CLOSED {
            let expected = format!("at most {MOST_CLOSED} closed days");
            self.doc
                .fault_key(&span, "closed", closed.len().to_string(), expected);
            return None;
        }
        // The middle of the day, to the minute before it.
        let at = at.unwrap_or((from + to - length) / 2);
        let hours = SiteHours::new(start, weekdays, (from, to), (at, at + length), closed);
        if hours.is_none() {
            let (key, value, expected) = if to <= from {
                (
                    "to",
                    raw.to.as_ref(),
                    "a time after `from`, on the same day",
                )
            } else {
                (
                    "break",
                    raw.pause_at.as_ref().or(raw.pause.as_ref()),
                    "a break within the day that leaves time to work",
                )
            };
            match value {
                Some(value) => self.doc.fault(&value.span(), expected),
                None => self.doc.fault_key(&span, key, "", expected),
            }
        }
        hours
    }

    /// `"mon-sat"`, `"mon"`, or a list of days.
    fn weekdays(&mut self, value: &Scalar) -> Option<[bool; 7]> {
        const EXPECTED: &str = "days such as \"mon-sat\" or [\"mon\", \"wed\"]";
        let of = |word: &str| {
            let folded = words::fold(word);
            WEEKDAYS.iter().position(|day| *day == folded)
        };
        let texts: Option<Vec<String>> = match value.get_ref() {
            toml::Value::String(text) => Some(vec![text.clone()]),
            toml::Value::Array(items) => items
                .iter()
                .map(|item| item.as_str().map(str::to_owned))
                .collect(),
            _ => None,
        };
        let mut days = [false; 7];
        let mut sound = true;
        for text in texts.iter().flatten() {
            let (first, last) = text.split_once('-').unwrap_or((text, text));
            match (of(first.trim()), of(last.trim())) {
                (Some(first), Some(last)) => {
                    let length = (last + 7 - first) % 7;
                    for step in 0..=length {
                        days[(first + step) % 7] = true;
                    }
                }
                _ => sound = false,
            }
        }
        if texts.is_none() || !sound || !days.contains(&true) {
            let meant = texts
                .iter()
                .flatten()
                .flat_map(|text| text.split('-'))
                .find(|word| of(word.trim()).is_none())
                .and_then(|word| words::nearest(&words::fold(word), WEEKDAYS.into_iter()))
                .map(str::to_owned);
            self.doc.fault_meant(&value.span(), EXPECTED, meant);
            return None;
        }
        Some(days)
    }

    /// A time of day in minutes after midnight; 24:00 is the day's end.
    fn clock(&mut self, value: &Scalar) -> Option<i64> {
        const EXPECTED: &str = "a quoted time of day, such as \"07:30\"";
        let text = match value.get_ref() {
            toml::Value::String(text) => text.clone(),
            _ => {
                let written = self.doc.source_text(&value.span());
                let meant = clock_time(&written).map(|_| format!("\"{written}\""));
                self.doc.fault_meant(&value.span(), EXPECTED, meant);
                return None;
            }
        };
        if text.trim() == "24:00" {
            return Some(24 * 60);
        }
        let Some(time) = clock_time(text.trim()) else {
            self.doc.fault(&value.span(), EXPECTED);
            return None;
        };
        Some(i64::from(time.hour()) * 60 + i64::from(time.minute()))
    }

    /// `"45 min"`.
    fn length(&mut self, value: &Scalar) -> Option<i64> {
        const EXPECTED: &str = "whole minutes, such as \"45 min\"";
        let text = value.get_ref().as_str().unwrap_or_default().to_owned();
        let minutes = text
            .trim()
            .strip_suffix("min")
            .and_then(|figure| figure.trim().parse::<u16>().ok())
            .filter(|minutes| *minutes < 24 * 60);
        if minutes.is_none() {
            let digits = self.doc.source_text(&value.span());
            let meant = digits
                .trim()
                .parse::<u16>()
                .ok()
                .map(|figure| format!("\"{figure} min\""));
            self.doc.fault_meant(&value.span(), EXPECTED, meant);
        }
        minutes.map(i64::from)
    }

    pub(super) fn site(&mut self, raw: Option<&RawSite>) -> Site {
        let mut site = Site::default();
        let Some(raw) = raw else {
            return site;
        };
        if let Some(value) = &raw.bays {
            site.bays = self.doc.whole(value);
        }
        if let Some(value) = &raw.hands_per_car
            && let Some(hands) = self.doc.whole(value)
        {
            site.hands_per_car = hands;
        }
        if let Some(value) = &raw.release_for_parts
            && let Some(release) = self.doc.truth(value)
        {
            site.release_for_parts = release;
        }
        site
    }

    pub(super) fn standard(
        &mut self,
        raw: Option<&toml::Spanned<RawTime>>,
    ) -> Option<StandardDraft> {
        let span = raw?.span();
        let raw = raw?.get_ref();
        if raw.per_dent.is_empty() {
            self.doc.fault_key(
                &span,
                "per_dent",
                "",
                "`per_dent`: minutes of one dent, by size class",
            );
        }
        let base = self.minutes(raw.oversize_base.as_ref());
        let per_mm = self.minutes(raw.oversize_per_mm.as_ref());
        let oversize = (raw.oversize_base.is_some() || raw.oversize_per_mm.is_some())
            .then(|| (base.unwrap_or_default(), per_mm.unwrap_or_default()));
        let metal = self.factors(&raw.metal, &Metal::ALL.map(|metal| (metal.word(), metal)));
        let access = self.factors(
            &raw.access,
            &Access::ALL.map(|access| (access.word(), access)),
        );
        let half = Decimal::new(5, 1);
        let standard = TimeStandard {
            panel_setup: self.minutes(raw.panel_setup.as_ref()).unwrap_or_default(),
            per_dent: BTreeMap::new(),
            oversize,
            metal,
            access,
            finish_per_car: self
                .minutes(raw.finish_per_car.as_ref())
                .unwrap_or_default(),
            removal_share: self
                .bounded(raw.removal_share.as_ref(), 1, FACTOR_PLACES)
                .unwrap_or(half),
            removal_factor: self
                .factor(raw.removal_factor.as_ref())
                .unwrap_or(Decimal::ONE),
            spread: self
                .bounded(raw.spread.as_ref(), 2, MINUTE_PLACES)
                .unwrap_or(Decimal::new(25, 2)),
        };
        let mut per_dent = Vec::new();
        for (name, value) in &raw.per_dent {
            if let Some(minutes) = self.minutes(Some(value)) {
                per_dent.push((name.clone(), minutes, self.doc.place(&value.span())));
            }
        }
        Some(StandardDraft { standard, per_dent })
    }

    fn minutes(&mut self, value: Option<&Scalar>) -> Option<Decimal> {
        self.bounded(value, MOST_MINUTES, MINUTE_PLACES)
    }

    fn factor(&mut self, value: Option<&Scalar>) -> Option<Decimal> {
        let factor = self.bounded(value, MOST_FACTOR, FACTOR_PLACES)?;
        if factor.is_zero()
            && let Some(value) = value
        {
            self.doc.fault(&value.span(), "a number above 0");
            return None;
        }
        Some(factor)
    }

    fn bounded(&mut self, value: Option<&Scalar>, most: u32, places: u32) -> Option<Decimal> {
        let value = value?;
        let number = self.doc.decimal(value)?;
        if number > Decimal::from(most) || number.normalize().scale() > places {
            let expected = format!("0 to {most}, with at most {places} decimals");
            self.doc.fault(&value.span(), expected);
            return None;
        }
        Some(number)
    }

    fn factors<T: Copy + Ord>(
        &mut self,
        raw: &BTreeMap<String, Scalar>,
        known: &[(&'static str, T)],
    ) -> BTreeMap<T, Decimal> {
        let mut factors = BTreeMap::new();
        for (word, value) in raw {
            let folded = words::fold(word);
            let found = known.iter().find(|(known, _)| *known == word);
            let Some((_, of)) = found else {
                let all: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
                let meant = known
                    .iter()
                    .map(|(word, _)| *word)
                    .find(|known| words::fold(known) == folded)
                    .or_else(|| words::nearest(&folded, all.iter().copied()))
                    .map(str::to_owned);
                let expected = super::super::toml_doc::one_of(&all);
                self.doc
                    .fault_found(&value.span(), word.clone(), expected, meant);
                continue;
            };
            if let Some(factor) = self.factor(Some(value)) {
                factors.insert(*of, factor);
            }
        }
        factors
    }
}

/// Years in which a storm may be planned: the calendar has an end.
const YEARS: std::ops::RangeInclusive<i16> = 1900..=2999;
/// Days that a site may be closed on: each is a line of a file.
const MOST_CLOSED: usize = 1_000;

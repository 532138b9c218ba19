//! What a value must be to be taken as a text, a figure, a word, a list.

use super::{Doc, List, Scalar, plain_decimal};
use crate::money::Percent;
use crate::storm::words;
use rust_decimal::Decimal;

/// Hours at most, so that no sum of work or of its price passes all figures.
pub const MOST_HOURS: u32 = 10_000;

impl Doc<'_> {
    /// A text.
    pub fn text(&mut self, value: &Scalar) -> Option<String> {
        if let Some(text) = value.get_ref().as_str() {
            return Some(text.to_owned());
        }
        let offered = format!("a quoted text: \"{}\"", self.source_text(&value.span()));
        self.fault(&value.span(), offered);
        None
    }

    /// A text that is not blank.
    pub fn name(&mut self, value: &Scalar) -> Option<String> {
        let text = self.text(value)?.trim().to_owned();
        if text.is_empty() {
            self.fault(&value.span(), "a name");
            return None;
        }
        Some(text)
    }

    /// Yes or no.
    pub fn truth(&mut self, value: &Scalar) -> Option<bool> {
        let truth = value.get_ref().as_bool();
        if truth.is_none() {
            self.fault(&value.span(), "true or false");
        }
        truth
    }

    /// An exact decimal: quoted, or a bare whole number. A bare float is
    /// refused, since a binary float has already lost the figure.
    pub fn decimal(&mut self, value: &Scalar) -> Option<Decimal> {
        let written = self.source_text(&value.span());
        match value.get_ref() {
            toml::Value::String(text) => match plain_decimal(text) {
                Ok(number) => Some(number),
                Err(meant) => {
                    self.fault_meant(&value.span(), "digits and one point", meant);
                    None
                }
            },
            toml::Value::Integer(number) => match plain_decimal(&number.to_string()) {
                Ok(number) => Some(number),
                Err(_) => {
                    self.fault(&value.span(), "a number, 0 or more");
                    None
                }
            },
            toml::Value::Float(_) => {
                self.fault(&value.span(), format!("a quoted decimal: \"{written}\""));
                None
            }
            _ => {
                self.fault(&value.span(), "a quoted decimal");
                None
            }
        }
    }

    /// Hours of work on one thing.
    pub fn hours(&mut self, value: &Scalar) -> Option<Decimal> {
        let hours = self.decimal(value)?;
        if hours > Decimal::from(MOST_HOURS) {
            self.fault(&value.span(), format!("at most {MOST_HOURS} hours"));
            return None;
        }
        Some(hours)
    }

    /// A decimal above 0.
    pub fn positive(&mut self, value: &Scalar) -> Option<Decimal> {
        let number = self.decimal(value)?;
        if number.is_zero() {
            self.fault(&value.span(), "a number above 0");
            return None;
        }
        Some(number)
    }

    /// A percent from 0 to `most` with at most three decimals.
    pub fn percent(&mut self, value: &Scalar, most: u32) -> Option<Percent> {
        let number = self.decimal(value)?;
        if number.normalize().scale() > Percent::PLACES {
            self.fault(&value.span(), "a percent with at most three decimals");
            return None;
        }
        if number > Decimal::from(most) {
            self.fault(&value.span(), format!("0 to {most}"));
            return None;
        }
        Some(Percent(number))
    }

    /// A whole number from 1.
    pub fn whole(&mut self, value: &Scalar) -> Option<u32> {
        let number = match value.get_ref() {
            toml::Value::Integer(number) => u32::try_from(*number).ok(),
            toml::Value::String(text) => text.parse().ok(),
            _ => None,
        };
        let number = number.filter(|number| *number > 0);
        if number.is_none() {
            self.fault(&value.span(), "a whole number from 1");
        }
        number
    }

    /// One of a closed set of words, letter for letter. The right one is
    /// offered for another spelling.
    pub fn word<T: Copy>(&mut self, value: &Scalar, known: &[(&'static str, T)]) -> Option<T> {
        self.word_or_alias(value, known, |_| None)
    }

    /// The same, where other words of the trade lead to the offered one.
    pub fn word_or_alias<T: Copy>(
        &mut self,
        value: &Scalar,
        known: &[(&'static str, T)],
        alias: impl Fn(&str) -> Option<String>,
    ) -> Option<T> {
        let text = self.text(value)?;
        if let Some((_, word)) = known.iter().find(|(word, _)| *word == text) {
            return Some(*word);
        }
        let folded = words::fold(&text);
        let meant = known
            .iter()
            .find(|(word, _)| words::fold(word) == folded)
            .map(|(word, _)| (*word).to_owned())
            .or_else(|| alias(&text))
            .or_else(|| {
                words::nearest(&folded, known.iter().map(|(word, _)| *word)).map(str::to_owned)
            });
        let all: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
        self.fault_meant(&value.span(), one_of(&all), meant);
        None
    }

    /// A list of words, none twice, not empty.
    pub fn word_list<T: Copy + PartialEq>(
        &mut self,
        list: &List,
        known: &[(&'static str, T)],
        alias: impl Fn(&str) -> Option<String>,
    ) -> Option<Vec<T>> {
        if list.get_ref().is_empty() {
            self.fault(
                &list.span(),
                "a list that is not empty; leave the key out to mean every one",
            );
            return None;
        }
        let mut words = Vec::new();
        let mut sound = true;
        for item in list.get_ref() {
            match self.word_or_alias(item, known, &alias) {
                Some(word) if words.contains(&word) => {
                    self.fault(&item.span(), "a word once in a list");
                    sound = false;
                }
                Some(word) => words.push(word),
                None => sound = false,
            }
        }
        sound.then_some(words)
    }
}

/// `a, b or c`.
#[must_use]
pub fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

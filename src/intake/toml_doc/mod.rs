//! A TOML file as a place-keeping reader: serde makes raw structs with
//! `deny_unknown_fields`, and every fault is gathered with its line and key.

mod decimal;
mod values;

pub use decimal::plain_decimal;
pub use values::{MOST_HOURS, one_of};

use super::problem::{Place, Problem, Problems, Severity};
use super::source::{ReadError, Source};
use crate::storm::words;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A raw scalar with its place.
pub type Scalar = Spanned<toml::Value>;
/// A raw list with the places of its items.
pub type List = Spanned<Vec<Scalar>>;

/// A settings file is small; a larger one is no settings file.
const MAX_BYTES: u64 = 1 << 20;

/// Each fault costs a reading anew, so a file of nothing but faults is left
/// after this many.
const MOST_FAULTS: usize = 50;

/// One TOML file being read.
pub struct Doc<'p> {
    file: String,
    order: u32,
    text: String,
    line_starts: Vec<usize>,
    problems: &'p mut Problems,
    /// Keys by the span of their value, so that a fault can name its key.
    keys: BTreeMap<(usize, usize), String>,
}

/// Where in a file: the span of a value.
pub type Span = Range<usize>;

impl<'p> Doc<'p> {
    /// Reads and decodes a file; a fault is a problem that stops everything.
    pub fn open(
        source: &dyn Source,
        file: &str,
        order: u32,
        problems: &'p mut Problems,
    ) -> Option<Doc<'p>> {
        let bytes = match source.read(file, MAX_BYTES) {
            Ok(bytes) => bytes.into_owned(),
            Err(error) => {
                let found = match error {
                    ReadError::Missing => String::new(),
                    other => other.to_string(),
                };
                problems.push_stopping(Problem {
                    severity: Severity::Error,
                    place: Place {
                        order,
                        ..Place::file(file)
                    },
                    found,
                    expected: "a TOML file that can be read".to_owned(),
                    meant: None,
                    stock: None,
                });
                return None;
            }
        };
        let (text, broken) = match String::from_utf8(bytes) {
            Ok(text) => (text, None),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                (String::new(), Some((error.into_bytes(), at)))
            }
        };
        let text = text
            .strip_prefix('\u{feff}')
            .map_or(text.clone(), str::to_owned);
        let mut doc = Doc {
            file: file.to_owned(),
            order,
            line_starts: std::iter::once(0)
                .chain(text.match_indices('\n').map(|(at, _)| at + 1))
                .collect(),
            text,
            problems,
            keys: BTreeMap::new(),
        };
        if let Some((bytes, at)) = broken {
            let line = bytes[..at].iter().filter(|b| **b == b'\n').count() + 1;
            doc.problem_at_line(
                line,
                None,
                "bytes that are not UTF-8",
                "UTF-8, as TOML asks",
            );
            return None;
        }
        Some(doc)
    }

    /// Reads the whole file into raw structs. Unknown keys and wrong shapes
    /// are each reported and taken out, so that one pass finds them all.
    pub fn read<T: DeserializeOwned>(&mut self) -> Option<T> {
        let text = self.text.clone();
        let (mut table, errors) = DeTable::parse_recoverable(&text);
        if !errors.is_empty() {
            for error in errors.into_iter().take(MOST_FAULTS) {
                let at = error.span().map_or(0, |span| span.start);
                let line = self.line_at(at);
                let found = self.line_text(line);
                self.problem_at_line(line, None, &found, &format!("TOML: {}", error.message()));
            }
            return None;
        }
        self.note_keys(table.get_ref());
        for _ in 0..MOST_FAULTS {
            match T::deserialize(toml::Deserializer::from(table.clone())) {
                Ok(raw) => return Some(raw),
                Err(error) => {
                    let removed = error
                        .span()
                        .and_then(|span| remove_entry(table.get_mut(), &span));
                    let Some((key, span)) = removed else {
                        let line = self.line_at(error.span().map_or(0, |span| span.start));
                        let found = self.line_text(line);
                        self.problem_at_line(line, None, &found, error.message());
                        return None;
                    };
                    self.shape_problem(&key, &span, error.message());
                }
            }
        }
        None
    }

    fn shape_problem(&mut self, key: &str, span: &Span, message: &str) {
        let line = self.line_at(span.start);
        if message.starts_with("unknown field") {
            let known: Vec<&str> = message.split('`').skip(3).step_by(2).collect();
            let meant = words::nearest(&words::fold(key), known.iter().copied())
                .or_else(|| words::nearest(key, known.iter().copied()))
                .map(str::to_owned);
            let expected = if meant.is_some() {
                "a known key".to_owned()
            } else {
                format!("one of {}", known.join(", "))
            };
            self.push(line, Some(key), key.to_owned(), expected, meant);
        } else {
            let found = self.source_text(span);
            self.push(line, Some(key), found, message.to_owned(), None);
        }
    }

    fn note_keys(&mut self, table: &DeTable<'_>) {
        for (key, value) in table {
            let span = value.span();
            self.keys
                .insert((span.start, span.end), key.get_ref().to_string());
            self.note_value(key.get_ref(), value.get_ref());
        }
    }

    fn note_value(&mut self, key: &str, value: &DeValue<'_>) {
        match value {
            DeValue::Table(table) => self.note_keys(table),
            DeValue::Array(array) => {
                for item in array.iter() {
                    let span = item.span();
                    self.keys
                        .entry((span.start, span.end))
                        .or_insert_with(|| key.to_owned());
                    self.note_value(key, item.get_ref());
                }
            }
            _ => {}
        }
    }

    /// The line, from 1, of a byte.
    #[must_use]
    pub fn line_at(&self, at: usize) -> usize {
        self.line_starts
            .partition_point(|start| *start <= at)
            .max(1)
    }

    fn line_text(&self, line: usize) -> String {
        self.text
            .lines()
            .nth(line - 1)
            .unwrap_or_default()
            .trim()
            .to_owned()
    }

    /// What stands in the file at a span, quotes taken off.
    #[must_use]
    pub fn source_text(&self, span: &Span) -> String {
        let text = self.text.get(span.clone()).unwrap_or_default().trim();
        ['"', '\'']
            .iter()
            .find_map(|quote| text.strip_prefix(*quote)?.strip_suffix(*quote))
            .unwrap_or(text)
            .to_owned()
    }

    fn push(
        &mut self,
        line: usize,
        key: Option<&str>,
        found: String,
        expected: String,
        meant: Option<String>,
    ) {
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place: Place {
                order: self.order,
                row: u32::try_from(line).ok(),
                column: key.map(str::to_owned),
                ..Place::file(&self.file)
            },
            found,
            expected,
            meant,
            stock: None,
        });
    }

    fn problem_at_line(&mut self, line: usize, key: Option<&str>, found: &str, expected: &str) {
        self.push(line, key, found.to_owned(), expected.to_owned(), None);
    }

    /// The key whose value stands at a span.
    fn key_at(&self, span: &Span) -> Option<String> {
        self.keys.get(&(span.start, span.end)).cloned()
    }

    /// Reports a value: what stands there against what was expected.
    pub fn fault(&mut self, span: &Span, expected: impl Into<String>) {
        let found = self.source_text(span);
        self.fault_found(span, found, expected, None);
    }

    /// Reports a value and what was probably meant.
    pub fn fault_meant(&mut self, span: &Span, expected: impl Into<String>, meant: Option<String>) {
        let found = self.source_text(span);
        self.fault_found(span, found, expected, meant);
    }

    /// Reports a value with another text for what was found.
    pub fn fault_found(
        &mut self,
        span: &Span,
        found: impl Into<String>,
        expected: impl Into<String>,
        meant: Option<String>,
    ) {
        let key = self.key_at(span);
        let line = self.line_at(span.start);
        self.push(line, key.as_deref(), found.into(), expected.into(), meant);
    }

    /// Reports something under a key of its own choice, at the line of a span:
    /// a key that is missing, a table as a whole.
    pub fn fault_key(
        &mut self,
        span: &Span,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        let line = self.line_at(span.start);
        self.push(line, Some(key), found.into(), expected.into(), None);
    }

    /// The place of a value, for a problem that is only seen later.
    #[must_use]
    pub fn place(&self, span: &Span) -> Place {
        Place {
            order: self.order,
            row: u32::try_from(self.line_at(span.start)).ok(),
            column: self.key_at(span),
            ..Place::file(&self.file)
        }
    }

    /// Other problems found beside this file, such as those of a grid file.
    pub fn problems(&mut self) -> &mut Problems {
        self.problems
    }
}

/// Takes out the deepest entry whose key or value holds the span.
fn remove_entry(table: &mut DeTable<'_>, span: &Span) -> Option<(String, Span)> {
    let holds = |outer: Span| outer.start <= span.start && span.end <= outer.end;
    let mut hit = None;
    for (key, value) in table.iter_mut() {
        if holds(key.span()) {
            hit = Some((key.get_ref().to_string(), key.span()));
            break;
        }
        match value.get_mut() {
            DeValue::Table(inner) => {
                if let Some(removed) = remove_entry(inner, span) {
                    return Some(removed);
                }
            }
            DeValue::Array(items) => {
                for item in items.iter_mut() {
                    if let DeValue::Table(inner) = item.get_mut()
                        && let Some(removed) = remove_entry(inner, span)
                    {
                        return Some(removed);
                    }
                }
            }
            _ => {}
        }
        if holds(value.span()) {
            hit = Some((key.get_ref().to_string(), value.span()));
        }
    }
    let (key, at) = hit?;
    table.remove(key.as_str())?;
    Some((key, at))
}

//! A problem is a value: where, what was found, what was expected, and what
//! was probably meant. Nothing is printed here.

use std::fmt;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The car is not priced, not even in part.
    Error,
    /// Priced, but look.
    Caution,
}

impl Severity {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Caution => "caution",
        }
    }
}

/// Where in the inputs. Rows count as a spreadsheet's do, from 1; in TOML
/// files they are lines and the column is the key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// Reading order of the file, for sorting.
    pub order: u32,
    /// The file, from the storm's folder down, with `/`.
    pub file: String,
    /// The sheet of a workbook.
    pub sheet: Option<String>,
    /// The row or line.
    pub row: Option<u32>,
    /// Position of the column, from 0, where there is one.
    pub column_index: Option<u32>,
    /// The column's header or the key.
    pub column: Option<String>,
}

impl Place {
    /// A whole file.
    #[must_use]
    pub fn file(file: impl Into<String>) -> Place {
        Place {
            file: file.into(),
            ..Place::default()
        }
    }

    /// The cell address, `C5`; only workbooks have one.
    #[must_use]
    pub fn cell(&self) -> Option<String> {
        self.sheet.as_ref()?;
        Some(format!(
            "{}{}",
            column_letters(self.column_index?),
            self.row?
        ))
    }
}

/// The letters of a spreadsheet column: 0 is A, 26 is AA.
#[must_use]
pub fn column_letters(index: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = index + 1;
    while rest > 0 {
        rest -= 1;
        letters.push(b'A' + u8::try_from(rest % 26).unwrap_or(0));
        rest /= 26;
    }
    letters.reverse();
    String::from_utf8(letters).unwrap_or_default()
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", printable(&self.file))?;
        if let Some(sheet) = &self.sheet {
            write!(f, ", sheet {}", printable(sheet))?;
        }
        if let Some(row) = self.row {
            let word = if self.file.ends_with(".toml") {
                "line"
            } else {
                "row"
            };
            write!(f, ", {word} {row}")?;
        }
        if let Some(column) = &self.column {
            write!(f, ", {}", printable(column))?;
        }
        if let Some(cell) = self.cell() {
            write!(f, " ({cell})")?;
        }
        Ok(())
    }
}

/// One problem of the inputs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// How bad.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// What stands there.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What was probably meant.
    pub meant: Option<String>,
    /// The stock that it concerns, where one is known.
    pub stock: Option<String>,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.severity.word(), self.place)?;
        if self.found.is_empty() {
            write!(f, ": nothing found")?;
        } else {
            write!(f, ": found `{}`", printable(&self.found))?;
        }
        write!(f, "; expected {}", printable_long(&self.expected))?;
        if let Some(meant) = &self.meant {
            write!(f, "; probably {}", printable(meant))?;
        }
        if let Some(stock) = &self.stock {
            write!(f, " [car {}]", printable(stock))?;
        }
        Ok(())
    }
}

/// Text of the inputs made safe and short enough for a line of a terminal:
/// control and direction marks are shown as escapes, the rest is cut at 120 characters.
#[must_use]
pub fn printable(text: &str) -> String {
    escaped_to(text, 120)
}

/// The same at any length, for prose of our own that holds such text.
#[must_use]
pub fn printable_long(text: &str) -> String {
    escaped_to(text, usize::MAX)
}

fn escaped_to(text: &str, most: usize) -> String {
    let mut shown = String::with_capacity(text.len().min(200));
    for (count, c) in text.chars().enumerate() {
        if count == most {
            shown.push('…');
            break;
        }
        match c {
            '\n' => shown.push_str("\\n"),
            '\r' => shown.push_str("\\r"),
            '\t' => shown.push_str("\\t"),
            c if c.is_control()
                || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}') =>
            {
                shown.push_str(&format!("\\u{{{:x}}}", u32::from(c)));
            }
            c => shown.push(c),
        }
    }
    shown
}

/// Problems in the order in which they were met; past a bound only counted.
#[derive(Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
    errors: usize,
    cautions: usize,
    stops: bool,
    notes: Vec<(Place, String)>,
}

impl Problems {
    /// How many are kept with their text. No one reads more, and a file of
    /// nothing but errors must not fill the memory.
    const KEPT: usize = 20_000;

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        match problem.severity {
            Severity::Error => self.errors += 1,
            Severity::Caution => self.cautions += 1,
        }
        // Errors and cautions have a bound each: no flood of cautions drowns an error.
        let so_far = match problem.severity {
            Severity::Error => self.errors,
            Severity::Caution => self.cautions,
        };
        if so_far <= Problems::KEPT {
            self.list.push(problem);
        }
    }

    /// Whether more problems are only counted: what costs effort to say of
    /// one is then no longer worth it.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.errors >= Problems::KEPT
    }

    /// Adds what is neither wrong nor worth a second look, but is to be said:
    /// rows passed over, an encoding.
    pub fn note(&mut self, place: Place, said: String) {
        if self.notes.len() < Problems::KEPT {
            self.notes.push((place, said));
        }
    }

    /// What is to be said, in the order of reading.
    #[must_use]
    pub fn notes(&self) -> &[(Place, String)] {
        &self.notes
    }

    /// Adds an error that belongs to no one car: nothing can be priced.
    pub fn push_stopping(&mut self, problem: Problem) {
        self.stops = true;
        self.push(problem);
    }

    /// Takes in the problems of another reading.
    pub fn join(&mut self, other: Problems) {
        self.stops |= other.stops;
        self.notes.extend(other.notes);
        let (mut errors, mut cautions) = (self.errors, self.cautions);
        self.errors += other.errors;
        self.cautions += other.cautions;
        for problem in other.list {
            let so_far = match problem.severity {
                Severity::Error => &mut errors,
                Severity::Caution => &mut cautions,
            };
            *so_far += 1;
            if *so_far <= Problems::KEPT {
                self.list.push(problem);
            }
        }
    }

    /// Whether an error belongs to no one car, so that not even the others can be priced.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.stops
    }

    /// How many errors.
    #[must_use]
    pub fn errors(&self) -> usize {
        self.errors
    }

    /// How many cautions.
    #[must_use]
    pub fn cautions(&self) -> usize {
        self.cautions
    }

    /// The problems kept, by file, sheet, row and column.
    #[must_use]
    pub fn sorted(&self) -> Vec<&Problem> {
        let mut list: Vec<&Problem> = self.list.iter().collect();
        list.sort_by(|a, b| a.place.cmp(&b.place));
        list
    }
}

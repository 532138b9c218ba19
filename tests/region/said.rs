//! What was said of an input, by the command and by the library.

use super::Files;
use super::both::folder;
use crate::builder::hailyard;
use hailyard::intake::{InMemory, Problem, Source, read_storm};

/// One problem: where it is, what was found and what was said of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    pub severity: &'static str,
    pub file: String,
    /// 0: the whole file.
    pub row: u32,
    /// Its header; empty: the whole row.
    pub column: String,
    pub found: String,
    /// Empty: no car's.
    pub car: String,
    /// What was expected and meant; of an expectation, a part of it.
    pub words: String,
}

impl Said {
    /// Whether this is said where the other was expected.
    pub fn meets(&self, expected: &Said) -> bool {
        let mut known = self.clone();
        known.words.clone_from(&expected.words);
        known == *expected && self.words.contains(&expected.words)
    }

    /// A line of the report on problems, up to what was expected.
    fn begins(&self) -> String {
        let row = match self.row {
            0 => String::new(),
            row => format!(", row {row}"),
        };
        let column = match self.column.as_str() {
            "" => String::new(),
            column => format!(", {column}"),
        };
        let found = match self.found.as_str() {
            "" => "nothing found".to_owned(),
            found => format!("found `{found}`"),
        };
        let (severity, file) = (self.severity, &self.file);
        format!("{severity}: {file}{row}{column}: {found}; expected ")
    }

    fn ends(&self) -> String {
        match self.car.as_str() {
            "" => String::new(),
            car => format!(" [car {car}]"),
        }
    }

    /// Whether a line says this.
    pub fn is_line(&self, line: &str) -> bool {
        let tagged = line.ends_with(']') && line.contains(" [car ");
        let ends = line.ends_with(&self.ends()) && tagged != self.car.is_empty();
        line.starts_with(&self.begins()) && ends && line.contains(&self.words)
    }
}

/// What `check --json` says, in its order.
pub fn by_check(files: &Files) -> Vec<Said> {
    let storm = folder(files);
    let ran = hailyard(&["check", "--json", &storm.arg()]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let text = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
    let problems = json["problems"].as_array().expect("a list");
    let said = problems.iter().map(|problem| {
        let meant = match &problem["meant"] {
            serde_json::Value::Null => String::new(),
            meant => format!("; probably {}", text(meant)),
        };
        Said {
            severity: severity(&text(&problem["severity"])),
            file: text(&problem["file"]),
            row: problem["row"].as_u64().map_or(0, |row| row as u32),
            column: text(&problem["column"]),
            found: text(&problem["found"]),
            car: text(&problem["stock"]),
            words: text(&problem["expected"]) + &meant,
        }
    });
    said.collect()
}

fn severity(word: &str) -> &'static str {
    match word {
        "error" => "error",
        "caution" => "caution",
        other => panic!("{other}"),
    }
}

/// The files as a source in memory.
pub fn in_memory(files: &Files) -> InMemory {
    let mut source = InMemory::default();
    for (name, bytes) in files {
        source.add(name, bytes.clone());
    }
    source
}

/// What the library says of a source, in its order.
pub fn by_library(source: &dyn Source) -> Vec<Said> {
    let intake = read_storm(source, None);
    let said = |problem: &Problem| {
        let meant = problem.meant.as_ref();
        let meant = meant.map_or(String::new(), |meant| format!("; probably {meant}"));
        Said {
            severity: problem.severity.word(),
            file: problem.place.file.clone(),
            row: problem.place.row.unwrap_or(0),
            column: problem.place.column.clone().unwrap_or_default(),
            found: problem.found.clone(),
            car: problem.stock.clone().unwrap_or_default(),
            words: format!("{}{meant}", problem.expected),
        }
    };
    intake.problems.sorted().into_iter().map(said).collect()
}

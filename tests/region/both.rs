//! One folder through both ways of `price`: with lines and without.

use super::Files;
use crate::builder::{Folder, Ran, hailyard};
use std::collections::BTreeMap;

/// What both ways said and wrote.
pub struct Both {
    pub ran: Ran,
    /// By file name, without the lines.
    pub written: BTreeMap<String, Vec<u8>>,
}

impl Both {
    /// A CSV file that was written.
    #[track_caller]
    pub fn text(&self, name: &str) -> &str {
        let bytes = self.written.get(name);
        let bytes = bytes.unwrap_or_else(|| panic!("{name} was not written: {}", self.ran.err));
        std::str::from_utf8(bytes).expect("UTF-8")
    }
}

/// The folder of a storm's files.
pub fn folder(files: &Files) -> Folder {
    let made = Folder::new();
    files
        .iter()
        .fold(made, |folder, (name, bytes)| folder.file(name, bytes))
}

/// Prices with lines and without, which must say, write and end alike.
#[track_caller]
pub fn both(files: &Files, more: &[&str]) -> Both {
    let storm = folder(files);
    let (with, without) = (Folder::new(), Folder::new());
    let price = |out: &Folder, lines: &[&str]| {
        let (from, to) = (storm.arg(), out.arg());
        let mut args = vec!["price", from.as_str(), "--out", to.as_str()];
        args.extend(lines);
        args.extend(more);
        let mut ran = hailyard(&args);
        ran.out = ran.out.replace(&to, "OUT").replace(&from, "STORM");
        ran.err = ran.err.replace(&to, "OUT").replace(&from, "STORM");
        ran
    };
    let lines = price(&with, &[]);
    let none = price(&without, &["--no-lines"]);
    same("standard error", &lines.err, &none.err);
    if more.contains(&"--json") {
        same_json(&lines.out, &none.out);
    } else {
        same("standard output", &lines.out, &none.out);
    }
    assert_eq!(lines.exit, none.exit);
    let (mut of_lines, of_none) = (read(&with), read(&without));
    if let (Some(_), Some(_)) = (
        of_lines.remove("lines.csv"),
        of_lines.remove("lines.parquet"),
    ) {
        assert!(!of_lines.is_empty(), "lines and nothing else");
    }
    let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&of_lines), names(&of_none));
    for (name, bytes) in &of_lines {
        assert!(*bytes == of_none[name], "{name} with lines and without");
    }
    Both {
        ran: none,
        written: of_none,
    }
}

/// All files of a folder.
fn read(folder: &Folder) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder.path()).expect("a folder");
    entries
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str());
            let bytes = std::fs::read(&path).expect("a file");
            (name.expect("a name").to_owned(), bytes)
        })
        .collect()
}

/// JSON with lines, but for the lines, is the JSON without.
#[track_caller]
fn same_json(lines: &str, none: &str) {
    if none.is_empty() {
        assert!(lines.is_empty(), "JSON with lines alone");
        return;
    }
    let parse = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
    let (mut lines, none) = (parse(lines), parse(none));
    lines.as_object_mut().expect("an object").remove("lines");
    assert!(lines == none, "JSON with lines and without");
}

/// Equal texts; where they are not, the first line that differs is shown.
#[track_caller]
pub fn same(what: &str, found: &str, expected: &str) {
    if found == expected {
        return;
    }
    let pairs = found.lines().zip(expected.lines());
    let differs = pairs
        .clone()
        .position(|(found, expected)| found != expected);
    let at = differs.unwrap_or_else(|| pairs.count());
    let line = |text: &str| text.lines().nth(at).unwrap_or("(no more)").to_owned();
    panic!(
        "{what}, line {} of {} and {}:\n found    {}\n expected {}",
        at + 1,
        found.lines().count(),
        expected.lines().count(),
        line(found),
        line(expected)
    );
}

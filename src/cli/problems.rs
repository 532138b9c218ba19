//! Problems as people and programs read them.

use super::output::Streams;
use crate::intake::{Problem, Problems, Severity};

/// How many problems are printed; more are only counted.
pub const SHOWN: usize = 1_000;
/// How many cautions are printed beside a price; `check` lists them all.
const CAUTIONS_SHOWN: usize = 20;

/// Notes and cautions after a result; where errors were printed, all was said already.
pub fn say_cautions(problems: &Problems, streams: &mut Streams<'_>) {
    if problems.errors() == 0 {
        say_problems(problems, CAUTIONS_SHOWN, streams);
    }
}

/// Says problems on standard error, the first so many.
pub fn say_problems(problems: &Problems, most: usize, streams: &mut Streams<'_>) {
    let text = problem_text(problems, most, streams.bold);
    streams.say(&text);
}

/// The notes and problems as text, one a line, the first so many.
pub fn problem_text(problems: &Problems, most: usize, bold: bool) -> String {
    let mut text = String::new();
    for (place, said) in problems.notes().iter().take(most) {
        text.push_str(&format!("note: {place}: {said}\n"));
    }
    let mut list = problems.sorted();
    let all = problems.errors() + problems.cautions();
    if all > most {
        // Where not all can be shown, errors go before cautions.
        list.sort_by_key(|problem| problem.severity);
    }
    let shown = list.len().min(most);
    for problem in list.into_iter().take(most) {
        let line = problem.to_string();
        let word = problem.severity.word();
        match line.strip_prefix(word) {
            Some(rest) if bold => text.push_str(&format!("\x1b[1m{word}\x1b[0m{rest}\n")),
            _ => text.push_str(&format!("{line}\n")),
        }
    }
    if all > shown {
        let which = if most < SHOWN { "" } else { " --json" };
        text.push_str(&format!(
            "… and {} more: `hailyard check{which}` lists them\n",
            all - shown
        ));
    }
    text
}

/// `1 error, 2 cautions`.
pub fn counted(problems: &Problems) -> String {
    let plural = |count: usize, word: &str| match count {
        1 => format!("1 {word}"),
        count => format!("{count} {word}s"),
    };
    format!(
        "{}, {}",
        plural(problems.errors(), Severity::Error.word()),
        plural(problems.cautions(), Severity::Caution.word())
    )
}

/// Problems as JSON.
pub fn problems_json(problems: &Problems) -> serde_json::Value {
    let list: Vec<serde_json::Value> = problems.sorted().into_iter().map(problem_json).collect();
    serde_json::json!({
        "format": 1,
        "errors": problems.errors(),
        "cautions": problems.cautions(),
        "notes": problems
            .notes()
            .iter()
            .map(|(place, said)| serde_json::json!({"file": place.file, "sheet": place.sheet, "said": said}))
            .collect::<Vec<_>>(),
        "problems": list,
    })
}

fn problem_json(problem: &Problem) -> serde_json::Value {
    serde_json::json!({
        "severity": problem.severity.word(),
        "file": problem.place.file,
        "sheet": problem.place.sheet,
        "row": problem.place.row,
        "column": problem.place.column,
        "cell": problem.place.cell(),
        "found": problem.found,
        "expected": problem.expected,
        "meant": problem.meant,
        "stock": problem.stock,
    })
}

//! Files that an earlier run left in a report folder and this one did not write
//! over. They are named and not deleted: nobody is to work or be paid by them.

use super::output::Streams;
use super::pay::STATEMENTS;
use crate::intake::printable;
use crate::report::ReportFolder;
use crate::report::pages::WORK_LISTS;

/// Files of a plan beside the work lists.
const PLAN_FILES: [&str; 5] = ["plan.csv", "plan.html", "plan.ics", "plan.pdf", "plan.txt"];

/// Says that files are of an earlier run.
pub fn say_stale(stale: &[String], streams: &mut Streams<'_>) {
    if !stale.is_empty() {
        streams.say(&format!(
            "caution: of an earlier run, and not of this one: {}\n",
            stale.join(", ")
        ));
    }
}

/// Statements of nobody who is in the crew list now.
pub fn stale_statements(folder: &ReportFolder, files: &[String]) -> Vec<String> {
    others(folder, STATEMENTS, &["csv", "html", "pdf"], files)
}

/// Work lists of nobody who has one now, and plan files that were not written
/// this time; `files` and `written` are those that were.
pub fn stale_plan(folder: &ReportFolder, files: &[String], written: &[&str]) -> Vec<String> {
    let mut stale: Vec<String> = PLAN_FILES
        .iter()
        .filter(|name| !written.contains(name) && folder.path().join(name).exists())
        .map(|name| (*name).to_owned())
        .collect();
    stale.extend(others(
        folder,
        WORK_LISTS,
        &["csv", "html", "ics", "pdf"],
        files,
    ));
    stale
}

/// Files of a folder whose stem is none of these.
fn others(folder: &ReportFolder, inside: &str, endings: &[&str], files: &[String]) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder.path().join(inside)) else {
        return Vec::new();
    };
    let mut stale: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| {
            name.rsplit_once('.').is_some_and(|(stem, ending)| {
                endings.contains(&ending) && !files.iter().any(|file| file == stem)
            })
        })
        .map(|name| format!("{inside}/{}", printable(&name)))
        .collect();
    stale.sort();
    stale
}

//! A person by a name that somebody typed.

use super::output::Stop;
use crate::storm::{Person, words};

/// The person that was asked for.
pub fn find_person(asked: &str, people: &[Person]) -> Result<usize, Stop> {
    let folded: Vec<String> = people
        .iter()
        .map(|person| words::fold(&person.name))
        .collect();
    let wanted = words::fold(asked);
    folded
        .iter()
        .position(|name| *name == wanted)
        .ok_or_else(|| {
            let near = words::nearest(&wanted, folded.iter().map(String::as_str))
                .and_then(|near| folded.iter().position(|name| name == near))
                .map(|at| format!("; probably {}", people[at].name))
                .unwrap_or_default();
            Stop::Usage(format!("no {asked} in the crew list{near}"))
        })
}

//! A name that somebody typed among those there are.

use super::output::Stop;
use crate::intake::printable;
use crate::storm::{Payer, Person, words};

/// The person that was asked for.
pub fn find_person(asked: &str, people: &[Person]) -> Result<usize, Stop> {
    let names: Vec<&str> = people.iter().map(|person| person.name.as_str()).collect();
    find(asked, &names).map_err(|near| {
        let asked = printable(asked);
        Stop::Usage(format!("no {asked} in the crew list{near}"))
    })
}

/// The payer that was asked for.
pub fn find_payer(asked: &str, payers: &[Payer]) -> Result<usize, Stop> {
    let names: Vec<&str> = payers.iter().map(|payer| payer.name.as_str()).collect();
    find(asked, &names).map_err(|near| Stop::Usage(format!("no payer {}{near}", printable(asked))))
}

/// The place of a name, or what was probably meant.
fn find(asked: &str, names: &[&str]) -> Result<usize, String> {
    let folded: Vec<String> = names.iter().map(|name| words::fold(name)).collect();
    let wanted = words::fold(asked);
    let place = |name: &str| folded.iter().position(|known| known == name);
    place(&wanted).ok_or_else(|| {
        words::nearest(&wanted, folded.iter().map(String::as_str))
            .and_then(place)
            .map(|at| format!("; probably {}", names[at]))
            .unwrap_or_default()
    })
}

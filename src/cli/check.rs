//! `hailyard check`: reads everything, prices nothing, lists every problem.

use super::Exit;
use super::arguments::CheckArgs;
use super::inputs::{Input, open};
use super::output::{Stop, Streams};
use super::priced::examine_books;
use super::problems::{counted, problem_text, problems_json};

/// How many problems are listed.
const LISTED: usize = 1_000;

/// Runs the command.
pub fn run(args: &CheckArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let input = Input::of(&args.paths)?;
    let mut opened = open(&input, args.card.as_deref(), args.json, streams)?;
    examine_books(&mut opened)?;
    if args.json {
        streams.json(&problems_json(&opened.problems))?;
    } else {
        let bold = streams.bold;
        streams.print(&problem_text(&opened.problems, LISTED, bold))?;
        let cars = opened
            .storm
            .as_ref()
            .map_or_else(String::new, |(storm, _)| {
                let all = storm.cars.len() + opened.left_out.len();
                let counted = storm.cars.iter().filter(|car| car.counted).count();
                match opened.left_out.len() {
                    0 => format!("; {counted} of {all} cars counted"),
                    bad => {
                        format!("; {counted} of {all} cars counted and sound, {bad} with errors")
                    }
                }
            });
        streams.print(&format!("{}{cars}\n", counted(&opened.problems)))?;
    }
    Ok(if opened.problems.errors() > 0 {
        Exit::Problems
    } else {
        Exit::Done
    })
}

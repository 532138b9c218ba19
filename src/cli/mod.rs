//! Arguments, one file a command, exit codes, progress; no arithmetic.

mod album;
mod arguments;
mod bill_ledger;
mod bills;
mod books;
mod bugs;
mod car;
mod check;
mod close;
mod compare;
mod forecast;
mod handouts;
mod inputs;
mod instance;
mod interrupt;
mod lot;
mod output;
mod page_files;
mod pay;
mod people;
mod plan;
mod price;
mod priced;
mod problems;
mod progress;
mod recount;
mod sample;
mod staff;
mod stale;
mod start;
mod storm;
mod summed;

pub use arguments::Args;
pub use bugs::catch_bugs;
pub use output::Streams;

use arguments::Command;
use clap::{CommandFactory, Parser};
use output::Stop;
use std::ffi::OsString;

/// How a run ended, as the process's exit status.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// Done; cautions at most.
    Done = 0,
    /// Problems in the inputs.
    Problems = 1,
    /// Wrong usage, or no such folder.
    Usage = 2,
    /// It could not write, or a bug.
    Failed = 3,
}

/// Runs one command and says how it ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> Exit {
    let args = match Args::try_parse_from(arguments) {
        Ok(args) => args,
        Err(error) => return streams.clap(&error),
    };
    let result = match args.command {
        Command::Storm(args) => storm::run(&args, streams),
        Command::Check(args) => check::run(&args, streams),
        Command::Price(args) => price::run(&args, streams),
        Command::Car(args) => car::run(&args, streams),
        Command::Plan(args) => plan::run(&args, streams),
        Command::Forecast(args) => forecast::run(&args, streams),
        Command::Staff(args) => staff::run(&args, streams),
        Command::Pay(args) => pay::run(&args, streams),
        Command::Bills(args) => bills::run(&args, streams),
        Command::Close(args) => close::run(&args, streams),
        Command::Compare(args) => compare::run(&args, streams),
        Command::Lot(args) => lot::run(&args, streams),
        Command::Start(args) => start::run(&args, streams),
        Command::Recount(args) => recount::run(&args, streams),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Args::command(), "hailyard", &mut script);
            streams.bytes(&script)
        }
        Command::Man => man(streams),
    };
    match result {
        Ok(exit) => exit,
        Err(stop) => streams.stop(&stop),
    }
}

/// The manual page of the whole program, then of every command.
fn man(streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let mut page = Vec::new();
    let command = Args::command();
    let failed = |error: std::io::Error| Stop::Failed(format!("bug: the manual page: {error}"));
    clap_mangen::Man::new(command.clone())
        .render(&mut page)
        .map_err(failed)?;
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        let name = format!("hailyard-{}", sub.get_name());
        clap_mangen::Man::new(sub.clone())
            .title(name)
            .render(&mut page)
            .map_err(failed)?;
    }
    streams.bytes(&page)
}

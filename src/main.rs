//! The `hailyard` command. All sense is in the library.

use hailyard::cli::{Streams, catch_bugs, run};
use std::io::{IsTerminal, stderr, stdout};
use std::process::ExitCode;

fn main() -> ExitCode {
    let colour_off = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let window = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let columns = std::env::var("COLUMNS")
        .ok()
        .and_then(|text| text.parse().ok());
    let exit = catch_bugs(|| {
        let mut streams = Streams {
            out: &mut stdout().lock(),
            err: &mut stderr(),
            width: window.or(columns).unwrap_or(120).clamp(20, 200),
            progress: stderr().is_terminal(),
            bold: stderr().is_terminal() && stdout().is_terminal() && !colour_off,
        };
        run(std::env::args_os(), &mut streams)
    });
    ExitCode::from(exit as u8)
}

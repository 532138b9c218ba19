//! Where text goes, and how a run ends early.

use super::Exit;
use crate::report::{Width, WriteError};
use std::io::Write;

/// Standard output and error, and what is known of the window.
pub struct Streams<'a> {
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
    /// Columns of the window.
    pub width: usize,
    /// Whether standard error is a terminal that may show progress.
    pub progress: bool,
    /// Whether severity words may be set in bold.
    pub bold: bool,
}

/// Why a run ends early.
#[derive(Debug)]
pub enum Stop {
    /// The reader of our output has gone: that is success.
    PipeClosed,
    /// Wrong usage, or no such folder.
    Usage(String),
    /// It could not write, or a bug.
    Failed(String),
}

impl From<WriteError> for Stop {
    fn from(error: WriteError) -> Stop {
        Stop::Failed(error.to_string())
    }
}

impl From<crate::totals::FrameError> for Stop {
    fn from(error: crate::totals::FrameError) -> Stop {
        Stop::Failed(error.to_string())
    }
}

impl From<crate::pay::NotClosed> for Stop {
    fn from(error: crate::pay::NotClosed) -> Stop {
        Stop::Failed(format!("bug: {}", error.what))
    }
}

impl From<crate::report::pdf::PdfError> for Stop {
    fn from(error: crate::report::pdf::PdfError) -> Stop {
        Stop::Failed(format!("bug: {error}"))
    }
}

impl From<askama::Error> for Stop {
    fn from(error: askama::Error) -> Stop {
        Stop::Failed(format!("bug: a page's template: {error}"))
    }
}

impl From<std::io::Error> for Stop {
    fn from(error: std::io::Error) -> Stop {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            Stop::PipeClosed
        } else {
            Stop::Failed(format!("could not write: {error}"))
        }
    }
}

impl Streams<'_> {
    /// The window as tables take it.
    #[must_use]
    pub fn table_width(&self) -> Width {
        Width(self.width)
    }

    /// Prints bytes to standard output.
    pub fn bytes(&mut self, bytes: &[u8]) -> Result<Exit, Stop> {
        self.out.write_all(bytes)?;
        self.out.flush()?;
        Ok(Exit::Done)
    }

    /// Prints text to standard output.
    pub fn print(&mut self, text: &str) -> Result<(), Stop> {
        self.out.write_all(text.as_bytes())?;
        Ok(())
    }

    /// Prints JSON to standard output.
    pub fn json(&mut self, value: &serde_json::Value) -> Result<(), Stop> {
        let text = serde_json::to_string_pretty(value)
            .map_err(|error| Stop::Failed(format!("bug: JSON: {error}")))?;
        self.print(&text)?;
        self.print("\n")
    }

    /// Says something beside the result. A closed standard error is no failure.
    pub fn say(&mut self, text: &str) {
        let _ = self.err.write_all(text.as_bytes());
    }

    /// Says why a run ends early.
    pub fn stop(&mut self, stop: &Stop) -> Exit {
        match stop {
            Stop::PipeClosed => Exit::Done,
            Stop::Usage(said) => {
                self.say(&format!("error: {said}\n"));
                Exit::Usage
            }
            Stop::Failed(said) => {
                self.say(&format!("error: {said}\n"));
                Exit::Failed
            }
        }
    }

    /// What clap has to say: help and version to standard output, else an error.
    pub fn clap(&mut self, error: &clap::Error) -> Exit {
        let text = error.render().to_string();
        if error.use_stderr() {
            self.say(&text);
            return Exit::Usage;
        }
        match self.print(&text) {
            Ok(()) => Exit::Done,
            Err(stop) => self.stop(&stop),
        }
    }
}

//! A bug says that it is a bug, and ends with its own status.

use super::Exit;
use std::panic::{self, AssertUnwindSafe};
use std::sync::{Arc, Mutex};

/// Runs the program; a panic that nobody caught is said in one line on
/// standard error. Panics of other people's parsers are caught where they are
/// called and say nothing here.
pub fn catch_bugs(program: impl FnOnce() -> Exit) -> Exit {
    let last = Arc::new(Mutex::new(String::new()));
    let seen = Arc::clone(&last);
    panic::set_hook(Box::new(move |info| {
        if let Ok(mut last) = seen.lock() {
            *last = info.to_string();
        }
    }));
    panic::catch_unwind(AssertUnwindSafe(program)).unwrap_or_else(|_| {
        let said = last.lock().map(|last| last.clone()).unwrap_or_default();
        eprintln!("bug: {said}\nNothing that was written before is lost; please report this.");
        Exit::Failed
    })
}

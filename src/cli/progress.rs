//! Progress of long work on standard error, to a terminal only.

use indicatif::{ProgressBar, ProgressDrawTarget};
use std::time::Duration;

/// A sign of life while a stage runs; nothing where nobody watches.
pub struct Progress(ProgressBar);

impl Progress {
    /// Begins to show.
    #[must_use]
    pub fn start(shown: bool) -> Progress {
        let target = if shown {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(None, target);
        if shown {
            // Work that ends within a tick shows nothing.
            bar.enable_steady_tick(Duration::from_millis(200));
        }
        Progress(bar)
    }

    /// Names a stage of so many steps; what comes back is told how many are done.
    pub fn counts(&self, name: &'static str, of: usize) -> impl Fn(usize) + Sync + '_ {
        self.0.set_message(name);
        let bar = &self.0;
        move |done| bar.set_message(format!("{name}: {done} of {of}"))
    }

    /// Names the stage.
    pub fn stage(&self, name: &'static str) {
        self.0.set_message(name);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}

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

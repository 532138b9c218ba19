//! Progress of long work on standard error, to a terminal only.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
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
        let progress = Progress::on(target);
        if shown {
            progress.0.enable_steady_tick(Duration::from_millis(200));
        }
        progress
    }

    fn on(target: ProgressDrawTarget) -> Progress {
        // A bar would need to know how much there is to do; the stages' names say more.
        let style = ProgressStyle::default_spinner();
        Progress(ProgressBar::with_draw_target(None, target).with_style(style))
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

#[cfg(test)]
mod tests {
    use super::*;
    use indicatif::TermLike;
    use std::sync::{Arc, Mutex};

    /// A terminal that keeps what is written to it.
    #[derive(Debug, Clone, Default)]
    struct Kept(Arc<Mutex<String>>);

    impl Kept {
        fn keep(&self, text: &str) -> std::io::Result<()> {
            self.0.lock().expect("the text").push_str(text);
            Ok(())
        }
    }

    impl TermLike for Kept {
        fn width(&self) -> u16 {
            60
        }
        fn move_cursor_up(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_down(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_right(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn move_cursor_left(&self, _: usize) -> std::io::Result<()> {
            Ok(())
        }
        fn write_line(&self, text: &str) -> std::io::Result<()> {
            self.keep(text)
        }
        fn write_str(&self, text: &str) -> std::io::Result<()> {
            self.keep(text)
        }
        fn clear_line(&self) -> std::io::Result<()> {
            self.keep("|")
        }
        fn flush(&self) -> std::io::Result<()> {
            Ok(())
        }
    }

    /// Who watches sees which stage runs and how far it is, and nothing once it is over.
    #[test]
    fn stages_are_shown_by_name() {
        let kept = Kept::default();
        // As often as there is something new.
        let target = ProgressDrawTarget::term_like(Box::new(kept.clone()));
        let progress = Progress::on(target);
        progress.stage("reading");
        progress.0.tick();
        let done = progress.counts("sheets", 40);
        done(7);
        progress.0.force_draw();
        drop(done);
        drop(progress);
        let text = kept.0.lock().expect("the text").clone();
        assert!(text.contains("reading"), "{text}");
        assert!(text.contains("sheets: 7 of 40"), "{text}");
        assert!(!text.contains("0/0"), "{text}");
        let last = text.rsplit('|').next().expect("what follows");
        assert_eq!(last.trim(), "", "{text}");
    }
}

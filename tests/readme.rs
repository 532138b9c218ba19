//! The README is run, so that it cannot go stale.

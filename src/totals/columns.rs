//! What can go wrong with data frames.

use polars::prelude::*;

/// A failure of the data frame library; on checked inputs it is a bug.
#[derive(Debug)]
pub struct FrameError(pub String);

impl std::fmt::Display for FrameError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "bug: totals: {}", self.0)
    }
}

impl From<PolarsError> for FrameError {
    fn from(error: PolarsError) -> FrameError {
        FrameError(error.to_string())
    }
}

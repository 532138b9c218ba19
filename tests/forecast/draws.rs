//! Draws are keyed.

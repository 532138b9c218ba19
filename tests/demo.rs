//! The built-in demo and its committed reports.

//! What is billed.

pub mod ubl;

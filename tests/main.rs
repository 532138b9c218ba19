//! All tests of the whole: files in, and whole output, status and files out.

mod builder;
mod cli;
mod demo;
mod properties;
mod published;
mod readme;
mod reference;
mod rules;

//! All tests of the whole: files in, and whole output, status and files out.

mod argue;
mod builder;
mod cards;
mod cli;
mod clients;
mod crew;
mod demo;
mod faults;
mod forecast;
mod gallery;
mod handouts;
mod hostile;
mod lost;
mod mutations;
mod pay;
mod photos;
mod planning;
mod properties;
mod published;
mod readme;
mod reference;
mod rules;
mod sampling;
mod sheets;
mod start;
mod workbook;

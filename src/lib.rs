//! Prices hail damage car by car, and explains every amount.
//!
//! The way of the data is forward only: [`intake`] makes a checked
//! [`storm::Storm`] and [`rates::Rates`] of files, [`pricing`] makes lines of
//! them, [`totals`] sums lines, [`report`] writes what people are handed.

#![forbid(unsafe_code)]

pub mod billing;
pub mod cli;
pub mod compare;
pub mod crew;
pub mod demo;
pub mod intake;
pub mod money;
pub mod pay;
pub mod photo;
pub mod planning;
pub mod pricing;
pub mod rates;
pub mod report;
pub mod sampling;
pub mod start;
pub mod storm;
pub mod totals;
pub mod units;

//! Checks against outside sources, one file a source. Where a figure is known
//! from memory or is common practice without a source, the file says so.

mod anscombe;
mod coins;
mod csv_injection;
mod currencies;
mod decimal_table;
mod inch;
mod rounding;
mod trade;
mod vin;

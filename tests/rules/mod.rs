//! Every rule of pricing by hand: the arithmetic stands in the comments.
//!
//! The small card (`builder::SMALL_CARD`): dime to 17.91 mm, nickel 21.21,
//! quarter 24.26, half-dollar 30.61; bands 1-9, 10-29, 30+; dime 10/20/30,
//! nickel 11/21/31, quarter 12/22/32, half-dollar 13/23/33; R&I at 58.00.

mod agreed;
mod dents;
mod limits;
mod payers;
mod removals;
mod sheets;
mod uplifts;

//! Approved, billed, received: by hand; and bills in an open standard.

mod accounts;
mod close;
mod ledger;
mod payable;
mod received;
pub mod ubl;

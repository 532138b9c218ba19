//! Approved, billed, received: by hand.

mod accounts;
mod close;
mod ledger;
mod payable;
mod received;

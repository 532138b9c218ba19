//! What became of the prices: decided by the payers, billed, received, open; and
//! the numbered bills.
//!
//! A car's payer and its owner are two debtors with an account each. Every row of
//! the bill ledger is made of parts that sum to its amount, so that all rows of a
//! car together are what it comes to today.

mod account;
mod age;
mod credit;
mod decided;
mod difference;
mod incoming;
mod issue;
mod terms;

pub use account::{Accounts, AccountsInput, CarAccount, DebtorAccount, Standing, accounts};
pub use age::{AGES, AgeRow, open_by_age};
pub use decided::Decided;
pub use difference::{Difference, differences, part_text};
pub use incoming::{CarReceipt, by_car as receipts_by_car};
pub use issue::{Bill, IssueRequest, bills_of, to_issue};
pub use terms::{BillTerms, BilledTogether, Untaxed};

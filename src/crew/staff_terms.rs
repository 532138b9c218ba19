//! What one more person costs: `[staff]`.

use crate::money::Money;
use crate::storm::{Pay, Trade};
use std::collections::BTreeMap;

/// What the lead states of people who are not in the crew list yet.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StaffTerms {
    /// Lodging for a night of the stay; nothing where it is not stated.
    pub lodging_night: Option<Money>,
    /// For every day of the stay.
    pub per_diem: Option<Money>,
    /// What somebody added is paid, by trade.
    pub pay: BTreeMap<Trade, Pay>,
}

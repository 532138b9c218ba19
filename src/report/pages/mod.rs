//! The documents that people are handed, one builder each.

mod below_zero;
mod bill;
mod car;
mod close;
mod comparison;
mod files;
mod forecast;
mod index;
mod lot;
mod lot_picture;
mod period;
mod pictures;
mod plan;
mod plan_picture;
mod receivables;
mod split;
mod staff;
mod statement;
mod storm;
mod supplement;
mod work_list;

pub use bill::BillPages;
pub use car::{CarPhotos, car_page};
pub use close::close_page;
pub use comparison::comparison_page;
pub use files::{CarFiles, Links};
pub use forecast::forecast_page;
pub use index::{IndexEntry, index_page};
pub use lot::lot_page;
pub use period::period_page;
pub use plan::{WORK_LISTS, plan_page};
pub use receivables::receivables_page;
pub use split::split_page;
pub use staff::staff_page;
pub use statement::statement_page;
pub use storm::storm_page;
pub use supplement::supplement_page;
pub use work_list::work_list_page;

use super::terminal::QUOTE_MARK;
use crate::money::{Currency, Money};
use crate::pricing::GroupSum;
use crate::storm::{Sender, Storm};

/// A sum, `+ quote` where some line of it has no amount yet.
pub(super) fn sum_text(currency: Currency, sum: GroupSum) -> String {
    match sum.shown() {
        Some(known) if sum.open > 0 => format!("{}{QUOTE_MARK}", currency.grouped(known)),
        Some(known) => currency.grouped(known),
        None => "quote".to_owned(),
    }
}

/// An amount, or nothing.
pub(super) fn optional_text(currency: Currency, amount: Option<Money>) -> String {
    amount.map_or_else(String::new, |amount| currency.grouped(amount))
}

/// `1 car`, `2 cars`.
fn cars_text(cars: usize) -> String {
    match cars {
        1 => "1 car".to_owned(),
        cars => format!("{cars} cars"),
    }
}

/// The sender's lines of a letter's head.
fn sender_lines(sender: &Sender) -> Vec<String> {
    let mut lines: Vec<String> = sender
        .address
        .lines()
        .map(str::trim)
        .map(str::to_owned)
        .collect();
    lines.insert(0, sender.name.clone());
    let mut reach = Vec::new();
    for (label, value) in [("tel.", &sender.phone), ("", &sender.email)] {
        if !value.is_empty() {
            reach.push(format!("{label} {value}").trim().to_owned());
        }
    }
    lines.push(reach.join(", "));
    if !sender.registration.is_empty() {
        lines.push(format!("reg. {}", sender.registration));
    }
    lines.retain(|line| !line.is_empty());
    lines
}

/// `, hail of 2026-05-14`, where the day is known.
fn hail_text(storm: &Storm) -> String {
    storm
        .date
        .map_or_else(String::new, |date| format!(", hail of {date}"))
}

//! The argument about a price: one storm on several cards, and two counts of
//! the same cars.

mod cards;
mod overlay;
mod supplement;

pub use cards::{CardColumn, CardComparison, CardTotals, Differing, NotComparable, compare_cards};
pub use overlay::{Overlaid, overlay};
pub use supplement::{CarSupplement, LineChange, Supplement, supplement};

//! Who gets what of a priced storm, to the cent: shares off the top, then the
//! pools that the people's percentages are taken of.
//!
//! Every division of money goes through [`apportion()`], whose parts are the
//! whole by construction.

mod apportion;
mod off_the_top;
mod share;
mod terms;

pub use apportion::apportion;
pub use off_the_top::{OffTheTop, PanelPool, ShareTaken};
pub use share::{Share, ShareOf};
pub use terms::{PayPeriod, PayTerms, RedoFrom};

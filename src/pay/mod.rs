//! Who gets what of a priced storm, to the cent: shares off the top, then the
//! pools that the people's percentages are taken of, then what the house pays
//! by time, and a statement for everyone.
//!
//! Every division of money goes through [`apportion()`], whose parts are the
//! whole by construction, and [`Split`] can only be made closed.

mod apportion;
mod by_time;
mod car_split;
mod claims;
mod entry;
mod off_the_top;
mod omissions;
mod payable;
mod period;
mod pool;
mod rows;
mod share;
mod short_share;
mod split;
mod statement;
mod terms;

pub use apportion::apportion;
pub use by_time::WEEK_HOURS;
pub use car_split::CarSplit;
pub use entry::{Entry, EntryKind, EntryTrade, Rate, Remark};
pub use off_the_top::{OffTheTop, PanelPool, ShareTaken};
pub use payable::{Awaiting, CameIn};
pub use period::Period;
pub use pool::PoolSplit;
pub use rows::{PayKind, PayRow};
pub use share::{Share, ShareOf};
pub use short_share::share_cautions;
pub use split::{NotClosed, ShareSum, Split, SplitInput, SplitTotals, split_storm};
pub use statement::{Statement, StatementPeriod};
pub use terms::{PayPeriod, PayTerms, PayableOn, RedoFrom};

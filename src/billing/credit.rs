//! What of credits for over-payments still stands.

use crate::money::Money;
use jiff::civil::Date;

/// What happens to an account on a day. Money that came in stands before what was
/// written on that day, for it was known then.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Money came in.
    Received,
    /// Something was billed.
    Billed,
    /// An over-payment was credited.
    Credited,
}

/// One of them, and how much.
pub type Event = (Date, What, Money);

/// What of an account's credits still stands: never more than is over, for what
/// was paid back or taken up by a later bill is owed no longer.
#[must_use]
pub fn standing_credit(mut events: Vec<Event>) -> Money {
    events.sort_by_key(|(date, what, _)| (*date, *what));
    let (mut over, mut standing) = (Money::ZERO, Money::ZERO);
    for (_, what, amount) in events {
        match what {
            What::Received => over += amount,
            What::Billed => over = over - amount,
            What::Credited => standing += amount,
        }
        standing = standing.min(over.max(Money::ZERO));
    }
    standing
}

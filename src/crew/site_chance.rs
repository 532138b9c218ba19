//! What may come between a plan and its day, as the lead states it: `[chance]`.

use crate::money::Percent;
use rust_decimal::Decimal;

/// The odds that storm.toml states. What is not stated is off.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteChance {
    /// That somebody is not there on a day.
    pub absent: Percent,
    /// That weather closes the site for a day.
    pub weather: Percent,
    /// That a stripped car has more dents than were counted.
    pub growth: Percent,
    /// Mean of what is then added to its dent minutes, as a part of them.
    pub growth_mean: Decimal,
    /// Shape of the gamma distribution of it, above 0.
    pub growth_shape: Decimal,
    /// That parts come late.
    pub parts_late: Percent,
    /// By how many working days on the mean, 1 or more.
    pub parts_late_days: Decimal,
    /// Standard deviation of the log of the whole time standard, while no log
    /// of work tells it.
    pub standard_error: Decimal,
}

impl Default for SiteChance {
    fn default() -> SiteChance {
        SiteChance {
            absent: Percent::ZERO,
            weather: Percent::ZERO,
            growth: Percent::ZERO,
            growth_mean: Decimal::new(2, 1),
            growth_shape: Decimal::TWO,
            parts_late: Percent::ZERO,
            parts_late_days: Decimal::from(3),
            standard_error: Decimal::new(10, 2),
        }
    }
}

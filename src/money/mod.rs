//! Exact money. This is the only place where an amount is rounded.
//!
//! Three types keep the kinds of number apart:
//!
//! * [`Exact`]: an unrounded product or sum on the way to an amount;
//! * [`Money`]: an amount in whole minor units of its currency;
//! * [`Currency`]: how many places that is (ISO 4217), and how it is written.
//!
//! A value goes from `Exact` to `Money` through [`Rounding::money`] and in no other way.

mod currency;

pub use currency::{Currency, grouped_whole};

use num_bigint::BigInt;
use num_integer::Integer;
use num_rational::BigRational;
use num_traits::ToPrimitive;
use rust_decimal::{Decimal, RoundingStrategy};
use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub};

/// An amount in whole minor units. It is made by [`Rounding::money`] or, where
/// the text was already checked against the currency, by [`Currency::amount`].
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default, Debug)]
pub struct Money(Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(Decimal::ZERO);

    /// Whether this is exactly nothing.
    #[must_use]
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// The amount as an exact number to reckon on with.
    #[must_use]
    pub fn exact(self) -> Exact {
        Exact::from(self.0)
    }

    /// So many times the amount, which is exact: whole minor units.
    #[must_use]
    pub fn times(self, count: u32) -> Money {
        Money(self.0 * Decimal::from(count))
    }

    /// The smaller of two amounts.
    #[must_use]
    pub fn min(self, other: Money) -> Money {
        Ord::min(self, other)
    }

    /// The amount as a whole number of minor units, for columnar files.
    #[must_use]
    pub fn minor_units(self, currency: Currency) -> i128 {
        if self.0.scale() == currency.places() || self.0.is_zero() {
            return self.0.mantissa();
        }
        let mut value = self.0;
        value.rescale(currency.places());
        value.mantissa()
    }

    /// The amount made from a whole number of minor units: the way back from
    /// [`Money::minor_units`].
    #[must_use]
    pub fn from_minor_units(units: i128, currency: Currency) -> Money {
        if let Ok(units) = i64::try_from(units) {
            let size = units.unsigned_abs();
            let (lower, upper) = (size as u32, (size >> 32) as u32);
            let places = currency.places();
            return Money(Decimal::from_parts(lower, upper, 0, units < 0, places));
        }
        // Beyond all figures of the trade the last places go, never the size.
        let (mut mantissa, mut scale) = (units, currency.places());
        loop {
            if let Ok(amount) = Decimal::try_from_i128_with_scale(mantissa, scale) {
                return Money(amount);
            }
            mantissa /= 10;
            scale = scale.checked_sub(1).expect(OVERFLOW);
        }
    }

    /// The one crossing from exact money to a statistic. Quantiles, means and
    /// odds may use it; no amount that somebody pays ever does.
    #[must_use]
    pub fn as_statistic(self) -> f64 {
        // Where both are exact, their quotient is the nearest there is (Clinger
        // 1990, How to read floating point numbers accurately).
        const POWERS: [f64; 5] = [1.0, 10.0, 100.0, 1_000.0, 10_000.0];
        if let Ok(units) = i64::try_from(self.0.mantissa())
            && let Some(power) = POWERS.get(self.0.scale() as usize)
            && units.unsigned_abs() < 1 << f64::MANTISSA_DIGITS
        {
            return units as f64 / power;
        }
        self.0.to_f64().unwrap_or(f64::NAN)
    }
}

impl Ord for Money {
    #[inline]
    fn cmp(&self, other: &Money) -> Ordering {
        // Nearly all amounts have all places of their currency.
        if self.0.scale() == other.0.scale() {
            return self.0.mantissa().cmp(&other.0.mantissa());
        }
        self.0.cmp(&other.0)
    }
}

impl PartialOrd for Money {
    #[inline]
    fn partial_cmp(&self, other: &Money) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Add for Money {
    type Output = Money;
    #[inline]
    fn add(self, other: Money) -> Money {
        // Sums begin with nothing.
        if self.0.is_zero() {
            return other;
        }
        Money(self.0 + other.0)
    }
}

impl AddAssign for Money {
    #[inline]
    fn add_assign(&mut self, other: Money) {
        *self = *self + other;
    }
}

impl Sub for Money {
    type Output = Money;
    fn sub(self, other: Money) -> Money {
        Money(self.0 - other.0)
    }
}

impl Neg for Money {
    type Output = Money;
    fn neg(self) -> Money {
        // Zero has no sign: "-0.00" is no amount.
        if self.0.is_zero() {
            self
        } else {
            Money(-self.0)
        }
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(amounts: I) -> Money {
        amounts.fold(Money::ZERO, Add::add)
    }
}

/// An amount as it is kept: in minor units where 64 bits hold them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Amount {
    /// In minor units of a currency that stands elsewhere.
    Units(i64),
    /// By itself.
    Money(Money),
}

impl Amount {
    /// The amount by itself.
    #[must_use]
    pub fn money(self, currency: Currency) -> Money {
        match self {
            Amount::Units(units) => Money::from_minor_units(units.into(), currency),
            Amount::Money(money) => money,
        }
    }
}

/// An exact decimal number, `mantissa / 10^scale`, wide enough for every
/// product that pricing makes.
///
/// `rust_decimal` holds 28 digits and rounds silently past them. A rounded
/// base times four compounding percents of three decimals can need 35, so
/// products are kept here as 128-bit integers (38 digits); a rate card whose
/// figures could pass even that is refused when it is read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Exact {
    mantissa: i128,
    scale: u32,
}

/// What is wrong when checked inputs overflow 38 digits: a bug, said as one.
const OVERFLOW: &str = "bug: an exact product passed 38 digits; the card check should refuse it";

impl Exact {
    /// Nothing.
    pub const ZERO: Exact = Exact {
        mantissa: 0,
        scale: 0,
    };

    /// Whether this is exactly nothing.
    #[must_use]
    pub fn is_zero(self) -> bool {
        self.mantissa == 0
    }

    /// The product with a decimal factor.
    #[must_use]
    pub fn times(self, factor: Decimal) -> Exact {
        let factor = without_end_zeros(factor);
        let (one, other) = (self.mantissa, factor.mantissa());
        let mantissa = match (i64::try_from(one), i64::try_from(other)) {
            // The usual case, in which nothing can pass 128 bits.
            (Ok(one), Ok(other)) => i128::from(one) * i128::from(other),
            _ => one.checked_mul(other).expect(OVERFLOW),
        };
        Exact {
            mantissa,
            scale: self.scale + factor.scale(),
        }
    }

    /// `percent / 100` of this number.
    #[must_use]
    pub fn percent(self, percent: Percent) -> Exact {
        let part = self.times(percent.0);
        Exact {
            mantissa: part.mantissa,
            scale: part.scale + 2,
        }
    }

    /// The sum of two exact numbers.
    #[must_use]
    pub fn plus(self, other: Exact) -> Exact {
        // Nothing has no places either: it lifts no number to them.
        if other.is_zero() {
            return self;
        }
        if self.is_zero() {
            return other;
        }
        if self.scale == other.scale {
            let mantissa = self.mantissa.checked_add(other.mantissa);
            return Exact {
                mantissa: mantissa.expect(OVERFLOW),
                scale: self.scale,
            };
        }
        let scale = self.scale.max(other.scale);
        let lift = |number: Exact| {
            10_i128
                .checked_pow(scale - number.scale)
                .and_then(|power| number.mantissa.checked_mul(power))
                .expect(OVERFLOW)
        };
        Exact {
            mantissa: lift(self).checked_add(lift(other)).expect(OVERFLOW),
            scale,
        }
    }

    /// Compares two exact numbers.
    #[must_use]
    pub fn compare(self, other: Exact) -> Ordering {
        self.plus(other.negated()).mantissa.cmp(&0)
    }

    /// The number with the other sign.
    #[must_use]
    pub fn negated(self) -> Exact {
        Exact {
            mantissa: -self.mantissa,
            scale: self.scale,
        }
    }

    /// The number as a `Decimal` for rounding: digits past the 28th are cut,
    /// and where any of them was not zero the last kept digit is made odd to
    /// a tie (never 0 or 5), so that rounding at an earlier place still sees
    /// on which side of a half the number lies.
    fn sticky_decimal(self) -> Decimal {
        let (mut mantissa, mut scale, mut cut) = (self.mantissa, self.scale, false);
        loop {
            if scale <= Decimal::MAX_SCALE
                && let Ok(decimal) = Decimal::try_from_i128_with_scale(mantissa, scale)
                && (!cut || mantissa % 5 != 0)
            {
                return decimal;
            }
            if cut && mantissa % 5 == 0 {
                mantissa += self.mantissa.signum();
                continue;
            }
            cut |= mantissa % 10 != 0;
            mantissa /= 10;
            scale = scale.checked_sub(1).expect(OVERFLOW);
        }
    }

    /// The number rounded to so many places in 64 bits, which hold nearly every
    /// amount and divide several times faster than a `Decimal`; `None` where
    /// they may not.
    fn rounded_in_64_bits(self, places: u32, rule: RoundingRule) -> Option<Decimal> {
        let Some(cut) = self.scale.checked_sub(places).filter(|cut| *cut > 0) else {
            // Nothing to round: a card's amounts are mostly whole cents. All places
            // are filled in, for amounts of the same scale add up faster.
            let missing = *POWERS_OF_10.get(places.checked_sub(self.scale)? as usize)?;
            let mantissa = i64::try_from(self.mantissa).ok()?.checked_mul(missing)?;
            return Some(Decimal::new(mantissa, places));
        };
        // Twice a remainder below 10^18 fits in 64 bits.
        let unit = *POWERS_OF_10.get(cut as usize)?;
        let mantissa = i64::try_from(self.mantissa).ok()?;
        let (whole, rest) = (mantissa / unit, mantissa % unit);
        let away = match (2 * rest.abs()).cmp(&unit) {
            Ordering::Less => false,
            Ordering::Greater => true,
            Ordering::Equal => rule == RoundingRule::HalfUp || whole % 2 != 0,
        };
        let step = if away { mantissa.signum() } else { 0 };
        Some(Decimal::new(whole + step, places))
    }
}

/// Those that 64 bits hold twice.
const POWERS_OF_10: [i64; 19] = {
    let (mut powers, mut at) = ([1; 19], 1);
    while at < powers.len() {
        powers[at] = powers[at - 1] * 10;
        at += 1;
    }
    powers
};

/// The same number without zeros at the end of its fraction.
fn without_end_zeros(number: Decimal) -> Decimal {
    match i64::try_from(number.mantissa()) {
        // The usual case, found without a division of 128 bits.
        Ok(mantissa) if number.scale() == 0 || mantissa % 10 != 0 => number,
        _ => number.normalize(),
    }
}

impl From<Decimal> for Exact {
    fn from(value: Decimal) -> Exact {
        Exact {
            mantissa: value.mantissa(),
            scale: value.scale(),
        }
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.sticky_decimal().normalize())
    }
}

/// A percentage: `25` is a quarter. At most three decimals, checked on the way in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub struct Percent(pub Decimal);

impl Percent {
    /// No percent.
    pub const ZERO: Percent = Percent(Decimal::ZERO);
    /// Decimals at most.
    pub const PLACES: u32 = 3;

    /// Whether this is exactly nothing.
    #[must_use]
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }
}

impl Add for Percent {
    type Output = Percent;
    fn add(self, other: Percent) -> Percent {
        Percent(self.0 + other.0)
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0.normalize())
    }
}

/// How a half is rounded.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum RoundingRule {
    /// A half goes away from zero.
    #[default]
    HalfUp,
    /// A half goes to the even neighbour (IEEE 754-2008, 4.3.1).
    HalfEven,
}

/// The rounding of one card in one currency.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rounding {
    /// What happens to a half.
    pub rule: RoundingRule,
    /// The currency, whose minor unit is the grain.
    pub currency: Currency,
}

impl Rounding {
    /// Rounds an exact number to the minor unit, symmetrically about zero.
    /// Every amount on every sheet comes from here, once.
    #[must_use]
    pub fn money(self, exact: Exact) -> Money {
        let strategy = match self.rule {
            RoundingRule::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            RoundingRule::HalfEven => RoundingStrategy::MidpointNearestEven,
        };
        let places = self.currency.places();
        let rounded = exact
            .rounded_in_64_bits(places, self.rule)
            .unwrap_or_else(|| {
                let decimal = exact.sticky_decimal();
                decimal.round_dp_with_strategy(places, strategy)
            });
        if rounded.is_zero() {
            Money::ZERO
        } else {
            Money(rounded)
        }
    }
}

impl Rounding {
    /// A fraction of an amount, rounded to the minor unit.
    #[must_use]
    pub fn part_of(self, amount: Money, fraction: &BigRational) -> Money {
        let exact = BigRational::from(BigInt::from(amount.minor_units(self.currency))) * fraction;
        let rounded = match self.rule {
            // `round` takes a half away from zero.
            RoundingRule::HalfUp => exact.round(),
            RoundingRule::HalfEven => {
                let floor = exact.floor();
                let half = BigRational::new(BigInt::from(1), BigInt::from(2));
                match (&exact - &floor).cmp(&half) {
                    Ordering::Less => floor,
                    Ordering::Equal if floor.numer().is_even() => floor,
                    _ => floor + BigInt::from(1),
                }
            }
        };
        let units = rounded.to_integer().to_i128().expect(OVERFLOW);
        Money::from_minor_units(units, self.currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A statistic is the number nearest to the amount: what the standard library
    /// reads in the amount's own text, and it rounds correctly.
    #[test]
    fn a_statistic_is_nearest_to_its_amount() {
        for code in ["JPY", "USD", "KWD", "CLF"] {
            let currency = Currency::from_code(code).expect("a currency");
            let last = i128::from(i64::MAX);
            let edges = [(1 << 53) - 1, 1 << 53, (1 << 53) + 1, last, last + 1];
            let units = (0..20_000).map(|n| n * 7_919).chain(edges);
            for units in units.flat_map(|units| [units, -units]) {
                let amount = Money::from_minor_units(units, currency);
                let read: f64 = currency.text(amount).parse().expect("a number");
                if units.unsigned_abs() < 1 << 53 {
                    assert_eq!(amount.as_statistic(), read, "{units} {code}");
                } else {
                    // Beyond, the decimal's own conversion may be off in the last place.
                    let away = (amount.as_statistic() - read).abs();
                    assert!(away <= read.abs() * f64::EPSILON, "{units} {code}");
                }
            }
        }
    }
}

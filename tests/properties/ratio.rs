//! Exact fractions for the model, which uses none of the crate's own money.

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Mul, Sub};

/// A fraction in lowest terms, its lower part above 0.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Ratio {
    upper: i128,
    lower: i128,
}

impl Ratio {
    pub const ZERO: Ratio = Ratio { upper: 0, lower: 1 };

    /// `upper / lower`.
    pub fn new(upper: i128, lower: i128) -> Ratio {
        let shared = common(upper, lower);
        Ratio {
            upper: upper / shared,
            lower: lower / shared,
        }
    }

    /// `units` with the point moved so many places.
    pub fn dec(units: u32, places: u32) -> Ratio {
        Ratio::new(units.into(), 10_i128.pow(places))
    }

    pub fn whole(number: u32) -> Ratio {
        Ratio::dec(number, 0)
    }

    /// So many percent of it.
    pub fn percent(self, percent: Ratio) -> Ratio {
        self * percent * Ratio::new(1, 100)
    }

    /// Divided by another, above 0.
    pub fn over(self, other: Ratio) -> Ratio {
        self * Ratio::new(other.lower, other.upper)
    }

    pub fn is_zero(self) -> bool {
        self.upper == 0
    }

    /// The whole number that it is, if it is one.
    pub fn as_whole(self) -> Option<i128> {
        (self.lower == 1).then_some(self.upper)
    }

    /// To so many places, a half away from zero or to the even neighbour.
    pub fn round(self, places: u32, half_even: bool) -> Ratio {
        let grain = 10_i128.pow(places);
        let (size, sign) = (self.upper.abs() * grain, self.upper.signum());
        let (down, rest) = (size / self.lower, size % self.lower);
        let up = match (2 * rest).cmp(&self.lower) {
            Ordering::Less => false,
            Ordering::Greater => true,
            Ordering::Equal => !half_even || down % 2 == 1,
        };
        Ratio::new(sign * (down + i128::from(up)), grain)
    }

    /// An amount of whole minor units as a sheet shows it.
    pub fn money(self, places: u32) -> String {
        let units = (self * Ratio::new(10_i128.pow(places), 1))
            .as_whole()
            .expect("whole minor units");
        let sign = if units < 0 { "-" } else { "" };
        let grain = 10_i128.pow(places);
        let (whole, rest) = (units.abs() / grain, units.abs() % grain);
        match places {
            0 => format!("{sign}{whole}"),
            places => format!("{sign}{whole}.{rest:0width$}", width = places as usize),
        }
    }
}

fn common(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { common(b, a % b) }
}

impl Add for Ratio {
    type Output = Ratio;
    fn add(self, other: Ratio) -> Ratio {
        let shared = common(self.lower, other.lower);
        let (left, right) = (other.lower / shared, self.lower / shared);
        Ratio::new(self.upper * left + other.upper * right, self.lower * left)
    }
}

impl Sub for Ratio {
    type Output = Ratio;
    fn sub(self, other: Ratio) -> Ratio {
        self + other * Ratio::new(-1, 1)
    }
}

impl Mul for Ratio {
    type Output = Ratio;
    fn mul(self, other: Ratio) -> Ratio {
        // Cut crosswise first, so that nothing grows before it must.
        let one = Ratio::new(self.upper, other.lower);
        let two = Ratio::new(other.upper, self.lower);
        Ratio::new(one.upper * two.upper, one.lower * two.lower)
    }
}

impl std::iter::Sum for Ratio {
    fn sum<I: Iterator<Item = Ratio>>(numbers: I) -> Ratio {
        numbers.fold(Ratio::ZERO, Add::add)
    }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Ratio) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ratio {
    fn cmp(&self, other: &Ratio) -> Ordering {
        (*self - *other).upper.cmp(&0)
    }
}

/// As a plain decimal, which every figure of a file is.
impl fmt::Display for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = (0..)
            .find(|places| 10_i128.pow(*places) % self.lower == 0)
            .expect("a decimal");
        write!(f, "{}", self.money(places))
    }
}

impl fmt::Debug for Ratio {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.upper, self.lower)
    }
}

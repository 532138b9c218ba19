//! Lengths and hours as their own types, so that neither is taken for money.

use rust_decimal::Decimal;
use std::fmt;

/// A dent diameter or a class limit in millimetres, exact.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Millimetres(pub Decimal);

impl Millimetres {
    /// One inch is 25.4 mm exactly (international inch, 1959).
    #[must_use]
    pub fn from_inches(inches: Decimal) -> Millimetres {
        Millimetres(inches * Decimal::new(254, 1))
    }
}

impl fmt::Display for Millimetres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.0.normalize())
    }
}

/// The unit in which a storm's people measure dents.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches of 25.4 mm.
    Inch,
}

impl LengthUnit {
    /// The unit by its written word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<LengthUnit> {
        match word {
            "mm" => Some(LengthUnit::Millimetre),
            "in" => Some(LengthUnit::Inch),
            _ => None,
        }
    }

    /// A number in this unit as millimetres.
    #[must_use]
    pub fn millimetres(self, value: Decimal) -> Millimetres {
        match self {
            LengthUnit::Millimetre => Millimetres(value),
            LengthUnit::Inch => Millimetres::from_inches(value),
        }
    }
}

/// Labour hours as a card states them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Hours(pub Decimal);

impl fmt::Display for Hours {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} h", self.0.normalize())
    }
}

//! A currency: how many places its amounts have, and how they are written.

use super::Money;
use rust_decimal::Decimal;

/// A currency of ISO 4217 with its minor unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Currency {
    code: [u8; 3],
    places: u32,
}

impl Currency {
    /// The currency of an upper-case ISO 4217 code. Codes without a minor
    /// unit (metals, test codes) are no currency for a bill.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Currency> {
        let listed = iso_currency::Currency::from_code(code)?;
        let places = u32::from(listed.exponent()?);
        let code = code.as_bytes().try_into().ok()?;
        Some(Currency { code, places })
    }

    /// The United States dollar: what a lone sheet is priced in.
    #[must_use]
    pub fn usd() -> Currency {
        Currency {
            code: *b"USD",
            places: 2,
        }
    }

    /// The three letters.
    #[must_use]
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.code).unwrap_or("???")
    }

    /// Decimal places of the minor unit: 2 for cents, 0 for yen, 3 for dinars.
    #[must_use]
    pub fn places(self) -> u32 {
        self.places
    }

    /// An amount that must not be finer than the minor unit; `None` when it is.
    #[must_use]
    pub fn amount(self, value: Decimal) -> Option<Money> {
        if value.normalize().scale() > self.places {
            return None;
        }
        // As amounts that were rounded have them.
        let mut filled = value;
        filled.rescale(self.places);
        Some(Money(if filled == value { filled } else { value }))
    }

    /// An amount as files carry it: all places, `-` for minus, no grouping.
    #[must_use]
    pub fn text(self, amount: Money) -> String {
        let mut value = amount.0;
        value.rescale(self.places);
        value.to_string()
    }

    /// Adds an amount to a text, as files carry it. It is written by hand for
    /// tables of a million rows: `text` makes a string of every cell. A test
    /// holds the two together.
    pub fn push_text(self, amount: Money, text: &mut Vec<u8>) {
        match i64::try_from(amount.minor_units(self)) {
            Ok(units) => self.push_units(units, text),
            Err(_) => text.extend_from_slice(self.text(amount).as_bytes()),
        }
    }

    /// The same where the amount is kept in minor units.
    pub fn push_units(self, units: i64, text: &mut Vec<u8>) {
        let positive = units.unsigned_abs();
        if units < 0 {
            text.push(b'-');
        }
        match self.places {
            0 => push_units::<0>(positive, text),
            2 => push_units::<2>(positive, text),
            3 => push_units::<3>(positive, text),
            _ => {
                let amount = Money::from_minor_units(positive.into(), self);
                text.extend_from_slice(self.text(amount).as_bytes());
            }
        }
    }

    /// An amount as people read it: thousands apart, `1,234.50`.
    #[must_use]
    pub fn grouped(self, amount: Money) -> String {
        thousands_apart(&self.text(amount))
    }

    /// A statistic in this currency, such as a percentile, as people read it.
    #[must_use]
    pub fn grouped_statistic(self, value: f64) -> String {
        let places = self.places as usize;
        thousands_apart(&format!("{value:.places$}"))
    }
}

/// Adds minor units of a currency with so many places, of which there are 3 at most.
fn push_units<const PLACES: usize>(units: u64, text: &mut Vec<u8>) {
    // Most groups of most cars come to nothing.
    if units == 0 {
        let zero = const { b"0.000".split_at(1 + PLACES + (PLACES > 0) as usize).0 };
        return text.extend_from_slice(zero);
    }
    let (mut digits, unit) = (itoa::Buffer::new(), 10_u64.pow(PLACES as u32));
    let digits = if units < unit {
        // With a 1 before them the zeros are written, too.
        &digits.format(units + 10 * unit).as_bytes()[1..]
    } else {
        digits.format(units).as_bytes()
    };
    if let Some((whole, part)) = digits.split_last_chunk::<PLACES>() {
        text.extend_from_slice(whole);
        if PLACES > 0 {
            text.push(b'.');
            text.extend_from_slice(part);
        }
    }
}

/// A round number of a scale as people read it, without decimals: `1,500`.
#[must_use]
pub fn grouped_whole(value: f64) -> String {
    thousands_apart(&format!("{value:.0}"))
}

/// `-1234.50` as `-1,234.50`.
fn thousands_apart(plain: &str) -> String {
    let (sign, digits) = plain
        .strip_prefix('-')
        .map_or(("", plain), |rest| ("-", rest));
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let mut grouped = String::with_capacity(plain.len() + 8);
    grouped.push_str(sign);
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    if !fraction.is_empty() {
        grouped.push('.');
        grouped.push_str(fraction);
    }
    grouped
}

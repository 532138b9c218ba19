//! The check digit of a vehicle identification number.

/// What is odd about a VIN.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VinOddity {
    /// Not 17 characters; this many.
    Length(usize),
    /// A letter that no VIN has (I, O, Q) or another sign.
    Sign(char),
    /// The ninth place does not fit the others; this would.
    CheckDigit(char),
}

/// Checks length, alphabet and check digit (49 CFR 565.15(c)): letters have
/// values, places have weights, and the sum modulo 11 stands in place 9, 10
/// written as X. Only North American rules require the digit, so a failure is
/// for a caution, never for an error.
///
/// # Errors
/// The first oddity.
pub fn check(vin: &str) -> Result<(), VinOddity> {
    const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
    let signs: Vec<char> = vin.chars().map(|c| c.to_ascii_uppercase()).collect();
    if signs.len() != 17 {
        return Err(VinOddity::Length(signs.len()));
    }
    let mut sum = 0;
    for (sign, weight) in signs.iter().zip(WEIGHTS) {
        sum += value(*sign).ok_or(VinOddity::Sign(*sign))? * weight;
    }
    let digit = match sum % 11 {
        10 => 'X',
        rest => char::from_digit(rest, 10).unwrap_or('?'),
    };
    if signs[8] == digit {
        Ok(())
    } else {
        Err(VinOddity::CheckDigit(digit))
    }
}

fn value(sign: char) -> Option<u32> {
    Some(match sign {
        '0'..='9' => sign.to_digit(10)?,
        'A'..='H' => u32::from(sign) - u32::from('A') + 1,
        'J'..='N' => u32::from(sign) - u32::from('J') + 1,
        'P' => 7,
        'R' => 9,
        'S'..='Z' => u32::from(sign) - u32::from('S') + 2,
        _ => return None,
    })
}

//! Figures as people write them, and what a faulty one probably means.

use rust_decimal::Decimal;
use std::str::FromStr;

/// Digits and at most one point, as money and figures are written. The error
/// says what was probably meant.
///
/// At most 10 digits before the point and 9 after it: every product in
/// pricing then fits exactly (see [`crate::money::Exact`]).
///
/// # Errors
/// When it is anything else.
pub fn plain_decimal(text: &str) -> Result<Decimal, Option<String>> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let sound = !whole.is_empty()
        && digits(whole)
        && digits(fraction)
        && !(text.ends_with('.'))
        && whole.len() <= 10
        && fraction.len() <= 9;
    if sound && let Ok(number) = Decimal::from_str(text) {
        return Ok(number);
    }
    Err(probable_decimal(text))
}

/// What a faulty decimal probably means: letters for digits, grouping, a
/// decimal comma, spaces, a currency sign, `.5`.
fn probable_decimal(text: &str) -> Option<String> {
    let letters = text.contains(['O', 'o', 'l', 'I']);
    let mut guess: String = text
        .trim()
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '\'' && *c != '_')
        .map(|c| match c {
            'O' | 'o' => '0',
            'l' | 'I' => '1',
            c => c,
        })
        .collect();
    guess = guess
        .trim_matches(|c: char| !c.is_ascii_digit() && c != '.' && c != '-')
        .to_owned();
    if let Some((whole, fraction)) = guess.rsplit_once(',') {
        let grouping = fraction.len() == 3 || fraction.contains('.');
        guess = if grouping {
            guess.replace(',', "")
        } else {
            format!("{}.{fraction}", whole.replace(['.', ','], ""))
        };
    }
    if guess.starts_with('.') {
        guess.insert(0, '0');
    }
    if guess == text || plain_decimal_shape(&guess).is_none() {
        return None;
    }
    Some(if letters {
        format!("{guess} (letters stand for digits)")
    } else {
        guess
    })
}

fn plain_decimal_shape(text: &str) -> Option<()> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    (digits(whole) && digits(fraction)).then_some(())
}

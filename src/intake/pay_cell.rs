//! What a person is paid, and parts of a pool, as cells hold them.

use super::cells::{Read, Refusal, bounded_number, with_point};
use super::table::Cell;
use super::toml_doc::plain_decimal;
use crate::money::{Currency, Percent};
use crate::storm::Pay;
use num_bigint::BigInt;
use num_rational::BigRational;
use rust_decimal::Decimal;

const TERMS: &str = "45%, 38.00/h, 120.00/car, 350.00/day, or a sum of different ones with +";

/// What a person is paid: `45%`, `38.00/h`, `30% + 12.00/h`.
///
/// A workbook keeps `45%` as the number 0.45; a number from 0 to 1 can mean
/// nothing else here, since every other term has its unit.
pub fn pay(cell: Cell<'_>, currency: Currency, decimal_comma: bool) -> Read<Pay> {
    let text = match cell {
        Cell::Blank => return Ok(Pay::default()),
        Cell::Text(text) => text,
        Cell::Number(number) => {
            let percent = share_of_one(number).map(|share| Percent(share * Decimal::ONE_HUNDRED));
            return match percent.filter(|percent| percent.0.normalize().scale() <= 3) {
                Some(percent) => Ok(Pay {
                    percent: Some(percent),
                    ..Pay::default()
                }),
                None => Err(Refusal::new(TERMS)),
            };
        }
        Cell::NoValue(_) => return Err(Refusal::new("a formula with a stored value")),
        _ => return Err(Refusal::new(TERMS)),
    };
    let mut pay = Pay::default();
    let terms: Vec<&str> = text.split('+').map(str::trim).collect();
    for (at, term) in terms.iter().enumerate() {
        let term = with_point(term, decimal_comma);
        add(&mut pay, &term, currency).map_err(|refusal| Refusal {
            // What is offered is the whole cell.
            meant: refusal.meant.map(|meant| {
                let mut terms = terms.clone();
                terms[at] = &meant;
                terms.join(" + ")
            }),
            ..refusal
        })?;
    }
    Ok(pay)
}

fn add(pay: &mut Pay, term: &str, currency: Currency) -> Read<()> {
    let figures: String = term
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .collect();
    let unit = term[figures.len()..].trim().to_lowercase();
    let refused = |meant: Option<String>| Refusal {
        expected: TERMS.to_owned(),
        meant,
    };
    let figure = plain_decimal(&figures)
        .map_err(|meant| refused(meant.map(|figures| format!("{figures}{unit}"))))?;
    let money = |figure: Decimal| {
        currency
            .amount(figure)
            .ok_or_else(|| Refusal::new(super::resolve::no_finer(currency)))
    };
    let twice = match unit.as_str() {
        "%" => {
            if figure > Decimal::ONE_HUNDRED {
                return Err(Refusal::new("a percentage from 0 to 100"));
            }
            if figure.normalize().scale() > 3 {
                return Err(Refusal::new("a percentage with at most three decimals"));
            }
            pay.percent.replace(Percent(figure)).is_some()
        }
        "/h" => pay.per_hour.replace(figure).is_some(),
        "/car" => pay.per_car.replace(money(figure)?).is_some(),
        "/day" => pay.per_day.replace(money(figure)?).is_some(),
        "/hour" | "/hr" | "/hrs" | "per hour" | "an hour" | "h" => {
            return Err(refused(Some(format!("{figures}/h"))));
        }
        "/d" | "/days" | "per day" | "a day" => {
            return Err(refused(Some(format!("{figures}/day"))));
        }
        "/cars" | "/vehicle" | "per car" | "a car" => {
            return Err(refused(Some(format!("{figures}/car"))));
        }
        "percent" | "pct" => return Err(refused(Some(format!("{figures}%")))),
        _ => return Err(refused(None)),
    };
    if twice {
        return Err(Refusal::new(format!("one term with {unit} in a sum")));
    }
    Ok(())
}

const PART: &str = "a part of the pool, such as 50% or 2/3";

/// The person's part of a pool, from 0 to 1; a blank is none.
pub fn part(cell: Cell<'_>, decimal_comma: bool) -> Read<Option<BigRational>> {
    let text = match cell {
        Cell::Blank => return Ok(None),
        Cell::Text(text) => text,
        // A workbook keeps `50%` as 0.5.
        Cell::Number(number) => {
            return match share_of_one(number) {
                Some(share) => Ok(Some(fraction(share))),
                None => Err(Refusal {
                    expected: PART.to_owned(),
                    meant: bounded_number(number)
                        .filter(|number| *number <= Decimal::ONE_HUNDRED)
                        .map(|number| format!("{number}%")),
                }),
            };
        }
        Cell::Date(_) => {
            return Err(Refusal::new(format!(
                "{PART}; a spreadsheet made a date of it, so write it as text"
            )));
        }
        Cell::NoValue(_) => return Err(Refusal::new("a formula with a stored value")),
        _ => return Err(Refusal::new(PART)),
    };
    let text = &*with_point(text, decimal_comma);
    let (part, whole) = if let Some(percent) = text.strip_suffix('%') {
        (percent.trim(), "100")
    } else if let Some((part, whole)) = text.split_once('/') {
        (part.trim(), whole.trim())
    } else {
        let meant = plain_decimal(text).ok().and_then(|number| {
            let percent = if number <= Decimal::ONE {
                number * Decimal::ONE_HUNDRED
            } else {
                number
            };
            (percent <= Decimal::ONE_HUNDRED).then(|| format!("{}%", percent.normalize()))
        });
        return Err(Refusal {
            expected: PART.to_owned(),
            meant,
        });
    };
    let figure = |figure: &str| {
        plain_decimal(figure).map_err(|meant| Refusal {
            expected: PART.to_owned(),
            meant: meant.map(|meant| text.replacen(figure, &meant, 1)),
        })
    };
    let (part, whole) = (figure(part)?, figure(whole)?);
    if whole.is_zero() {
        return Err(Refusal::new(PART));
    }
    if part > whole {
        return Err(Refusal::new("at most the whole: 100%"));
    }
    Ok(Some(fraction(part) / fraction(whole)))
}

/// A workbook's number from 0 to 1.
fn share_of_one(number: f64) -> Option<Decimal> {
    bounded_number(number).filter(|share| *share <= Decimal::ONE)
}

/// A decimal as an exact fraction.
fn fraction(decimal: Decimal) -> BigRational {
    BigRational::new(
        BigInt::from(decimal.mantissa()),
        BigInt::from(10).pow(decimal.scale()),
    )
}

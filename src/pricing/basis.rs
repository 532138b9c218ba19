//! Lines in words: the item's name, and how its amount arose.

use super::line::{Basis, Item, Line};
use crate::money::{Exact, Percent};
use crate::rates::{MixedSizes, RateCard, Rates, Terms};
use crate::storm::{Group, Storm};
use std::fmt::Write;

/// Puts the lines of one payer's cars into words.
#[derive(Debug, Clone, Copy)]
pub struct Explainer<'a> {
    storm: &'a Storm,
    card: &'a RateCard,
    terms: &'a Terms,
}

impl<'a> Explainer<'a> {
    /// For the cars of a payer.
    #[must_use]
    pub fn new(storm: &'a Storm, rates: &'a Rates, payer: usize) -> Explainer<'a> {
        Explainer {
            storm,
            card: rates.card_of(payer),
            terms: &rates.terms[payer],
        }
    }

    /// The item's name, as in `lines.csv`.
    #[must_use]
    pub fn item(&self, line: &Line) -> String {
        match line.item {
            Item::Dents(class) => format!("dents {}", self.card.sizes[class].name),
            Item::OversizeTo(step) => {
                format!("oversize to {}", self.card.oversize[step].upto)
            }
            Item::OversizeAbove => match self.card.oversize.last() {
                Some(last) => format!("oversize above {}", last.upto),
                None => "oversize".to_owned(),
            },
            Item::Uplift(uplift) => format!("uplift {}", self.card.uplifts[uplift].name),
            Item::Limit => "limit".to_owned(),
            Item::Conventional => "conventional".to_owned(),
            Item::Removal(removal) | Item::Parts(removal) => {
                self.card.removals[removal].code.clone()
            }
            Item::Extra(extra) => self.card.extras[extra].name.clone(),
            Item::Agreed(row) => self.storm.agreed[row].item.clone(),
            Item::Discount => "discount".to_owned(),
            Item::Minimum => "minimum".to_owned(),
            Item::Tax(tax) => format!("tax {}", self.terms.taxes[tax].name),
        }
    }

    /// The groups that a tax line is on.
    fn taxed(&self, line: &Line) -> String {
        let Item::Tax(tax) = line.item else {
            return String::new();
        };
        let on = &self.terms.taxes[tax].on;
        let words: Vec<&str> = Group::ALL
            .into_iter()
            .filter(|group| on[group.index()])
            .map(Group::word)
            .collect();
        words.join(" + ")
    }

    /// How the amount arose, in words and figures.
    #[must_use]
    pub fn basis(&self, line: &Line) -> String {
        let money = |amount| self.storm.currency.text(amount);
        let result = line
            .amount
            .map_or_else(|| "by written quote".to_owned(), money);
        match line.basis {
            Basis::Band {
                dents,
                class,
                band,
                hours,
                cell,
            } => {
                let word = if dents == 1 { "dent" } else { "dents" };
                let name = &self.card.sizes[class].name;
                let how = match self.card.mixed_sizes {
                    MixedSizes::Predominant => format!("{dents} {word}, mostly {name}"),
                    MixedSizes::Largest => format!("{dents} {word}, largest {name}"),
                    MixedSizes::Each => format!("{dents} {word} {name}"),
                };
                let figure = match hours {
                    Some((hours, rate)) => {
                        format!(
                            "{hours} x {} = {}",
                            self.exact(rate),
                            rounding_shown(cell, &result)
                        )
                    }
                    None => rounding_shown(cell, &result),
                };
                format!("{how}: band {band} -> {figure}")
            }
            Basis::Each { count, each } => {
                let exact = each.times(rust_decimal::Decimal::from(count));
                let shown = rounding_shown(exact, &result);
                format!("{count} x {} = {shown}", self.exact(each))
            }
            Basis::Quote { dents: 1 } => "1 dent, by written quote".to_owned(),
            Basis::Quote { dents } => format!("{dents} dents, by written quote"),
            Basis::PercentOf {
                percent,
                dents,
                oversize,
            } => {
                let mut text = format!("{percent} of ");
                match (dents, oversize) {
                    (Some(dents), Some(oversize)) => {
                        let _ = write!(
                            text,
                            "({} dents + {} oversize)",
                            self.exact(dents),
                            self.exact(oversize)
                        );
                    }
                    (Some(dents), None) => text.push_str(&self.exact(dents)),
                    (None, Some(oversize)) => text.push_str(&self.exact(oversize)),
                    (None, None) => text.push('0'),
                }
                format!("{text} -> {result}")
            }
            Basis::Held { limit, sum } => {
                let shown = rounding_shown(limit.plus(sum.exact().negated()), &result);
                format!("limit {} - {} = {shown}", self.exact(limit), money(sum))
            }
            Basis::Card { amount } => rounding_shown(amount, &result),
            Basis::Referred { amount, reason } => match amount {
                Some(amount) => format!(
                    "referred {}: {}",
                    reason.word(),
                    rounding_shown(amount, &result)
                ),
                None => format!("referred {}: by written quote", reason.word()),
            },
            Basis::Labour { hours, rate, auto } => {
                let shown = rounding_shown(rate.times(hours.0), &result);
                let why = auto.map_or_else(String::new, |auto| {
                    format!(
                        "auto, {} {} >= {}: ",
                        auto.panel.word(),
                        auto.dents,
                        auto.at_least
                    )
                });
                format!("{why}{hours} x {} = {shown}", self.exact(rate))
            }
            Basis::In { removal } => format!("in {}", self.card.removals[removal].code),
            Basis::Agreed { row } => self.agreed_with(row),
            Basis::PercentOff { percent, sum } => {
                let standing = self.terms.discount[line.group.index()];
                let how = if standing == percent || standing.is_zero() {
                    percent.to_string()
                } else {
                    // The rest is the lot tier that the payer's cars reach.
                    let tier = Percent(percent.0 - standing.0);
                    format!("{} + {} for the lot = {percent}", standing.0, tier.0)
                };
                format!(
                    "{}: {how} off {} -> {result}",
                    line.group.word(),
                    money(sum)
                )
            }
            Basis::UpTo { minimum, sum } => {
                format!("minimum {} - {} = {result}", money(minimum), money(sum))
            }
            Basis::TaxOn { percent, sum } => {
                format!(
                    "{percent} of {} {} -> {result}",
                    self.taxed(line),
                    money(sum)
                )
            }
        }
    }

    fn agreed_with(&self, row: usize) -> String {
        let row = &self.storm.agreed[row];
        let mut text = "agreed".to_owned();
        if !row.by.is_empty() {
            let _ = write!(text, " with {}", row.by);
        }
        if !row.date.is_empty() {
            let _ = write!(text, " on {}", row.date);
        }
        text
    }

    /// An exact figure with at least the currency's places, so that money
    /// looks like money: 52.00, but 26.955 in full.
    fn exact(&self, value: Exact) -> String {
        let places = self.storm.currency.places() as usize;
        let text = value.to_string();
        let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
        if places == 0 && fraction.is_empty() {
            return whole.to_owned();
        }
        format!("{whole}.{fraction:0<places$}")
    }
}

/// The result, with the exact figure before it where rounding changed it.
fn rounding_shown(exact: Exact, result: &str) -> String {
    match result.parse::<rust_decimal::Decimal>() {
        Ok(rounded) if Exact::from(rounded).compare(exact) != std::cmp::Ordering::Equal => {
            format!("{exact} -> {result}")
        }
        _ => result.to_owned(),
    }
}

//! One payer's terms.

use super::super::problem::{Place, Problem, Severity};
use super::super::toml_doc::{List, Scalar};
use super::StormReader;
use super::raw::{RawDiscount, RawPayer, RawTax, RawTier, RawTotalLoss};
use crate::money::{Currency, Money, Percent};
use crate::rates::{LotTier, Tax, Terms, TotalLoss};
use crate::storm::Group;
use crate::storm::words;
use toml::Spanned;

/// Taxes of a payer at most, so that no total passes all figures.
const MOST_TAXES: usize = 20;

impl StormReader<'_, '_> {
    pub(super) fn terms(
        &mut self,
        raw: &RawPayer,
        currency: Option<Currency>,
    ) -> (Terms, Option<(Place, String)>) {
        let discount = self.discounts(&raw.discount);
        let lot_discount = self.tiers(&raw.lot_discount);
        self.check_discounts(raw, &discount, &lot_discount);
        let taxes = self.taxes(&raw.tax);
        let deductible = self.amount(raw.deductible.as_ref(), currency);
        let deductible_event_max = self.amount(raw.deductible_event_max.as_ref(), currency);
        let alone = match (&raw.deductible_event_max, &raw.deductible) {
            (Some(value), None) => Some((
                self.doc.place(&value.span()),
                self.doc.source_text(&value.span()),
            )),
            _ => None,
        };
        let terms = Terms {
            card: 0,
            discount,
            lot_discount,
            minimum: self.amount(raw.minimum.as_ref(), currency),
            taxes,
            deductible,
            deductible_event_max,
            total_loss: raw.total_loss.as_ref().and_then(|raw| self.total_loss(raw)),
        };
        (terms, alone)
    }

    pub(super) fn amount(
        &mut self,
        value: Option<&Scalar>,
        currency: Option<Currency>,
    ) -> Option<Money> {
        let value = value?;
        let number = self.doc.decimal(value)?;
        let currency = currency?;
        let amount = currency.amount(number);
        if amount.is_none() {
            let places = currency.places();
            let expected = match places {
                0 => "no finer than the currency, which has no decimals".to_owned(),
                1 => "no finer than the currency's one place".to_owned(),
                places => format!("no finer than the currency's {places} places"),
            };
            self.doc.fault(&value.span(), expected);
        }
        amount
    }

    pub(super) fn groups(&mut self, list: &List, known: &[Group]) -> Option<Vec<Group>> {
        let known: Vec<(&'static str, Group)> =
            known.iter().map(|group| (group.word(), *group)).collect();
        self.doc.word_list(list, &known, |_| None)
    }

    pub(super) fn discounts(&mut self, raw: &[Spanned<RawDiscount>]) -> [Percent; 6] {
        let mut discount = [Percent::ZERO; 6];
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let groups = match &entry.on {
                Some(list) => self.groups(list, &Group::ALL[..5]),
                None => {
                    self.doc
                        .fault_key(&span, "on", "", "`on`: the groups that it is off");
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: how much");
                    None
                }
            };
            for group in groups.unwrap_or_default() {
                let slot = &mut discount[group.index()];
                *slot = *slot + percent.unwrap_or_default();
            }
        }
        discount
    }

    pub(super) fn tiers(&mut self, raw: &[Spanned<RawTier>]) -> Vec<LotTier> {
        let mut tiers: Vec<LotTier> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let cars = match &entry.cars_at_least {
                Some(value) => {
                    let cars = self.doc.whole(value);
                    if let (Some(cars), Some(last)) = (cars, tiers.last())
                        && cars <= last.cars_at_least
                    {
                        self.doc.fault(
                            &value.span(),
                            format!(
                                "more than {}: tiers stand fewest cars first",
                                last.cars_at_least
                            ),
                        );
                    }
                    cars
                }
                None => {
                    self.doc.fault_key(
                        &span,
                        "cars_at_least",
                        "",
                        "`cars_at_least`: from how many cars",
                    );
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: how much");
                    None
                }
            };
            if let (Some(cars_at_least), Some(percent)) = (cars, percent) {
                tiers.push(LotTier {
                    cars_at_least,
                    percent,
                });
            }
        }
        tiers
    }

    /// Standing discounts and the highest tier may take at most the whole.
    pub(super) fn check_discounts(
        &mut self,
        raw: &RawPayer,
        standing: &[Percent; 6],
        tiers: &[LotTier],
    ) {
        let whole = Percent(rust_decimal::Decimal::ONE_HUNDRED);
        let tier = tiers
            .iter()
            .map(|tier| tier.percent)
            .max()
            .unwrap_or_default();
        for group in Group::ALL {
            let mut together = standing[group.index()];
            if group == Group::Dents {
                together = together + tier;
            }
            if together <= whole {
                continue;
            }
            let (span, key) = match (raw.discount.first(), raw.lot_discount.first()) {
                (Some(first), _) => (first.span(), "discount"),
                (None, Some(first)) => (first.span(), "lot_discount"),
                (None, None) => return,
            };
            self.doc.fault_key(
                &span,
                key,
                together.0.normalize().to_string(),
                format!("at most 100 together on {}", group.word()),
            );
        }
    }

    pub(super) fn taxes(&mut self, raw: &[Spanned<RawTax>]) -> Vec<Tax> {
        let mut taxes: Vec<Tax> = Vec::new();
        if let Some(entry) = raw.get(MOST_TAXES) {
            self.doc.fault_found(
                &entry.span(),
                format!("{} taxes", raw.len()),
                format!("at most {MOST_TAXES}"),
                None,
            );
            return taxes;
        }
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let name = match &entry.name {
                Some(value) => self.doc.name(value).filter(|name| {
                    let folded = words::fold(name);
                    let twice = taxes.iter().any(|tax| words::fold(&tax.name) == folded);
                    if twice {
                        self.doc.fault(&value.span(), "a tax's name once");
                    }
                    !twice
                }),
                None => {
                    self.doc
                        .fault_key(&span, "name", "", "`name`: the tax's name");
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: the rate");
                    None
                }
            };
            let on = match &entry.on {
                Some(list) => self.groups(list, &Group::ALL[..5]),
                None => {
                    self.doc
                        .fault_key(&span, "on", "", "`on`: the groups that it is on");
                    None
                }
            };
            if let (Some(name), Some(percent), Some(groups)) = (name, percent, on) {
                taxes.push(Tax {
                    name,
                    percent,
                    on: Group::ALL.map(|group| groups.contains(&group)),
                });
            }
        }
        taxes
    }

    pub(super) fn total_loss(&mut self, raw: &Spanned<RawTotalLoss>) -> Option<TotalLoss> {
        let (span, raw) = (raw.span(), raw.get_ref());
        let percent = match &raw.percent {
            Some(value) => self.doc.percent(value, 1000),
            None => {
                self.doc
                    .fault_key(&span, "percent", "", "`percent`: of the vehicle's value");
                None
            }
        };
        let or_equal = match &raw.compare {
            Some(value) => self.doc.word(value, &[(">=", true), (">", false)]),
            None => {
                self.doc
                    .fault_key(&span, "compare", "", "`compare`: >= or >");
                None
            }
        };
        let hail_exempt = match &raw.hail_exempt {
            Some(value) => self.doc.truth(value),
            None => Some(false),
        };
        Some(TotalLoss {
            percent: percent?,
            or_equal: or_equal?,
            hail_exempt: hail_exempt?,
        })
    }
}

/// The error of an event maximum that no deductible stands under.
#[must_use]
pub fn event_max_problem(place: &Place, found: &str) -> Problem {
    Problem {
        severity: Severity::Error,
        place: place.clone(),
        found: found.to_owned(),
        expected: "a deductible: neither this payer nor one of its cars has one".to_owned(),
        meant: None,
        stock: None,
    }
}

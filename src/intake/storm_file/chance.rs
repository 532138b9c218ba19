//! What may come between, and what more people cost: `[chance]`, `[staff]`.

use super::super::pay_cell;
use super::super::table::Cell;
use super::super::toml_doc::{Scalar, one_of};
use super::StormReader;
use super::raw::{RawChance, RawStaff};
use crate::crew::{SiteChance, StaffTerms};
use crate::money::{Currency, Money, Percent};
use crate::storm::{Trade, words};
use rust_decimal::Decimal;

/// The trades that a crew list knows, but for what belongs to no car.
const TRADES: [(&str, Trade); 3] = [
    ("dents", Trade::Dents),
    ("strip", Trade::Strip),
    ("finish", Trade::Finish),
];

impl StormReader<'_, '_> {
    pub(super) fn chance(&mut self, raw: Option<&RawChance>) -> SiteChance {
        let mut chance = SiteChance::default();
        let Some(raw) = raw else {
            return chance;
        };
        // A site that is closed on every day would never be done.
        let odds = |reader: &mut Self, value: &Option<Scalar>, most: u32, odds: &mut Percent| {
            if let Some(read) = value
                .as_ref()
                .and_then(|value| reader.doc.percent(value, most))
            {
                *odds = read;
            }
        };
        odds(self, &raw.absent_percent, 90, &mut chance.absent);
        odds(self, &raw.weather_percent, 90, &mut chance.weather);
        odds(self, &raw.growth_percent, 100, &mut chance.growth);
        odds(self, &raw.parts_late_percent, 100, &mut chance.parts_late);
        let figure = |reader: &mut Self,
                      value: &Option<Scalar>,
                      (least, most): (Decimal, Decimal),
                      figure: &mut Decimal| {
            let Some(value) = value else {
                return;
            };
            if let Some(read) = reader.doc.decimal(value) {
                if read < least || read > most || read.normalize().scale() > 4 {
                    let expected = format!("{least} to {most}, with at most 4 decimals");
                    reader.doc.fault(&value.span(), expected);
                } else {
                    *figure = read;
                }
            }
        };
        let ten = Decimal::TEN;
        let hundredth = Decimal::new(1, 2);
        let mean = (Decimal::ZERO, ten);
        figure(self, &raw.growth_mean, mean, &mut chance.growth_mean);
        let shape = (hundredth, Decimal::ONE_HUNDRED);
        figure(self, &raw.growth_shape, shape, &mut chance.growth_shape);
        let days = (Decimal::ONE, Decimal::ONE_HUNDRED);
        figure(
            self,
            &raw.parts_late_days,
            days,
            &mut chance.parts_late_days,
        );
        let error = (Decimal::ZERO, Decimal::TWO);
        figure(self, &raw.standard_error, error, &mut chance.standard_error);
        chance
    }

    pub(super) fn staff(
        &mut self,
        raw: Option<&RawStaff>,
        currency: Option<Currency>,
    ) -> StaffTerms {
        let mut terms = StaffTerms::default();
        let (Some(raw), Some(currency)) = (raw, currency) else {
            return terms;
        };
        terms.lodging_night = self.money(raw.lodging_night.as_ref(), currency);
        terms.per_diem = self.money(raw.per_diem.as_ref(), currency);
        for (word, value) in &raw.pay {
            let Some((_, trade)) = TRADES.iter().find(|(known, _)| known == word) else {
                let all = TRADES.map(|(known, _)| known);
                let meant = words::nearest(&words::fold(word), all.into_iter()).map(str::to_owned);
                self.doc
                    .fault_found(&value.span(), word.clone(), one_of(&all), meant);
                continue;
            };
            let Some(text) = self.doc.text(value) else {
                continue;
            };
            match pay_cell::pay(Cell::Text(&text), currency, false) {
                Ok(pay) => {
                    terms.pay.insert(*trade, pay);
                }
                Err(refusal) => {
                    self.doc
                        .fault_meant(&value.span(), refusal.expected, refusal.meant);
                }
            }
        }
        terms
    }

    fn money(&mut self, value: Option<&Scalar>, currency: Currency) -> Option<Money> {
        let value = value?;
        let number = self.doc.decimal(value)?;
        let money = currency.amount(number);
        if money.is_none() {
            self.doc
                .fault(&value.span(), super::super::resolve::no_finer(currency));
        }
        money
    }
}

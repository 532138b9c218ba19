//! The cars as a data frame, and sums over parts of it.

use super::{By, TotalsRow, group_column, has_whole_total};
use crate::money::{Currency, Money};
use crate::pricing::{GroupSum, PricedStorm, Status};
use crate::storm::{Body, Group, Storm};
use polars::prelude::*;

/// A failure of the data frame library; on checked inputs it is a bug.
#[derive(Debug)]
pub struct FrameError(pub String);

impl std::fmt::Display for FrameError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "bug: totals: {}", self.0)
    }
}

impl From<PolarsError> for FrameError {
    fn from(error: PolarsError) -> FrameError {
        FrameError(error.to_string())
    }
}

/// One row per counted car.
pub struct CarFrame {
    frame: DataFrame,
    currency: Currency,
    payers: usize,
}

/// Amounts of one column as exact decimals.
pub fn money_column(
    name: &str,
    amounts: impl Iterator<Item = Option<Money>>,
    currency: Currency,
) -> PolarsResult<Column> {
    let units: Int128Chunked = amounts
        .map(|amount| amount.map(|amount| amount.minor_units(currency)))
        .collect();
    let places = currency.places() as usize;
    let decimals = units.with_name(name.into()).into_decimal(38, places)?;
    Ok(decimals.into_series().into_column())
}

impl CarFrame {
    /// Makes the frame; uncounted cars are in no total.
    pub fn new(storm: &Storm, priced: &PricedStorm) -> Result<CarFrame, FrameError> {
        let currency = storm.currency;
        let cars: Vec<_> = storm
            .cars
            .iter()
            .zip(&priced.cars)
            .filter(|(_, priced)| priced.is_counted())
            .collect();
        let counts = |name: &str, of: &dyn Fn(&crate::pricing::PricedCar) -> u64| {
            let values: Vec<u64> = cars.iter().map(|(_, priced)| of(priced)).collect();
            Column::new(name.into(), values)
        };
        let mut columns = vec![
            Column::new(
                "payer".into(),
                cars.iter()
                    .map(|(car, _)| u32::try_from(car.vehicle.payer).unwrap_or(u32::MAX))
                    .collect::<Vec<u32>>(),
            ),
            Column::new(
                "body".into(),
                cars.iter()
                    .map(|(car, _)| car.vehicle.body as u32)
                    .collect::<Vec<u32>>(),
            ),
            counts("cars", &|_| 1),
            counts("quotes", &|priced| {
                u64::from(priced.status == Status::Quote)
            }),
            counts("panels", &|priced| {
                priced.panels.iter().filter(|panel| panel.counts()).count() as u64
            }),
            counts("dents", &|priced| {
                priced
                    .panels
                    .iter()
                    .map(|panel| u64::from(panel.dents))
                    .sum()
            }),
            counts("oversize", &|priced| {
                priced
                    .panels
                    .iter()
                    .map(|panel| u64::from(panel.oversize))
                    .sum()
            }),
        ];
        for group in Group::ALL {
            let name = group_column(group);
            let known = cars
                .iter()
                .map(|(_, priced)| Some(priced.ledger.sum(group).known));
            columns.push(money_column(&name, known, currency)?);
            columns.push(counts(&format!("{name}_priced"), &|priced| {
                u64::from(priced.ledger.sum(group).priced)
            }));
            columns.push(counts(&format!("{name}_open"), &|priced| {
                u64::from(priced.ledger.sum(group).open)
            }));
        }
        let pays = |name: &str, of: fn(&crate::pricing::PricedCar) -> Option<Money>| {
            money_column(name, cars.iter().map(|(_, priced)| of(priced)), currency)
        };
        columns.push(pays("payer_pays", |priced| priced.payer_pays)?);
        columns.push(pays("owner_pays", |priced| priced.owner_pays)?);
        let whole = |priced: &crate::pricing::PricedCar| {
            has_whole_total(priced.status).then(|| priced.total().known)
        };
        let totals = cars.iter().map(|(_, priced)| whole(priced));
        columns.push(money_column("whole_total", totals, currency)?);
        let statistic: Vec<Option<f64>> = cars
            .iter()
            .map(|(_, priced)| whole(priced).map(Money::as_statistic))
            .collect();
        columns.push(Column::new("statistic".into(), statistic));
        Ok(CarFrame {
            frame: DataFrame::new(cars.len(), columns)?,
            currency,
            payers: storm.payers.len(),
        })
    }

    /// The row of all cars.
    pub fn whole(&self) -> Result<TotalsRow, FrameError> {
        self.sum(By::Storm, &self.frame)
    }

    /// One row per payer that occurs, as in storm.toml.
    pub fn by_payer(&self) -> Result<Vec<TotalsRow>, FrameError> {
        self.payer_parts()?
            .into_iter()
            .map(|(by, part)| self.sum(by, &part))
            .collect()
    }

    /// One row per body that occurs, in list order.
    pub fn by_body(&self) -> Result<Vec<TotalsRow>, FrameError> {
        self.body_parts()?
            .into_iter()
            .map(|(by, part)| self.sum(by, &part))
            .collect()
    }

    /// The cars of every payer that occurs.
    pub fn payer_parts(&self) -> Result<Vec<(By, DataFrame)>, FrameError> {
        let parts = self.parts("payer")?;
        Ok((0..self.payers)
            .filter_map(|payer| {
                let key = u32::try_from(payer).ok()?;
                let (_, part) = parts.iter().find(|(found, _)| *found == key)?;
                Some((By::Payer(payer), part.clone()))
            })
            .collect())
    }

    /// The cars of every body that occurs.
    pub fn body_parts(&self) -> Result<Vec<(By, DataFrame)>, FrameError> {
        let parts = self.parts("body")?;
        Ok(Body::ALL
            .into_iter()
            .filter_map(|body| {
                let (_, part) = parts.iter().find(|(found, _)| *found == body as u32)?;
                Some((By::Body(body), part.clone()))
            })
            .collect())
    }

    fn parts(&self, key: &str) -> Result<Vec<(u32, DataFrame)>, FrameError> {
        if self.frame.height() == 0 {
            return Ok(Vec::new());
        }
        self.frame
            .partition_by_stable([key], true)?
            .into_iter()
            .map(|part| {
                let found = part.column(key)?.u32()?.get(0).unwrap_or(u32::MAX);
                Ok((found, part))
            })
            .collect()
    }

    fn sum(&self, by: By, part: &DataFrame) -> Result<TotalsRow, FrameError> {
        let count = |name: &str| -> Result<u64, FrameError> {
            Ok(part.column(name)?.u64()?.sum().unwrap_or(0))
        };
        let mut groups = [GroupSum::default(); 6];
        for group in Group::ALL {
            let name = group_column(group);
            let narrow = |value: u64| u32::try_from(value).unwrap_or(u32::MAX);
            groups[group.index()] = GroupSum {
                known: self.money(part, &name)?.unwrap_or(Money::ZERO),
                priced: narrow(count(&format!("{name}_priced"))?),
                open: narrow(count(&format!("{name}_open"))?),
            };
        }
        let mut row = TotalsRow {
            by,
            cars: count("cars")?,
            quotes: count("quotes")?,
            panels: count("panels")?,
            dents: count("dents")?,
            oversize: count("oversize")?,
            groups,
            payer_pays: None,
            owner_pays: None,
        };
        if row.total().shown().is_some() {
            row.payer_pays = self.money(part, "payer_pays")?.or(Some(Money::ZERO));
            row.owner_pays = self.money(part, "owner_pays")?.or(Some(Money::ZERO));
        }
        Ok(row)
    }

    fn money(&self, part: &DataFrame, name: &str) -> Result<Option<Money>, FrameError> {
        self.amount(part.column(name)?.sum_reduce()?.value())
    }

    /// The largest amount of a column.
    pub fn largest(&self, part: &DataFrame, name: &str) -> Result<Option<Money>, FrameError> {
        self.amount(part.column(name)?.max_reduce()?.value())
    }

    fn amount(&self, value: &AnyValue<'_>) -> Result<Option<Money>, FrameError> {
        match value {
            AnyValue::Null => Ok(None),
            AnyValue::Decimal(units, _, scale) if *scale == self.currency.places() as usize => {
                Ok(Some(Money::from_minor_units(*units, self.currency)))
            }
            other => Err(FrameError(format!("an amount came back as {other:?}"))),
        }
    }
}

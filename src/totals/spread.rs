//! How car totals spread: percentiles and the largest.

use super::frame::{CarFrame, FrameError};
use super::{By, Spread};
use polars::prelude::*;

/// By payer, then by body; parts without a priced car are left out.
pub fn spreads(frame: &CarFrame) -> Result<Vec<Spread>, FrameError> {
    let mut spreads = Vec::new();
    for (by, part) in frame.payer_parts()?.into_iter().chain(frame.body_parts()?) {
        spreads.extend(spread(frame, by, &part)?);
    }
    Ok(spreads)
}

fn spread(frame: &CarFrame, by: By, part: &DataFrame) -> Result<Option<Spread>, FrameError> {
    let statistic = part.column("statistic")?;
    let cars = statistic.len() - statistic.null_count();
    let Some(largest) = frame.largest(part, "whole_total")? else {
        return Ok(None);
    };
    let mut percentiles = [0.0; 3];
    for (slot, quantile) in percentiles.iter_mut().zip([0.1, 0.5, 0.9]) {
        let value = statistic.quantile_reduce(quantile, QuantileMethod::Linear)?;
        *slot = value.value().extract::<f64>().unwrap_or(f64::NAN);
    }
    Ok(Some(Spread {
        by,
        cars: cars as u64,
        percentiles,
        largest,
    }))
}

//! How car totals spread: percentiles and the largest.

use super::parts::Part;
use super::{By, FrameError, Spread};
use polars::prelude::*;
use rayon::prelude::*;

/// One spread per part; parts without a priced car are left out.
pub fn spreads(parts: Vec<(By, Part)>) -> Result<Vec<Spread>, FrameError> {
    let spreads: Vec<Option<Spread>> = parts
        .into_par_iter()
        .map(|(by, part)| spread(by, part))
        .collect::<Result<_, FrameError>>()?;
    Ok(spreads.into_iter().flatten().collect())
}

fn spread(by: By, part: Part) -> Result<Option<Spread>, FrameError> {
    let Some(largest) = part.largest else {
        return Ok(None);
    };
    let cars = part.totals.len() as u64;
    let totals = Column::new("total".into(), part.totals);
    let mut percentiles = [0.0; 3];
    for (slot, quantile) in percentiles.iter_mut().zip([0.1, 0.5, 0.9]) {
        let value = totals.quantile_reduce(quantile, QuantileMethod::Linear)?;
        *slot = value.value().extract::<f64>().unwrap_or(f64::NAN);
    }
    Ok(Some(Spread {
        by,
        cars,
        percentiles,
        largest,
    }))
}

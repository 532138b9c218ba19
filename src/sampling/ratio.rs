//! The combined ratio estimator: a total by its helper, which is known of every
//! car (Cochran 1977, 6.10 to 6.12).

use super::Stratum;
use super::estimate::{Degrees, Figure, degrees, figure, variances};

/// A total by a helper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatioEstimate {
    /// What one of the helper comes to, B.
    pub ratio: f64,
    /// The helper's total by the sample, Σ N x̄.
    pub helper: f64,
    /// The total.
    pub whole: Figure,
}

/// Estimates the total by the helper, whose own total over all cars is `known`.
///
/// ```text
/// B = Σ N ȳ / Σ N x̄        total = X B
/// error = X / Σ N x̄ × √(Σ N² (1 − n / N) s_d² / n),   d = y − B x
/// ```
///
/// collapsed strata and degrees of freedom as for the plain total. `helpers` are
/// the counted cars' helpers, stratum by stratum as `strata` are. None where a
/// stratum has no counted car (the known total is of all of them), or the
/// helper's sum is not above 0.
#[must_use]
pub fn estimate_ratio(
    strata: &[Stratum],
    helpers: &[Vec<f64>],
    known: f64,
) -> Option<RatioEstimate> {
    estimate_ratio_by(strata, helpers, known, Degrees::Counted)
}

/// The same with the degrees of freedom as asked for.
#[must_use]
pub fn estimate_ratio_by(
    strata: &[Stratum],
    helpers: &[Vec<f64>],
    known: f64,
    by: Degrees,
) -> Option<RatioEstimate> {
    if strata
        .iter()
        .any(|stratum| stratum.counted() == 0 && stratum.cars > 0)
    {
        return None;
    }
    let total: f64 = strata.iter().filter_map(Stratum::total).sum();
    let helper: f64 = strata
        .iter()
        .zip(helpers)
        .map(|(stratum, helpers)| {
            stratum.cars as f64 * helpers.iter().sum::<f64>() / helpers.len().max(1) as f64
        })
        .sum();
    if helper <= 0.0 {
        return None;
    }
    let ratio = total / helper;
    let residuals = residuals(strata, helpers, ratio);
    let (variance, df) = match variances(&residuals) {
        Some(all) => (
            Some(all.iter().map(|group| group.variance).sum::<f64>() * (known / helper).powi(2)),
            degrees(&all, by),
        ),
        None => (None, 0.0),
    };
    let values = || strata.iter().flat_map(|stratum| &stratum.values);
    let floor = values()
        .all(|value| *value >= 0.0)
        .then(|| values().sum::<f64>());
    Some(RatioEstimate {
        ratio,
        helper,
        whole: figure(known * ratio, variance, df, floor),
    })
}

/// The same strata with what the helper leaves unexplained: d = y − B x.
#[must_use]
pub fn residuals(strata: &[Stratum], helpers: &[Vec<f64>], ratio: f64) -> Vec<Stratum> {
    strata
        .iter()
        .zip(helpers)
        .map(|(stratum, helpers)| Stratum {
            values: stratum
                .values
                .iter()
                .zip(helpers)
                .map(|(value, helper)| value - ratio * helper)
                .collect(),
            ..stratum.clone()
        })
        .collect()
}

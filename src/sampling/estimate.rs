//! Totals of a stratified sample without replacement (Cochran 1977, 5.3 to 5.4).

use super::groups::{Group, groups};
use super::student::quantile_975;
use super::{Stratum, squares};

/// How the degrees of freedom of a whole are reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Degrees {
    /// Counted cars less strata or groups.
    #[default]
    Counted,
    /// By Satterthwaite 1946, where strata spread very differently.
    Satterthwaite,
}

/// A total and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// The estimate.
    pub total: f64,
    /// Its standard error; none where the sample can't tell.
    pub error: Option<f64>,
    /// Degrees of freedom behind the error.
    pub df: f64,
    /// Both ends of the interval of 95 %.
    pub interval: Option<(f64, f64)>,
}

/// The total of one stratum.
#[derive(Debug, Clone, PartialEq)]
pub struct StratumFigure {
    /// Its figure; none without a counted car.
    pub figure: Option<Figure>,
    /// The strata that its variance was taken with.
    pub with: Vec<usize>,
}

/// The total of a lot.
#[derive(Debug, Clone, PartialEq)]
pub struct TotalEstimate {
    /// Of all strata that have a counted car.
    pub whole: Figure,
    /// By stratum.
    pub strata: Vec<StratumFigure>,
    /// Strata without a counted car: they are in no figure.
    pub missing: Vec<usize>,
}

/// The variance of each group of strata for values of the counted cars, with
/// its degrees of freedom.
pub(super) struct GroupVariance {
    pub group: Group,
    pub variance: f64,
    pub df: f64,
}

/// Estimates the total.
///
/// ```text
/// total Σ N ȳ        variance Σ N² (1 − n / N) s² / n        s² with the divisor n − 1
/// of a collapsed group of n_g counted of N_g, with z = y N_h / n_h:
///                    (1 − n_g / N_g) × n_g / (n_g − 1) × Σ (z − z̄)²
/// interval           total ± t(0.975, df) √variance,   df = Σ n − number of strata or groups
/// ```
///
/// The low end is never below what is counted already. Every car of a stratum
/// counted: no variance. Part totals with 0 outside the part foot to the whole.
#[must_use]
pub fn estimate_total(strata: &[Stratum]) -> TotalEstimate {
    estimate_total_by(strata, Degrees::Counted)
}

/// The same with the whole's degrees of freedom as asked for.
#[must_use]
pub fn estimate_total_by(strata: &[Stratum], by: Degrees) -> TotalEstimate {
    let variances = variances(strata);
    // By stratum: the group that it shares its variance with.
    let mut shares: Vec<Option<&Group>> = vec![None; strata.len()];
    for group in variances.iter().flatten() {
        for at in group.group.iter().filter(|_| group.group.len() > 1) {
            shares[*at] = Some(&group.group);
        }
    }
    let missing = (0..strata.len())
        .filter(|at| strata[*at].counted() == 0 && strata[*at].cars > 0)
        .collect();
    // A sum of nothing is -0.
    let total = strata.iter().filter_map(Stratum::total).sum::<f64>() + 0.0;
    let counted = floor(strata.iter());
    let whole = match &variances {
        Some(all) => figure(
            total,
            Some(all.iter().map(|group| group.variance).sum()),
            degrees(all, by),
            counted,
        ),
        None => figure(total, None, 0.0, counted),
    };
    let strata_figures = strata
        .iter()
        .enumerate()
        .map(|(at, stratum)| {
            let own = (stratum.counted() > 1 || stratum.is_whole())
                .then(|| own_variance(stratum))
                .flatten();
            let df = stratum.values.len().saturating_sub(1) as f64;
            let with = shares[at].cloned().unwrap_or_default();
            StratumFigure {
                figure: stratum
                    .total()
                    .map(|total| figure(total, own, df, floor(std::iter::once(stratum)))),
                with,
            }
        })
        .collect();
    TotalEstimate {
        whole,
        strata: strata_figures,
        missing,
    }
}

/// The degrees of freedom by Satterthwaite 1946 (Biometrics 2:110), for a total
/// whose strata spread very differently: V² / Σ (V_h² / df_h).
#[must_use]
pub fn satterthwaite(strata: &[Stratum]) -> Option<f64> {
    satterthwaite_of(&variances(strata)?)
}

/// The degrees of freedom behind a sum of variances.
pub(super) fn degrees(all: &[GroupVariance], by: Degrees) -> f64 {
    let counted = || all.iter().map(|group| group.df).sum();
    match by {
        Degrees::Counted => counted(),
        Degrees::Satterthwaite => satterthwaite_of(all).unwrap_or_else(counted),
    }
}

fn satterthwaite_of(all: &[GroupVariance]) -> Option<f64> {
    let sum: f64 = all.iter().map(|group| group.variance).sum();
    let parts: f64 = all
        .iter()
        .filter(|group| group.df > 0.0)
        .map(|group| group.variance.powi(2) / group.df)
        .sum();
    (parts > 0.0).then(|| sum.powi(2) / parts)
}

/// What is there at least: the counted values, where none is below 0.
fn floor<'a>(strata: impl Iterator<Item = &'a Stratum>) -> Option<f64> {
    let values: Vec<f64> = strata
        .flat_map(|stratum| stratum.values.iter().copied())
        .collect();
    values
        .iter()
        .all(|value| *value >= 0.0)
        .then(|| values.iter().sum())
}

/// A total with its error and interval.
pub(super) fn figure(total: f64, variance: Option<f64>, df: f64, floor: Option<f64>) -> Figure {
    let error = variance.map(f64::sqrt);
    let interval = error.and_then(|error| {
        if error == 0.0 {
            return Some((total, total));
        }
        let reach = quantile_975(df)? * error;
        let low = total - reach;
        Some((floor.map_or(low, |floor| low.max(floor)), total + reach))
    });
    Figure {
        total,
        error,
        df,
        interval,
    }
}

/// The variance of a stratum by itself; none for one car of several.
fn own_variance(stratum: &Stratum) -> Option<f64> {
    if stratum.is_whole() {
        return Some(0.0);
    }
    let (all, counted) = (stratum.cars as f64, stratum.values.len() as f64);
    if counted < 2.0 {
        return None;
    }
    let spread = squares(&stratum.values) / (counted - 1.0);
    Some(all * all * (1.0 - counted / all) * spread / counted)
}

/// The variances of all groups; none where one can't be told.
pub(super) fn variances(strata: &[Stratum]) -> Option<Vec<GroupVariance>> {
    let all = groups(strata)?.into_iter().map(|group| {
        let members = || group.iter().map(|at| &strata[*at]);
        let counted: f64 = members().map(|stratum| stratum.values.len() as f64).sum();
        let variance = match group[..] {
            [one] => own_variance(&strata[one]).unwrap_or(0.0),
            _ => {
                let cars: f64 = members().map(|stratum| stratum.cars as f64).sum();
                let scaled: Vec<f64> = members()
                    .flat_map(|stratum| {
                        let weight = stratum.cars as f64 / stratum.values.len() as f64;
                        stratum.values.iter().map(move |value| value * weight)
                    })
                    .collect();
                (1.0 - counted / cars) * counted / (counted - 1.0) * squares(&scaled)
            }
        };
        GroupVariance {
            group,
            variance,
            df: counted - 1.0,
        }
    });
    Some(all.collect())
}

//! The quantile behind every interval.

use statrs::distribution::{Continuous, ContinuousCDF, StudentsT};

/// The quantile of the normal distribution, which t tends to.
const NORMAL: f64 = 1.959_963_984_540_054;
/// Degrees of freedom from which the first step of the expansion about the
/// normal quantile is exact to the last digit (Hill 1970, CACM 13:619).
const MANY: f64 = 1e6;

/// t(0.975, df): how many standard errors an interval of 95 % reaches to either
/// side. `df` may be a fraction (Satterthwaite); none for less than one degree
/// that is not even a start.
#[must_use]
pub fn quantile_975(df: f64) -> Option<f64> {
    const WANTED: f64 = 0.975;
    if !(df.is_finite() && df > 0.0) {
        return None;
    }
    if df > MANY {
        return Some(NORMAL + (NORMAL.powi(3) + NORMAL) / (4.0 * df));
    }
    let student = StudentsT::new(0.0, 1.0, df).ok()?;
    // The library's inverse is an approximation; two steps of Newton on its
    // distribution function take the rest of it away.
    let mut t = student.inverse_cdf(WANTED);
    for _ in 0..3 {
        let step = (student.cdf(t) - WANTED) / student.pdf(t);
        if step.is_finite() {
            t -= step;
        }
    }
    t.is_finite().then_some(t)
}

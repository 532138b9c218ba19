//! Anscombe, F. J. (1948), "The transformation of Poisson, binomial and
//! negative-binomial data", Biometrika 35, 246-254: 2 sqrt(x + 3/8) of a
//! Poisson variable has a variance near 1. The robust deviation is 1.4826
//! times the median absolute deviation (Hampel 1974; the constant is
//! 1 / the upper quartile of the standard normal, 0.67449).

use approx::assert_relative_eq;
use hailyard::intake::{anscombe, deviations};

#[test]
fn the_transform_is_as_published() {
    // 2 sqrt(0.375), 2 sqrt(1.375), 2 sqrt(100.375)
    assert_relative_eq!(anscombe(0), 1.224_744_871_391_589, epsilon = 1e-12);
    assert_relative_eq!(anscombe(1), 2.345_207_879_911_715, epsilon = 1e-12);
    assert_relative_eq!(anscombe(100), 20.037_464_909_513_88, epsilon = 1e-12);
}

/// Variance of the transform over a Poisson distribution summed out by its
/// probabilities: near 1 from a mean of 4 on, as the paper's table says.
#[test]
fn the_transform_steadies_the_variance_of_a_poisson_count() {
    for mean in [4.0_f64, 10.0, 30.0] {
        let (mut p, mut first, mut second) = ((-mean).exp(), 0.0, 0.0);
        for count in 0..400_u32 {
            let value = anscombe(count);
            first += p * value;
            second += p * value * value;
            p *= mean / f64::from(count + 1);
        }
        assert_relative_eq!(second - first * first, 1.0, epsilon = 0.03);
    }
}

/// By hand: counts 6, 6, 6, 10: transforms 5.0498, 5.0498, 5.0498, 6.4420;
/// median 5.0498, absolute deviations 0, 0, 0, 1.3923, their median 0, so the
/// least spread 0.5 holds: 1.3923 / 0.5 = 2.7845.
#[test]
fn an_even_lot_is_measured_with_the_least_spread() {
    let away = deviations(&[6, 6, 6, 10]);
    assert_relative_eq!(away[0], 0.0, epsilon = 1e-12);
    assert_relative_eq!(away[3], (anscombe(10) - anscombe(6)) / 0.5, epsilon = 1e-12);
    assert_relative_eq!(away[3], 2.7845, epsilon = 1e-3);
}

//! What a log leaves open: how much people and tasks differ is estimated too,
//! and a short log estimates it badly.
//!
//! With λ = τ²/σ² the likelihood of what is left of y after m (see `learning`)
//! is, up to a constant, exp(−height(λ) / 2) once σ² is integrated out under
//! its usual prior 1/σ². τ has a half-Cauchy prior (Gelman 2006, Bayesian
//! Analysis 1:515): it is proper with one person, and leaves large differences
//! possible. So λ is drawn from points that are equally likely beforehand, each
//! weighed by its likelihood; then σ² = Q(λ) / χ² with N − 1 degrees of freedom;
//! then m and the effects as at known variances.

use super::learning::{NEGLIGIBLE, OneWay, PersonMean, Profile};

/// Points of λ. Twice as many change no odds.
const POINTS: usize = 60;
/// Scale of the prior of τ: half of all crews differ by less than this, a log.
const PRIOR: f64 = 0.3;

/// One value of λ and what follows from it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Point {
    /// τ²/σ².
    ratio: f64,
    /// How likely it is, up to a factor; then: this and those before.
    weight: f64,
    /// m there.
    mean: f64,
    /// Σ n / (1 + n λ): σ over its root is the error of m.
    sum: f64,
    /// Q: σ² times a χ² of N − 1 degrees of freedom.
    squares: f64,
}

/// Everything that a log leaves open, to be drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// By λ, at least one; their weights are summed up to 1.
    points: Vec<Point>,
    /// N − 1; none where σ is given.
    degrees: Option<f64>,
    /// σ, where it is given.
    sigma: f64,
    /// Tasks and mean of everybody.
    people: Vec<PersonMean>,
}

/// One draw of what is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variances {
    /// Between tasks of one person.
    pub sigma: f64,
    /// Between people.
    pub sigma_person: f64,
    /// Mean and standard deviation of m.
    pub mean: (f64, f64),
    ratio: f64,
}

impl Posterior {
    /// The likelihood over λ under its prior, on points that the prior holds
    /// equally likely.
    pub(super) fn of(layout: &OneWay, given: Option<f64>, sigma: f64) -> Option<Posterior> {
        if sigma <= NEGLIGIBLE {
            return None;
        }
        let variance = given.map(|sigma| sigma * sigma);
        let angle = std::f64::consts::FRAC_PI_2 / POINTS as f64;
        let ratios = (0..POINTS).map(|at| {
            let between = PRIOR / sigma * libm::tan((at as f64 + 0.5) * angle);
            between * between
        });
        let profiles: Vec<(f64, Profile)> = ratios
            .map(|ratio| (ratio, layout.profile(ratio, variance)))
            .collect();
        let heights = profiles.iter().map(|(_, profile)| profile.height);
        let least = heights.fold(f64::INFINITY, f64::min);
        let mut points: Vec<Point> = profiles
            .iter()
            .map(|(ratio, profile)| Point {
                ratio: *ratio,
                weight: libm::exp((least - profile.height) / 2.0),
                mean: profile.mean,
                sum: profile.sum,
                squares: profile.squares,
            })
            .collect();
        let all: f64 = points.iter().map(|point| point.weight).sum();
        let mut so_far = 0.0;
        for point in &mut points {
            so_far += point.weight / all;
            point.weight = so_far;
        }
        Some(Posterior {
            points,
            degrees: given.is_none().then_some(layout.tasks as f64 - 1.0),
            sigma,
            people: layout.people.clone(),
        })
    }

    /// Degrees of freedom of the χ² that a draw asks for; none: it asks for none.
    #[must_use]
    pub fn degrees(&self) -> Option<f64> {
        self.degrees
    }

    /// Draws by a number from 0 to below 1, and a χ² of [`Posterior::degrees`].
    #[must_use]
    pub fn draw(&self, roll: f64, chi_squared: f64) -> Variances {
        let at = self.points.partition_point(|point| point.weight <= roll);
        let point = self.points[at.min(self.points.len() - 1)];
        let sigma = match self.degrees {
            Some(_) => (point.squares / chi_squared).sqrt(),
            None => self.sigma,
        };
        Variances {
            sigma,
            sigma_person: sigma * point.ratio.sqrt(),
            mean: (point.mean, sigma / point.sum.sqrt()),
            ratio: point.ratio,
        }
    }

    /// Mean and standard deviation of a person's effect at a draw and at m;
    /// of an unknown person those of any.
    #[must_use]
    pub fn effect(&self, draw: &Variances, person: usize, mean: f64) -> (f64, f64) {
        let known = self.people.get(person).filter(|person| person.tasks > 0);
        let (shrinkage, raw) = known.map_or((0.0, 0.0), |person| {
            let weight = person.tasks as f64 * draw.ratio;
            (weight / (1.0 + weight), person.mean_log_ratio - mean)
        });
        let own = draw.sigma_person * (1.0 - shrinkage).sqrt();
        (shrinkage * raw, own)
    }
}

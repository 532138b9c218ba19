//! What a log of finished tasks tells of the standard and of each person's
//! speed: a mixed model of one random effect, fitted by restricted maximum
//! likelihood (REML).
//!
//! ```text
//! y = ln(logged / standard) + ln(stated speed)
//! y = m + person + error,   person ~ N(0, τ²),   error ~ N(0, σ²)
//! ```
//!
//! All of y, m, τ and σ are natural logarithms of ratios, without unit: m = 0.1
//! says that work takes e^0.1 = 1.105 times the standard's minutes. A person's
//! effect is how far they are from their *stated* speed; above 0 is slower.
//! Effects are shrunk towards 0, the stated speed, as far as the person's own
//! tasks leave room: there is no number of tasks at which the log begins to
//! count, and so no jump.
//!
//! # At given variances
//!
//! For a person of n tasks with mean ȳ:
//!
//! ```text
//! w = n / (σ² + n·τ²)                     m = Σ w·ȳ / Σ w       error of m = 1 / √Σ w
//! shrinkage s = n·τ² / (σ² + n·τ²)        effect = s·(ȳ − m)
//! error of the effect = √(τ²·(1 − s) + s² / Σ w)
//! ```
//!
//! m is the generalised least squares mean, the effect the best linear unbiased
//! prediction (BLUP; Henderson 1975, Biometrics 31:423; Robinson 1991,
//! Statistical Science 6:15) and its error the root of Henderson's prediction
//! error variance: the second term is there because m is itself estimated.
//! That τ and σ are estimated too is not in it, as is usual.
//!
//! # The variances
//!
//! REML (Patterson and Thompson 1971, Biometrika 58:545) is the likelihood of
//! what is left of y after m, so it counts the degree of freedom that m takes.
//! With λ = τ²/σ², d = 1 + n·λ, v = n / d, N tasks, K people with tasks, W the
//! sum of squares within people, and Q(λ) = W + Σ v·(ȳ − m)²:
//!
//! ```text
//! −2 ln REML = (N − 1)·ln σ² + Σ ln d + ln Σ v + Q(λ) / σ² + constant
//! ```
//!
//! Where λ is held, the best σ² is Q(λ) / (N − 1). That leaves a curve over λ
//! alone. It may have more than one hollow, so its lowest place is looked for
//! on a grid that begins at λ = 0, then bisected on the slope
//!
//! ```text
//! d/dλ = Σ v − Σ v² / Σ v − Σ v²·(ȳ − m)² / σ²
//! ```
//!
//! because a curve is flat at its lowest place: its values tell the place to
//! half the digits only, its slope to all of them.
//!
//! Logarithms and exponentials are those of the `libm` crate (0.2.16), so that
//! the results are the same on every 64-bit machine.

use super::posterior::Posterior;

/// A finished task of the log.
///
/// `standard`, `logged` and `speed` are finite and above 0, `person` is below
/// the number of people. A task of which this is not so is left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoggedTask {
    /// Who did it: an index, from 0.
    pub person: usize,
    /// Minutes it takes at the standard's pace.
    pub standard: f64,
    /// Minutes it took.
    pub logged: f64,
    /// The person's stated speed when they did it; 1.0 is the standard's pace.
    pub speed: f64,
}

impl LoggedTask {
    /// ln(logged / standard) + ln(stated speed), finite.
    fn log_ratio(&self) -> Option<f64> {
        let usable = |value: f64| value.is_finite() && value > 0.0;
        // Three logarithms, because the quotient of two finite numbers may
        // not be finite.
        (usable(self.standard) && usable(self.logged) && usable(self.speed))
            .then(|| libm::log(self.logged) - libm::log(self.standard) + libm::log(self.speed))
    }
}

/// A person's tasks, summed up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PersonMean {
    /// How many tasks.
    pub tasks: usize,
    /// The mean of their log ratios; of no meaning without a task.
    pub mean_log_ratio: f64,
}

/// What is known of a person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearnedPerson {
    /// How many tasks stand behind it.
    pub tasks: usize,
    /// The plain mean of their log ratios, unshrunk and m still in it.
    pub mean_log_ratio: Option<f64>,
    /// The part of the raw effect that is kept, from 0 (no task, or nobody
    /// differs) to below 1 (1 only if σ = 0).
    pub shrinkage: f64,
    /// The shrunk effect on the logarithm of minutes; 0 without a task.
    pub effect: f64,
    /// The root of Henderson's prediction error variance, with the error of m
    /// and without that of τ and σ; τ without a task.
    pub effect_error: f64,
}

/// m and the people's effects at given variances.
#[derive(Clone, Debug, PartialEq)]
pub struct Shrunk {
    /// m, the generalised least squares mean.
    pub mean: f64,
    /// Standard error of m.
    pub mean_error: f64,
    /// One for each person, in the order given.
    pub people: Vec<LearnedPerson>,
}

/// Where τ, the deviation between people, is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PersonVariation {
    /// The log shows that people differ: τ is above 0.
    Estimated,
    /// Only one person has tasks, so τ cannot be told from m; taken as 0, and
    /// all that this person differs by is in m.
    OnePerson,
    /// People differ no more than chance makes them: the likelihood is highest
    /// at τ = 0.
    WithinChance,
}

/// What the log tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// How many tasks were usable.
    pub tasks: usize,
    /// m: the standard's own error, a logarithm.
    pub mean: f64,
    /// Standard error of m, at these variances.
    pub mean_error: f64,
    /// τ: standard deviation between people.
    pub sigma_person: f64,
    /// Why τ is what it is.
    pub person_variation: PersonVariation,
    /// σ: standard deviation between tasks of one person.
    pub sigma: f64,
    /// Whether σ is the caller's `spread`, because the log cannot tell it.
    pub sigma_is_given: bool,
    /// Everybody, with tasks or without, by index.
    pub people: Vec<LearnedPerson>,
    /// What is left open; none where tasks of one person do not differ at all.
    pub posterior: Option<Posterior>,
}

impl Learned {
    /// A person's speed against the standard corrected by e^m: their stated
    /// speed × e^−effect. Of an unknown person it is the stated speed.
    #[must_use]
    pub fn speed(&self, stated: f64, person: usize) -> f64 {
        let factor = finite_exp(-self.effect(person));
        (stated * factor).clamp(f64::MIN_POSITIVE, f64::MAX)
    }

    /// Expected minutes of a task over standard / stated speed:
    /// e^(m + effect + σ²/2). The mean of a lognormal is above its median, and
    /// only with half the variance do many tasks sum to what they will take.
    /// The errors of m and of the effect are not in it.
    #[must_use]
    pub fn expected_factor(&self, person: usize) -> f64 {
        finite_exp(self.mean + self.effect(person) + self.sigma * self.sigma / 2.0)
    }

    /// Mean and standard deviation of a person's effect if m were `mean`:
    /// s·(ȳ − `mean`) and τ·√(1 − s).
    ///
    /// The estimates of m and of the effects lean on each other: with a higher
    /// m every effect is lower. To draw all at once, draw m from `mean` and
    /// `mean_error`, then each effect, one independent of the other, from this.
    #[must_use]
    pub fn effect_given_mean(&self, person: usize, mean: f64) -> (f64, f64) {
        let (shrinkage, raw) = self.people.get(person).map_or((0.0, 0.0), |known| {
            let raw = known.mean_log_ratio.map_or(0.0, |own| own - mean);
            (known.shrinkage, raw)
        });
        (
            shrinkage * raw,
            self.sigma_person * (1.0 - shrinkage).sqrt(),
        )
    }

    fn effect(&self, person: usize) -> f64 {
        self.people.get(person).map_or(0.0, |known| known.effect)
    }
}

/// m, τ, σ and the effects of `people` people from their finished tasks.
///
/// `spread` is a prior σ. It is taken where the log cannot tell σ: with fewer
/// than 2 tasks more than there are people with tasks, such as a log of one
/// task, or one of each person. τ is then still the log's (REML at known σ). A
/// `spread` that is no number counts as 0; above 10, a factor of 22,000, as 10.
///
/// If every person's own ratios are equal then σ is 0, nobody is shrunk and τ²
/// is the variance of the means: the limit of REML as they become equal.
///
/// Time grows as tasks + people, memory as people. Sums go in the order of the
/// tasks; another order changes the last digits only, by rounding.
///
/// `None` without any usable task.
#[must_use]
pub fn learn(people: usize, tasks: &[LoggedTask], spread: f64) -> Option<Learned> {
    let layout = OneWay::of(people, tasks);
    let spread = if spread.is_nan() {
        0.0
    } else {
        spread.clamp(0.0, 10.0)
    };
    let given = (layout.degrees_within() < 2).then_some(spread);
    let (sigma_person, sigma) = layout.deviations(given);
    let shrunk = shrink(&layout.people, sigma_person, sigma)?;
    Some(Learned {
        tasks: layout.tasks,
        mean: shrunk.mean,
        mean_error: shrunk.mean_error,
        sigma_person,
        person_variation: if layout.with_tasks == 1 {
            PersonVariation::OnePerson
        } else if sigma_person > 0.0 {
            PersonVariation::Estimated
        } else {
            PersonVariation::WithinChance
        },
        posterior: Posterior::of(&layout, given, sigma),
        sigma,
        sigma_is_given: given.is_some(),
        people: shrunk.people,
    })
}

/// m and every effect where τ (`sigma_person`) and σ (`sigma`) are known, both
/// finite and not below 0. The formulas are in the module's head.
///
/// `None` if nobody has a task.
#[must_use]
pub fn shrink(people: &[PersonMean], sigma_person: f64, sigma: f64) -> Option<Shrunk> {
    // Only the ratio of the variances matters for m and the effects. In units
    // of the larger deviation nothing overflows, and with both 0 the weights
    // are those of equal tasks.
    let unit = sigma_person.max(sigma);
    let (between, within) = if unit > 0.0 {
        let scaled = (sigma_person / unit, sigma / unit);
        (scaled.0 * scaled.0, scaled.1 * scaled.1)
    } else {
        (0.0, 1.0)
    };
    let (mut weights, mut weighted) = (0.0, 0.0);
    for person in people.iter().filter(|person| person.tasks > 0) {
        let n = person.tasks as f64;
        let weight = n / (within + n * between);
        weights += weight;
        weighted += weight * person.mean_log_ratio;
    }
    if weights == 0.0 {
        return None;
    }
    let mean = weighted / weights;
    let of_person = |person: &PersonMean| {
        let n = person.tasks as f64;
        let variance = within + n * between;
        // A person without a task, and σ = 0: 0 / 0, but nothing is known.
        let shrinkage = if person.tasks == 0 {
            0.0
        } else {
            n * between / variance
        };
        let own = (person.tasks > 0).then_some(person.mean_log_ratio);
        let error = between * (1.0 - shrinkage) + shrinkage * shrinkage / weights;
        LearnedPerson {
            tasks: person.tasks,
            mean_log_ratio: own,
            shrinkage,
            effect: own.map_or(0.0, |own| shrinkage * (own - mean)),
            effect_error: unit * error.sqrt(),
        }
    };
    Some(Shrunk {
        mean,
        mean_error: unit / weights.sqrt(),
        people: people.iter().map(of_person).collect(),
    })
}

/// A deviation up to this is the rounding of logarithms, not a difference of
/// work: log(36/30) and log(60/50) differ in the 16th digit.
pub(super) const NEGLIGIBLE: f64 = 1e-9;

/// The sufficient statistics of a one-way layout.
pub(super) struct OneWay {
    pub people: Vec<PersonMean>,
    /// N.
    pub tasks: usize,
    /// K.
    with_tasks: usize,
    /// W: the sum of squares about each person's own mean.
    squares_within: f64,
}

/// The curve −2 ln REML at one λ.
pub(super) struct Profile {
    /// −2 ln REML, without its constant.
    pub height: f64,
    /// Its derivative by λ.
    slope: f64,
    /// σ² there.
    variance: f64,
    /// m there.
    pub mean: f64,
    /// The sum of the weights v.
    pub sum: f64,
    /// Q.
    pub squares: f64,
}

impl OneWay {
    fn of(people: usize, tasks: &[LoggedTask]) -> OneWay {
        let mut layout = OneWay {
            people: vec![PersonMean::default(); people],
            tasks: 0,
            with_tasks: 0,
            squares_within: 0.0,
        };
        for task in tasks {
            let (Some(y), Some(person)) = (task.log_ratio(), layout.people.get_mut(task.person))
            else {
                continue;
            };
            // Mean and squares in one pass, without the cancellation of
            // Σ y² − n·ȳ² (Welford 1962, Technometrics 4:419).
            person.tasks += 1;
            let off = y - person.mean_log_ratio;
            person.mean_log_ratio += off / person.tasks as f64;
            layout.squares_within += off * (y - person.mean_log_ratio);
            layout.tasks += 1;
            layout.with_tasks += usize::from(person.tasks == 1);
        }
        layout
    }

    /// Degrees of freedom within people, N − K.
    fn degrees_within(&self) -> usize {
        self.tasks - self.with_tasks
    }

    /// n and ȳ of everyone with tasks.
    fn counted(&self) -> impl Iterator<Item = (f64, f64)> {
        let with_tasks = self.people.iter().filter(|person| person.tasks > 0);
        with_tasks.map(|person| (person.tasks as f64, person.mean_log_ratio))
    }

    /// (τ, σ), with σ as given or else the log's.
    fn deviations(&self, given: Option<f64>) -> (f64, f64) {
        let degrees = self.degrees_within().max(1) as f64;
        let within = given.unwrap_or_else(|| (self.squares_within / degrees).sqrt());
        if self.with_tasks < 2 {
            return (0.0, within);
        }
        if within <= NEGLIGIBLE {
            // λ runs away to infinity: the limit is known.
            let between = Some(self.deviation_of_means()).filter(|&own| own > NEGLIGIBLE);
            return (between.unwrap_or(0.0), 0.0);
        }
        let variance = given.map(|sigma| sigma * sigma);
        let lambda = self.best_ratio(variance);
        let sigma = self.profile(lambda, variance).variance.sqrt();
        (lambda.sqrt() * sigma, sigma)
    }

    /// Standard deviation of the people's means, each counting once.
    fn deviation_of_means(&self) -> f64 {
        let people = self.with_tasks as f64;
        let means = || self.counted().map(|(_, own)| own);
        let mean = means().sum::<f64>() / people;
        let squares: f64 = means().map(|own| (own - mean) * (own - mean)).sum();
        (squares / (people - 1.0)).sqrt()
    }

    /// The λ at which the curve is lowest.
    fn best_ratio(&self, variance: Option<f64>) -> f64 {
        // Powers of two: fine enough that hollows do not hide between them.
        // The least, a τ of 1/130,000 of σ, is as good as 0; the largest is
        // out of reach of finite minutes and a σ that is not negligible.
        let powers = (-34..=86).map(|power| libm::ldexp(1.0, power));
        let grid: Vec<f64> = std::iter::once(0.0).chain(powers).collect();
        let heights = grid
            .iter()
            .map(|&lambda| self.profile(lambda, variance).height);
        let lowest = heights.enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        let at = lowest.map_or(0, |(at, _)| at);
        if at <= 1 {
            return 0.0;
        }
        // The neighbours are higher, so the lowest place is on the side to
        // which the curve falls.
        let (mut low, mut high) = if self.profile(grid[at], variance).slope >= 0.0 {
            (grid[at - 1], grid[at])
        } else {
            (grid[at], grid[(at + 1).min(grid.len() - 1)])
        };
        loop {
            let middle = low + (high - low) / 2.0;
            if middle <= low || middle >= high {
                return high;
            }
            if self.profile(middle, variance).slope > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
    }

    /// The curve at λ, with σ² as given or else the best.
    pub fn profile(&self, lambda: f64, variance: Option<f64>) -> Profile {
        let weight = |n: f64| n / (1.0 + n * lambda);
        let (mut sum, mut sum_of_squares, mut weighted, mut logs) = (0.0, 0.0, 0.0, 0.0);
        for (n, own) in self.counted() {
            let v = weight(n);
            sum += v;
            sum_of_squares += v * v;
            weighted += v * own;
            logs += libm::log(1.0 + n * lambda);
        }
        let mean = weighted / sum;
        let (mut between, mut falls) = (0.0, 0.0);
        for (n, own) in self.counted() {
            let (v, off) = (weight(n), own - mean);
            between += v * off * off;
            falls += v * v * off * off;
        }
        let degrees = self.tasks as f64 - 1.0;
        let squares = self.squares_within + between;
        let (variance, fit) = match variance {
            Some(variance) => (variance, between / variance),
            None => (squares / degrees, degrees * libm::log(squares)),
        };
        Profile {
            height: fit + logs + libm::log(sum),
            slope: sum - sum_of_squares / sum - falls / variance,
            variance,
            mean,
            sum,
            squares,
        }
    }
}

/// e^x, held to numbers that are neither 0 nor infinite.
fn finite_exp(x: f64) -> f64 {
    libm::exp(x).clamp(f64::MIN_POSITIVE, f64::MAX)
}

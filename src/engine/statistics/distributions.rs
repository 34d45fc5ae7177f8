//! The normal distribution, Student's and χ², and the intervals that follow from them.

use statrs::distribution::{ChiSquared, ContinuousCDF as _, StudentsT};

use super::square;

/// From one value to another, in the SI unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The smaller one.
    pub from: f64,
    /// The larger one.
    pub to: f64,
}

/// Cumulative distribution function of the standard normal distribution, Φ(z) = erfc(-z/√2)/2.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// Quantile of Student's distribution with so many degrees of freedom, exceeded with the probability `upper`; `None` without a
/// degree.
pub fn student(upper: f64, degrees: f64) -> Option<f64> {
    let distribution = StudentsT::new(0.0, 1.0, degrees).ok()?;
    Some(-cut(distribution.inverse_cdf(upper)))
}

/// Quantile of the χ² distribution with so many degrees of freedom for the probability `p`; `None` without a degree.
pub fn chi_squared(p: f64, degrees: f64) -> Option<f64> {
    Some(cut(ChiSquared::new(degrees).ok()?.inverse_cdf(p)))
}

/// Rounded to 40 bits, 12 figures. The crate's own mathematics come from libm, but from the platform where another crate asks
/// for that (in a build with the tests' crates it does), and the two differ in the last bits.
fn cut(quantile: f64) -> f64 {
    const BITS: u64 = 1 << 12;
    f64::from_bits((quantile.to_bits() + BITS / 2) & !(BITS - 1))
}

impl Interval {
    /// Distance to both sides of a value.
    pub fn around(centre: f64, half_width: f64) -> Self {
        Self {
            from: centre - half_width,
            to: centre + half_width,
        }
    }
}

/// Where the mean is that `count` values with that mean and standard deviation were drawn from: x̄ ± t(1-α/2, n-1) s/√n.
/// `None` for fewer than two.
///
/// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2 (from memory).
pub fn mean_interval(count: usize, mean: f64, deviation: f64, confidence: f64) -> Option<Interval> {
    let n = count as f64;
    let t = student(f64::midpoint(1.0, -confidence), n - 1.0)?;
    Some(Interval::around(mean, t * deviation / n.sqrt()))
}

/// Where the standard deviation is that `count` values with that one were drawn from: s √((n-1)/χ²) with the quantiles 1-α/2
/// and α/2 of χ² with n-1 degrees of freedom. `None` for fewer than two.
///
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.3.1 (from memory).
pub fn deviation_interval(count: usize, deviation: f64, confidence: f64) -> Option<Interval> {
    let degrees = count as f64 - 1.0;
    let upper = f64::midpoint(1.0, confidence);
    let limit = |p: f64| Some(deviation * (degrees / chi_squared(p, degrees)?).sqrt());
    Some(Interval {
        from: limit(upper)?,
        to: limit(1.0 - upper)?,
    })
}

/// Normal scores beyond this add less than 1e-15 to a probability.
const LAST_SCORE: f64 = 8.0;

/// Steps of Simpson's rule over them; an even number.
const STEPS: u32 = 160;

/// The factor k of the two-sided tolerance interval mean ± k s of a normal distribution, from a sample of `n` (2 or more):
/// with the probability `confidence` it holds at least the share `content` of all parts made alike. Both between 0 and 1.
///
/// Exact: the interval holds enough if s is large enough for the distance of its mean from the true one, so
/// ∫ φ(z) P(χ²(n-1) ≥ (n-1) r(z)²/k²) dz = confidence, where r solves Φ(z/√n + r) - Φ(z/√n - r) = content
/// (as in ISO 16269-6, from memory). The approximations of older tables are up to 0.5 % smaller (3.379 for ten parts at 95 % and 95 %
/// instead of 3.393), and so promise a little more than they hold.
pub fn tolerance_factor(n: usize, content: f64, confidence: f64) -> f64 {
    let n = n.max(2) as f64;
    let Ok(chi_squared) = ChiSquared::new(n - 1.0) else {
        return f64::INFINITY;
    };
    let step = LAST_SCORE / f64::from(STEPS);
    let nodes: Vec<(f64, f64)> = (0..=STEPS)
        .map(|at| {
            let z = f64::from(at) * step;
            let weight = match at {
                0 | STEPS => 1.0,
                _ if at % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let density = libm::exp(-z * z / 2.0) / std::f64::consts::TAU.sqrt();
            // Both signs of z at once.
            let weight = 2.0 * weight * density * step / 3.0;
            (weight, half_width(z / n.sqrt(), content))
        })
        .collect();
    let held = |k: f64| -> f64 {
        let held = |r: f64| chi_squared.sf((n - 1.0) * square(r / k));
        nodes.iter().map(|(weight, r)| weight * held(*r)).sum()
    };
    root(0.5, 1e4, |k| held(k) - confidence)
}

/// The half-width r around `offset` that holds the share `content` of a standard normal distribution.
fn half_width(offset: f64, content: f64) -> f64 {
    let held = |r: f64| normal_cdf(offset + r) - normal_cdf(offset - r);
    root(0.0, offset + 20.0, |r| held(r) - content)
}

/// Where a growing function crosses zero between `low` and `high`, by bisection.
fn root(mut low: f64, mut high: f64, of: impl Fn(f64) -> f64) -> f64 {
    while high - low > 1e-9 * high {
        let middle = f64::midpoint(low, high);
        if of(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles of a general-purpose library (scipy 1.17, `stats.t.ppf`); that of one degree is tan(0.475 π) (by definition of the Cauchy distribution).
    /// The scores are rounded to nine decimals.
    #[test]
    fn quantiles_agree_with_a_library() {
        for (z, degrees, t) in [
            (1.959_963_985, 1, 12.706_204_736),
            (1.959_963_985, 8, 2.306_004_135),
            (1.959_963_985, 10, 2.228_138_852),
            (1.959_963_985, 20, 2.085_963_447),
            (1.959_963_985, 34, 2.032_244_509),
            (2.575_829_304, 8, 3.355_387_331),
            (2.575_829_304, 10, 3.169_272_673),
            (2.575_829_304, 60, 2.660_283_029),
            (1.644_853_627, 34, 1.690_924_255),
        ] {
            let found = student(normal_cdf(-z), f64::from(degrees)).unwrap();
            approx::assert_relative_eq!(found, t, max_relative = 1e-8);
        }
    }
}

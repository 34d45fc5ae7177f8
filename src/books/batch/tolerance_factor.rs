//! [`tolerance_factor`]: how many standard deviations hold most of what is still in the shop.

use statrs::distribution::{ChiSquared, ContinuousCDF as _};

use crate::engine::judge::normal_cdf;
use crate::engine::statistics::square;

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

//! [`student`]: quantiles of Student's distribution.

use crate::engine::statistics::square;

/// Student's quantile with `degrees` of freedom (at least 1) for the probability of the standard score `z`, by the expansion
/// of M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.7.5. Within 0.1 % from 8 degrees on for scores
/// up to 2.6.
pub(super) fn student(z: f64, degrees: usize) -> f64 {
    let n = degrees.max(1) as f64;
    let first = (libm::pow(z, 3.0) + z) / 4.0;
    let second = (5.0 * libm::pow(z, 5.0) + 16.0 * libm::pow(z, 3.0) + 3.0 * z) / 96.0;
    let third = (3.0 * libm::pow(z, 7.0) + 19.0 * libm::pow(z, 5.0) + 17.0 * libm::pow(z, 3.0)
        - 15.0 * z)
        / 384.0;
    z + first / n + second / square(n) + third / libm::pow(n, 3.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles of a general-purpose library (scipy 1.17, `stats.t.ppf`).
    #[test]
    fn quantiles_agree_with_a_library() {
        for (z, degrees, t) in [
            (1.959_963_985, 8, 2.306_004_135),
            (1.959_963_985, 10, 2.228_138_852),
            (1.959_963_985, 20, 2.085_963_447),
            (1.959_963_985, 34, 2.032_244_509),
            (2.575_829_304, 8, 3.355_387_331),
            (2.575_829_304, 10, 3.169_272_673),
            (2.575_829_304, 60, 2.660_283_029),
            (1.644_853_627, 34, 1.690_924_255),
        ] {
            approx::assert_relative_eq!(student(z, degrees), t, max_relative = 1e-3);
        }
    }
}

//! The probability that a part conforms, given what was measured.

use crate::engine::quantity::Band;
use crate::engine::statistics::normal_cdf;

/// Probability that the true value lies inside `band`, for an estimate `value` with standard uncertainty `uncertainty`.
///
/// The normal distribution of JCGM 106:2012, clause 7: Φ((TU - y)/u) - Φ((TL - y)/u). An uncertainty of zero gives 0 or 1.
pub fn probability_of_conformity(value: f64, uncertainty: f64, band: Band) -> f64 {
    if uncertainty <= 0.0 {
        return if band.contains(value) { 1.0 } else { 0.0 };
    }
    let below_upper = if band.upper().is_finite() {
        normal_cdf((band.upper() - value) / uncertainty)
    } else {
        1.0
    };
    let below_lower = normal_cdf((band.lower() - value) / uncertainty);
    (below_upper - below_lower).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_uncertainty_it_is_yes_or_no() {
        let band = Band::new(90.0, 110.0).unwrap();
        assert_eq!(probability_of_conformity(110.0, 0.0, band), 1.0);
        assert_eq!(probability_of_conformity(110.1, 0.0, band), 0.0);
    }

    #[test]
    fn without_an_upper_limit_only_the_lower_one_counts() {
        let band = Band::new(100.0, f64::INFINITY).unwrap();
        assert_eq!(probability_of_conformity(1e9, 1.0, band), 1.0);
        assert_eq!(probability_of_conformity(100.0, 1.0, band), 0.5);
    }
}

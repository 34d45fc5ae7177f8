//! The formulas that readings are converted by before they are an impedance.
//!
//! They follow by arithmetic from Z = Rs + jX = 1/(1/Rp + jB), D = tan δ = R/|X| and Q = 1/D. Arguments are positive.

use std::f64::consts::TAU;

/// Angular frequency ω = 2πf in radian per second of `f` hertz (by definition).
pub fn angular_frequency(f: f64) -> f64 {
    TAU * f
}

/// Parallel capacitance Cp = Cs/(1 + D²) in farad (by definition).
pub fn parallel_capacitance(cs: f64, d: f64) -> f64 {
    cs / (1.0 + d * d)
}

/// Parallel inductance Lp = Ls (1 + 1/Q²) in henry (by definition). Infinite for Q = 0.
pub fn parallel_inductance(ls: f64, q: f64) -> f64 {
    ls * (1.0 + 1.0 / (q * q))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_loss_series_and_parallel_are_the_same() {
        assert_eq!(parallel_capacitance(1e-6, 0.0), 1e-6);
        assert_eq!(parallel_inductance(0.5, f64::INFINITY), 0.5);
    }

    #[test]
    fn at_a_dissipation_factor_of_one_the_parallel_form_halves_and_doubles() {
        assert_eq!(parallel_capacitance(2e-6, 1.0), 1e-6);
        assert_eq!(parallel_inductance(0.5, 1.0), 1.0);
    }

    #[test]
    fn without_quality_nothing_is_left_of_the_inductance() {
        assert_eq!(parallel_inductance(0.5, 0.0), f64::INFINITY);
    }
}

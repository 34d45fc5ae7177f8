//! The formulas of a winding with resistance, series and parallel.
//!
//! Each follows by arithmetic from Z = Rs + jωLs = 1/(1/Rp + 1/(jωLp)) and Q = |X|/R. Arguments are positive unless said
//! otherwise; f is in hertz, L in henry, R in ohm.

use super::capacitor::angular_frequency;

/// Reactance X = 2πfL of an inductance in ohm (by definition).
pub fn inductive_reactance(l: f64, f: f64) -> f64 {
    angular_frequency(f) * l
}

/// Quality factor Q = 2πf L/R of a winding with the series inductance `l` and the series resistance `r` (by definition).
///
/// Infinite without resistance. `r` is the resistance at the test frequency: core loss makes it larger than that for
/// direct current, which gives an upper bound of Q only.
pub fn quality(l: f64, r: f64, f: f64) -> f64 {
    inductive_reactance(l, f) / r
}

/// Parallel inductance Lp = Ls (1 + 1/Q²) in henry (by definition). Infinite for Q = 0.
pub fn parallel_inductance(ls: f64, q: f64) -> f64 {
    ls * (1.0 + 1.0 / (q * q))
}

/// Series inductance Ls = Lp Q²/(1 + Q²) in henry (by definition).
pub fn series_inductance(lp: f64, q: f64) -> f64 {
    lp / (1.0 + 1.0 / (q * q))
}

/// Parallel resistance Rp = Rs (1 + Q²) in ohm (by definition).
pub fn parallel_resistance_of_winding(rs: f64, q: f64) -> f64 {
    rs * (1.0 + q * q)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn without_resistance_series_and_parallel_are_the_same() {
        assert_eq!(quality(1.0, 0.0, 50.0), f64::INFINITY);
        assert_eq!(parallel_inductance(0.5, f64::INFINITY), 0.5);
        assert_eq!(series_inductance(0.5, f64::INFINITY), 0.5);
    }

    #[test]
    fn without_quality_nothing_is_left_of_the_inductance() {
        assert_eq!(parallel_inductance(0.5, 0.0), f64::INFINITY);
        assert_eq!(series_inductance(0.5, 0.0), 0.0);
        assert_eq!(parallel_resistance_of_winding(8.0, 0.0), 8.0);
    }

    proptest! {
        #[test]
        fn series_to_parallel_and_back_changes_nothing(
            l in 1e-6..100.0, r in 1e-3..1e5, f in 20.0..1e6,
        ) {
            let q = quality(l, r, f);
            let (lp, rp) = (parallel_inductance(l, q), parallel_resistance_of_winding(r, q));
            let same = |found: f64, expected: f64| (found / expected - 1.0).abs() < 1e-12;
            prop_assert!(same(series_inductance(lp, q), l));
            // Seen from the parallel form, Q = Rp/(ωLp).
            prop_assert!(same(rp / inductive_reactance(lp, f), q));
        }
    }
}

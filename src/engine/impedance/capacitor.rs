//! The formulas of a lossy capacitor, series and parallel.
//!
//! Each follows by arithmetic from Z = ESR + 1/(jωCs) = 1/(1/Rp + jωCp) and D = tan δ = R/|X|. Arguments are positive
//! unless said otherwise; f is in hertz, C in farad, R in ohm.

use std::f64::consts::TAU;

/// Angular frequency ω = 2πf in radian per second (by definition).
pub fn angular_frequency(f: f64) -> f64 {
    TAU * f
}

/// Reactance X = -1/(2πfC) of a capacitance in ohm, negative (by definition).
pub fn capacitive_reactance(c: f64, f: f64) -> f64 {
    -1.0 / (angular_frequency(f) * c)
}

/// Dissipation factor D = tan δ = 2πf Cs ESR (by definition). No loss gives 0.
pub fn dissipation_factor(cs: f64, esr: f64, f: f64) -> f64 {
    angular_frequency(f) * cs * esr
}

/// Dissipation factor D = 1/(2πf Cp Rp) of a capacitance with a resistance across it (by definition). An infinite Rp
/// gives 0.
pub fn dissipation_factor_of_parallel(cp: f64, rp: f64, f: f64) -> f64 {
    1.0 / (angular_frequency(f) * cp * rp)
}

/// Equivalent series resistance ESR = D/(2πf Cs) in ohm (by definition).
pub fn esr(cs: f64, d: f64, f: f64) -> f64 {
    d / (angular_frequency(f) * cs)
}

/// Equivalent series resistance ESR = Rp D²/(1 + D²) in ohm, the inverse of [`parallel_resistance`] (by definition).
pub fn esr_of_parallel(rp: f64, d: f64) -> f64 {
    rp * d * d / (1.0 + d * d)
}

/// Parallel capacitance Cp = Cs/(1 + D²) in farad (by definition).
pub fn parallel_capacitance(cs: f64, d: f64) -> f64 {
    cs / (1.0 + d * d)
}

/// Series capacitance Cs = Cp (1 + D²) in farad (by definition).
pub fn series_capacitance(cp: f64, d: f64) -> f64 {
    cp * (1.0 + d * d)
}

/// Parallel resistance Rp = ESR (1 + 1/D²) in ohm (by definition).
///
/// Infinite without loss (D = 0), whatever the ESR is said to be.
pub fn parallel_resistance(esr: f64, d: f64) -> f64 {
    if d == 0.0 {
        f64::INFINITY
    } else {
        esr * (1.0 + 1.0 / (d * d))
    }
}

/// Power factor cos φ = D/√(1 + D²), 0 to 1 (by definition).
///
/// It differs from D by less than 1 % up to D = 0.14; an infinite D (a resistor) gives 1.
pub fn power_factor(d: f64) -> f64 {
    if d.is_infinite() {
        1.0
    } else {
        d / libm::hypot(d, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn without_loss_series_and_parallel_are_the_same() {
        assert_eq!(parallel_capacitance(1e-6, 0.0), 1e-6);
        assert_eq!(series_capacitance(1e-6, 0.0), 1e-6);
        assert_eq!(parallel_resistance(0.0, 0.0), f64::INFINITY);
        assert_eq!(dissipation_factor(1e-6, 0.0, 1e3), 0.0);
        assert_eq!(
            dissipation_factor_of_parallel(1e-6, f64::INFINITY, 1e3),
            0.0
        );
        assert_eq!(esr(1e-6, 0.0, 1e3), 0.0);
        assert_eq!(power_factor(0.0), 0.0);
    }

    #[test]
    fn a_power_factor_stays_below_one() {
        assert_eq!(power_factor(f64::INFINITY), 1.0);
        assert_eq!(power_factor(1e300), 1.0);
        assert!((power_factor(0.14) / 0.14 - 1.0).abs() < 0.01);
        assert!((power_factor(1.0) - 0.5_f64.sqrt()).abs() < 1e-15);
    }

    #[test]
    fn at_a_dissipation_factor_of_one_the_parallel_form_halves_and_doubles() {
        assert_eq!(parallel_capacitance(2e-6, 1.0), 1e-6);
        assert_eq!(parallel_resistance(50.0, 1.0), 100.0);
        assert_eq!(esr_of_parallel(100.0, 1.0), 50.0);
    }

    proptest! {
        #[test]
        fn series_to_parallel_and_back_changes_nothing(
            (c, r) in (-12.0..-3.0, -3.0..7.0).prop_map(|(c, r)| (libm::exp10(c), libm::exp10(r))),
            f in 20.0..1e6,
        ) {
            let d = dissipation_factor(c, r, f);
            let (cp, rp) = (parallel_capacitance(c, d), parallel_resistance(r, d));
            let same = |found: f64, expected: f64| (found / expected - 1.0).abs() < 1e-12;
            prop_assert!(same(dissipation_factor_of_parallel(cp, rp, f), d));
            prop_assert!(same(series_capacitance(cp, d), c));
            prop_assert!(same(esr_of_parallel(rp, d), r));
            prop_assert!(same(esr(c, d, f), r));
            prop_assert!(same(libm::hypot(r, capacitive_reactance(c, f)) * power_factor(d), r));
        }
    }
}

//! [`comparability`]: whether a limit given at one frequency can be judged by a measurement at another.
//!
//! What can be said rests on the loss being that of resistances and capacitances in any network (which covers dielectric
//! relaxation and the resistance of an electrolyte). By Foster's expansion of such a two-terminal network,
//! Z = 1/(jωC0) + R0 + Σ k/(jω + σ) with no negative term, its series resistance R0 + Σ kσ/(ω² + σ²) and its series and
//! parallel capacitance all fall with frequency, or stay (textbooks of network synthesis, from memory). The inductance of
//! leads breaks this from about a tenth of the self-resonance on (common practice, no source).

use std::fmt;

/// How far apart two test frequencies may be, relative to the limit's, to count as the same: 120 ± 5 Hz
/// (MIL-C-62F, 4.5.4).
pub const FREQUENCY_TOLERANCE: f64 = 5.0 / 120.0;

/// A parameter of a capacitor that is judged by a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum JudgedParameter {
    /// Capacitance, series or parallel.
    Capacitance,
    /// Equivalent series resistance.
    SeriesResistance,
    /// Dissipation factor tan δ.
    DissipationFactor,
}

/// What a measured value says about the value at the frequency of its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Comparability {
    /// The frequencies are the same: judge it.
    Same,
    /// At the limit's frequency it is at least what was measured (capacitance and ESR measured above that frequency): it
    /// can prove that a lower limit is kept or an upper limit exceeded, and nothing else.
    AtLeast,
    /// At the limit's frequency it is at most what was measured (capacitance and ESR measured below that frequency): it
    /// can prove that an upper limit is kept or a lower limit missed, and nothing else.
    AtMost,
    /// Nothing follows: measure at the limit's frequency.
    ///
    /// So it is with the dissipation factor D, 2πf times C times R: it scales no simple way. The loss of a series resistance makes it
    /// rise in proportion to the frequency, the loss of a leak makes it fall, and that of a good dielectric hardly
    /// changes it.
    Nothing,
}

impl Comparability {
    /// Whether a measured value above a limit proves that the value at the limit's frequency is above it: an upper limit
    /// exceeded, a lower one kept.
    pub const fn proves_above(self) -> bool {
        matches!(self, Self::Same | Self::AtLeast)
    }

    /// Whether a measured value below a limit proves that the value at the limit's frequency is below it: an upper limit
    /// kept, a lower one missed.
    pub const fn proves_below(self) -> bool {
        matches!(self, Self::Same | Self::AtMost)
    }
}

impl fmt::Display for Comparability {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Same => "measured at the limit's frequency",
            Self::AtLeast => "at the limit's frequency it is at least what was measured",
            Self::AtMost => "at the limit's frequency it is at most what was measured",
            Self::Nothing => "nothing follows for the limit's frequency; measure there",
        })
    }
}

/// A frequency is zero, negative or not finite.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "the frequency of the {of} is {found} Hz, expected more than 0; give the frequency that it holds for"
)]
pub struct FrequencyError {
    of: &'static str,
    found: f64,
}

/// What `parameter`, measured at `measured` hertz, says about a limit that holds at `limit` hertz.
///
/// Frequencies within [`FREQUENCY_TOLERANCE`] of the limit's count as the same.
///
/// # Errors
/// [`FrequencyError`] for a frequency that is not above 0.
pub fn comparability(
    parameter: JudgedParameter,
    limit: f64,
    measured: f64,
) -> Result<Comparability, FrequencyError> {
    for (of, found) in [("limit", limit), ("measurement", measured)] {
        if !(found.is_finite() && found > 0.0) {
            return Err(FrequencyError { of, found });
        }
    }
    Ok(if is_within(limit, measured, FREQUENCY_TOLERANCE) {
        Comparability::Same
    } else if parameter == JudgedParameter::DissipationFactor {
        Comparability::Nothing
    } else if measured > limit {
        Comparability::AtLeast
    } else {
        Comparability::AtMost
    })
}

/// Whether two frequencies are the same setting of a meter, but for how it writes them.
pub(super) fn is_same_setting(first: f64, second: f64) -> bool {
    is_within(first, second, 1e-6)
}

/// Whether `other` is within a fraction of `reference`, the end included but for rounding.
fn is_within(reference: f64, other: f64, fraction: f64) -> bool {
    (other - reference).abs() <= reference * (fraction + 1e-12)
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;
    use proptest::prelude::*;

    use super::*;
    use crate::engine::impedance::{ComplexEstimate, Impedance, Parameter};

    #[test]
    fn a_hundred_and_a_hundred_and_twenty_hertz_are_not_the_same() {
        let c = |limit, measured| comparability(JudgedParameter::Capacitance, limit, measured);
        assert_eq!(c(120.0, 120.0), Ok(Comparability::Same));
        assert_eq!(c(120.0, 115.0), Ok(Comparability::Same));
        assert_eq!(c(120.0, 125.0), Ok(Comparability::Same));
        assert_eq!(c(120.0, 114.9), Ok(Comparability::AtMost));
        assert_eq!(c(120.0, 100.0), Ok(Comparability::AtMost));
        assert_eq!(c(120.0, 1000.0), Ok(Comparability::AtLeast));
    }

    #[test]
    fn a_frequency_of_zero_is_refused_and_named() {
        for (limit, measured, of) in [(0.0, 1e3, "limit"), (1e3, f64::NAN, "measurement")] {
            let error = comparability(JudgedParameter::DissipationFactor, limit, measured);
            let message = error.unwrap_err().to_string();
            assert!(
                message.starts_with(&format!("the frequency of the {of}")),
                "{message}"
            );
        }
    }

    fn equivalent(z: Complex64, f: f64, parameter: Parameter) -> f64 {
        let z = Impedance::new(ComplexEstimate::exact(z), f).unwrap();
        z.equivalent(parameter).unwrap().value
    }

    #[test]
    fn a_dissipation_factor_may_rise_or_fall_with_frequency() {
        let d = |z: fn(f64) -> Complex64, f| equivalent(z(f), f, Parameter::DissipationFactor);
        let series = |f| Complex64::new(10.0, -1.0 / (std::f64::consts::TAU * f * 1e-6));
        let parallel = |f| 1.0 / Complex64::new(1e-5, std::f64::consts::TAU * f * 1e-6);
        assert!(d(series, 1e3) > 8.0 * d(series, 120.0));
        assert!(d(parallel, 1e3) < d(parallel, 120.0) / 8.0);
        let found = comparability(JudgedParameter::DissipationFactor, 120.0, 1e3);
        assert_eq!(found, Ok(Comparability::Nothing));
    }

    proptest! {
        /// Ladders of resistances and capacitances, worked out by series and parallel rules.
        #[test]
        fn the_statement_holds_for_networks_of_resistances_and_capacitances(
            rungs in proptest::collection::vec((-1.0..5.0, -10.0..-4.0), 1..5),
            limit in 1.5..5.0, measured in 1.5..5.0,
        ) {
            let [limit, measured] = [limit, measured].map(libm::exp10);
            let impedance = |f: f64| {
                let open = Complex64::ZERO;
                let admittance = rungs.iter().fold(open, |across, (r, c)| {
                    let c = Complex64::new(0.0, std::f64::consts::TAU * f * libm::exp10(*c));
                    (libm::exp10(*r) + (c + across).inv()).inv()
                });
                admittance.inv()
            };
            for (judged, parameter) in [
                (JudgedParameter::Capacitance, Parameter::SeriesCapacitance),
                (JudgedParameter::Capacitance, Parameter::ParallelCapacitance),
                (JudgedParameter::SeriesResistance, Parameter::SeriesResistance),
            ] {
                let at = |f| equivalent(impedance(f), f, parameter);
                let (at_limit, found) = (at(limit), at(measured));
                let rounding = 1e-9 * found;
                match comparability(judged, limit, measured).unwrap() {
                    Comparability::AtLeast => prop_assert!(at_limit >= found - rounding),
                    Comparability::AtMost => prop_assert!(at_limit <= found + rounding),
                    Comparability::Same => {}
                    Comparability::Nothing => prop_assert!(false, "{judged:?} can be compared"),
                }
            }
        }
    }
}

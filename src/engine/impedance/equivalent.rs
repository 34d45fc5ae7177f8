//! The equivalents of an impedance, each with its standard uncertainty.

use super::formula::angular_frequency;
use super::{Impedance, Parameter, Uncertain};

/// An impedance has no such equivalent.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("`{parameter}` {lack}")]
pub struct NoEquivalent {
    /// Parameter that was asked for.
    pub parameter: Parameter,
    /// Property that the impedance has not.
    pub lack: Lack,
}

/// Reason why a parameter does not exist.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum Lack {
    /// A capacitance was asked of an inductive impedance, of that reactance in ohm.
    #[error(
        "does not exist: the reactance is {0} Ω, expected one below 0; ask for an inductance, or measure at a lower frequency"
    )]
    Inductive(f64),
    /// An inductance was asked of a capacitive impedance, of that reactance in ohm.
    #[error(
        "does not exist: the reactance is {0} Ω, expected one above 0; ask for a capacitance, or measure at a lower frequency"
    )]
    Capacitive(f64),
    /// The impedance is a pure resistance.
    #[error("does not exist: the reactance is 0 Ω, expected another; ask for the resistance")]
    Reactance,
    /// The impedance has no loss at all.
    #[error(
        "does not exist: the resistance is 0 Ω, expected another; ask for the dissipation factor"
    )]
    Loss,
    /// The impedance is zero.
    #[error(
        "does not exist: the impedance is 0 Ω, expected another; check that the probes are on the part and not on each other"
    )]
    Impedance,
    /// The result exceeds what a number can hold; real and imaginary part in ohm.
    #[error("of {0} + j{1} Ω is beyond what can be computed; check the units of what was measured")]
    OutOfRange(f64, f64),
}

impl Impedance {
    /// The value of `parameter`, in its unit, with its standard uncertainty.
    ///
    /// Signs are kept: a resistance a little below zero gives a dissipation factor a little below zero, with an
    /// uncertainty that explains it. First-order propagation holds while the uncertainty is small against what the
    /// parameter divides by (Q and Rp: the resistance; D: the reactance); where the resistance is lost in its own
    /// uncertainty, D is the parameter to use.
    ///
    /// # Errors
    /// [`NoEquivalent`] where the parameter does not exist, such as a capacitance for an inductive reactance.
    pub fn equivalent(&self, parameter: Parameter) -> Result<Uncertain, NoEquivalent> {
        let (value, gradient) = self.linearised(parameter)?;
        let uncertain = Uncertain::propagated(value, &gradient, &self.covariance());
        if uncertain.u.is_finite() {
            Ok(uncertain)
        } else {
            Err(self.out_of_range(parameter))
        }
    }

    /// The value of a parameter and its partial derivatives with respect to R and X.
    ///
    /// Everything follows from the definitions of the parameters; Y = G + jB = 1/Z has the derivative -Y².
    #[expect(
        clippy::many_single_char_names,
        reason = "the letters are those of circuit theory"
    )]
    fn linearised(&self, parameter: Parameter) -> Result<(f64, [f64; 2]), NoEquivalent> {
        self.check(parameter)?;
        let (z, w) = (self.value(), angular_frequency(self.frequency()));
        let (r, x, modulus) = (z.re, z.im, libm::hypot(z.re, z.im));
        let y = z.inv();
        let slope = -y * y;
        // Gradients of G and B.
        let (of_g, of_b) = ([slope.re, -slope.im], [slope.im, slope.re]);
        let times = |factor: f64, [a, b]: [f64; 2]| [factor * a, factor * b];
        let (value, gradient) = match parameter {
            Parameter::SeriesCapacitance => {
                let c = -1.0 / (w * x);
                (c, [0.0, -c / x])
            }
            Parameter::ParallelCapacitance => (y.im / w, times(1.0 / w, of_b)),
            Parameter::SeriesInductance => (x / w, [0.0, 1.0 / w]),
            Parameter::ParallelInductance => {
                let l = -1.0 / (w * y.im);
                (l, times(-l / y.im, of_b))
            }
            Parameter::SeriesResistance | Parameter::Resistance => (r, [1.0, 0.0]),
            Parameter::Reactance => (x, [0.0, 1.0]),
            Parameter::ParallelResistance => (1.0 / y.re, times(-1.0 / (y.re * y.re), of_g)),
            Parameter::DissipationFactor => {
                let d = r / x.abs();
                (d, [1.0 / x.abs(), -d / x])
            }
            Parameter::QualityFactor => {
                let q = x.abs() / r;
                (q, [-q / r, x.signum() / r])
            }
            Parameter::Magnitude => (modulus, [r / modulus, x / modulus]),
            Parameter::Angle => {
                let degrees = 1_f64.to_degrees() / modulus;
                let gradient = times(degrees, [-x / modulus, r / modulus]);
                (libm::atan2(z.im, z.re).to_degrees(), gradient)
            }
        };
        if value.is_finite() {
            Ok((value, gradient))
        } else {
            Err(self.out_of_range(parameter))
        }
    }

    /// Whether the parameter exists.
    fn check(&self, parameter: Parameter) -> Result<(), NoEquivalent> {
        use Parameter as P;
        let z = self.value();
        let (is_capacitance, is_inductance) = (
            matches!(parameter, P::SeriesCapacitance | P::ParallelCapacitance),
            matches!(parameter, P::SeriesInductance | P::ParallelInductance),
        );
        let needs_loss = matches!(parameter, P::ParallelResistance | P::QualityFactor);
        let needs_reactance = is_capacitance || is_inductance || parameter == P::DissipationFactor;
        let is_itself = matches!(
            parameter,
            P::SeriesResistance | P::Resistance | P::Reactance
        );
        let reactance = z.im;
        let lack = match (z.re, reactance) {
            (0.0, 0.0) if !is_itself => Lack::Impedance,
            (_, 0.0) if needs_reactance => Lack::Reactance,
            (0.0, _) if needs_loss => Lack::Loss,
            _ if is_capacitance && reactance > 0.0 => Lack::Inductive(reactance),
            _ if is_inductance && reactance < 0.0 => Lack::Capacitive(reactance),
            _ => return Ok(()),
        };
        Err(NoEquivalent { parameter, lack })
    }

    fn out_of_range(&self, parameter: Parameter) -> NoEquivalent {
        let z = self.value();
        let lack = Lack::OutOfRange(z.re, z.im);
        NoEquivalent { parameter, lack }
    }
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;
    use proptest::prelude::*;

    use super::*;
    use crate::engine::impedance::ComplexEstimate;

    const PARAMETERS: [Parameter; 12] = [
        Parameter::SeriesCapacitance,
        Parameter::ParallelCapacitance,
        Parameter::SeriesInductance,
        Parameter::ParallelInductance,
        Parameter::SeriesResistance,
        Parameter::ParallelResistance,
        Parameter::DissipationFactor,
        Parameter::QualityFactor,
        Parameter::Magnitude,
        Parameter::Angle,
        Parameter::Resistance,
        Parameter::Reactance,
    ];

    fn exact(re: f64, im: f64) -> Impedance {
        Impedance::new(ComplexEstimate::exact(Complex64::new(re, im)), 1e3).unwrap()
    }

    #[test]
    fn an_inductive_reactance_has_no_capacitance_and_the_other_way_round() {
        for parameter in [Parameter::SeriesCapacitance, Parameter::ParallelCapacitance] {
            let lack = Lack::Inductive(5.0);
            let expected = NoEquivalent { parameter, lack };
            assert_eq!(exact(1.0, 5.0).equivalent(parameter), Err(expected));
        }
        for parameter in [Parameter::SeriesInductance, Parameter::ParallelInductance] {
            let lack = Lack::Capacitive(-5.0);
            let expected = NoEquivalent { parameter, lack };
            assert_eq!(exact(1.0, -5.0).equivalent(parameter), Err(expected));
        }
    }

    #[test]
    fn a_pure_resistance_has_neither_capacitance_nor_dissipation_factor() {
        let resistor = exact(100.0, 0.0);
        for parameter in [
            Parameter::SeriesCapacitance,
            Parameter::ParallelInductance,
            Parameter::DissipationFactor,
        ] {
            let lack = Lack::Reactance;
            let expected = NoEquivalent { parameter, lack };
            assert_eq!(resistor.equivalent(parameter), Err(expected));
        }
        let of = |parameter| resistor.equivalent(parameter).unwrap().value;
        assert_eq!(of(Parameter::QualityFactor), 0.0);
        assert_eq!(of(Parameter::ParallelResistance), 100.0);
        assert_eq!(of(Parameter::Angle), 0.0);
    }

    #[test]
    fn without_loss_there_is_no_parallel_resistance() {
        let ideal = exact(0.0, -100.0);
        for parameter in [Parameter::ParallelResistance, Parameter::QualityFactor] {
            let lack = Lack::Loss;
            let expected = NoEquivalent { parameter, lack };
            assert_eq!(ideal.equivalent(parameter), Err(expected));
        }
        let d = ideal.equivalent(Parameter::DissipationFactor).unwrap();
        assert_eq!(d.value, 0.0);
    }

    #[test]
    fn nothing_but_its_parts_can_be_said_of_a_zero_impedance() {
        for parameter in PARAMETERS {
            let found = exact(0.0, 0.0).equivalent(parameter);
            match parameter {
                Parameter::Resistance | Parameter::Reactance | Parameter::SeriesResistance => {
                    assert_eq!(found, Ok(Uncertain::exact(0.0)));
                }
                _ => assert_eq!(found.unwrap_err().lack, Lack::Impedance),
            }
        }
    }

    #[test]
    fn a_resistance_below_zero_keeps_its_sign() {
        let noisy = exact(-0.5, -100.0);
        let d = noisy.equivalent(Parameter::DissipationFactor).unwrap();
        assert_eq!(d.value, -0.005);
    }

    #[test]
    fn what_a_number_cannot_hold_is_an_error() {
        let found = exact(1.0, -1e-320).equivalent(Parameter::SeriesCapacitance);
        assert!(matches!(found.unwrap_err().lack, Lack::OutOfRange(..)));
    }

    proptest! {
        #[test]
        fn the_gradients_agree_with_differences(
            parameter in proptest::sample::select(PARAMETERS.to_vec()),
            re in 0.1..10.0, im in 0.1..10.0_f64,
        ) {
            let is_inductance = matches!(
                parameter, Parameter::SeriesInductance | Parameter::ParallelInductance
            );
            let im = if is_inductance { im } else { -im };
            let at = |re, im| exact(re, im).equivalent(parameter).unwrap().value;
            let (value, gradient) = exact(re, im).linearised(parameter).unwrap();
            let h = 1e-5;
            let differences = [
                (at(re * (1.0 + h), im) - at(re * (1.0 - h), im)) / (2.0 * re * h),
                (at(re, im * (1.0 + h)) - at(re, im * (1.0 - h))) / (2.0 * im * h),
            ];
            for ((derivative, difference), input) in gradient.iter().zip(differences).zip([re, im]) {
                // Rounding of 1e-16 over h, and a part of h² of a curvature that the ranges keep below 100.
                let error = ((derivative - difference) * input / value).abs();
                prop_assert!(error < 1e-7, "{parameter}: {derivative} is not {difference}");
            }
        }
    }
}

//! [`Pair`]: a meter's two values at a test frequency, checked, and the impedance that they mean.

use num_complex::Complex64;

use super::formula::angular_frequency;
use super::{
    ComplexEstimate, Covariance, CovarianceError, Impedance, ImpedanceError, PairKind, Parameter,
    Uncertain,
};

/// Two values of one measurement, with their covariance, at a test frequency. All are finite and possible for a passive
/// part, or, where a loss near zero was read as one below it, within twice its standard uncertainty of possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    kind: PairKind,
    values: [f64; 2],
    covariance: Covariance<2>,
    frequency: f64,
}

impl Pair {
    /// A pair in SI base units (angle in degrees), measured at `frequency` hertz; `correlation` is the correlation
    /// coefficient of its two values, 0 if nothing is known.
    ///
    /// # Errors
    /// [`PairError`] names the value that is not finite, not possible, or has an impossible uncertainty.
    pub fn new(
        kind: PairKind,
        frequency: f64,
        values: [Uncertain; 2],
        correlation: f64,
    ) -> Result<Self, PairError> {
        if !(frequency.is_finite() && frequency > 0.0) {
            let found = frequency;
            return Err(PairError::Frequency { kind, found });
        }
        for (parameter, value) in kind.parameters().into_iter().zip(values) {
            check(kind, parameter, value)?;
        }
        if !(-1.0..=1.0).contains(&correlation) {
            let found = correlation;
            return Err(PairError::Correlation { kind, found });
        }
        let r = [[1.0, correlation], [correlation, 1.0]];
        let covariance = Covariance::correlated(values.map(|value| value.u), r)
            .map_err(|source| PairError::Covariance { kind, source })?;
        Ok(Self {
            kind,
            values: values.map(|value| value.value),
            covariance,
            frequency,
        })
    }

    /// A pair from what a meter sent, where any of the fields may be missing. Units as for [`Pair::new`].
    ///
    /// # Errors
    /// [`PairError`] names what is missing, and otherwise as [`Pair::new`].
    pub fn from_fields(
        kind: PairKind,
        frequency: Option<f64>,
        fields: [Option<Uncertain>; 2],
        correlation: f64,
    ) -> Result<Self, PairError> {
        let [first, second] = kind.parameters();
        let missing = |parameter| PairError::Missing { kind, parameter };
        let values = [
            fields[0].ok_or_else(|| missing(first))?,
            fields[1].ok_or_else(|| missing(second))?,
        ];
        let frequency = frequency.ok_or(PairError::MissingFrequency { kind })?;
        Self::new(kind, frequency, values, correlation)
    }

    /// The two parameters.
    pub const fn kind(&self) -> PairKind {
        self.kind
    }

    /// The two values in the order of [`PairKind::parameters`].
    pub const fn values(&self) -> [f64; 2] {
        self.values
    }

    /// The covariance of the two values.
    pub const fn covariance(&self) -> Covariance<2> {
        self.covariance
    }

    /// The test frequency in hertz.
    pub const fn frequency(&self) -> f64 {
        self.frequency
    }
}

fn check(kind: PairKind, parameter: Parameter, uncertain: Uncertain) -> Result<(), PairError> {
    let Uncertain { value: found, u } = uncertain;
    if !found.is_finite() {
        return Err(PairError::NotFinite {
            kind,
            parameter,
            found,
        });
    }
    if !parameter.admits(found) && !is_noise(parameter, uncertain) {
        return Err(PairError::OutOfRange {
            kind,
            parameter,
            found,
        });
    }
    if !(u.is_finite() && u >= 0.0) {
        return Err(PairError::Uncertainty {
            kind,
            parameter,
            found: u,
        });
    }
    Ok(())
}

/// Whether a loss is below zero by no more than its expanded uncertainty (k = 2) explains.
fn is_noise(parameter: Parameter, Uncertain { value, u }: Uncertain) -> bool {
    matches!(
        parameter,
        Parameter::DissipationFactor | Parameter::SeriesResistance
    ) && u.is_finite()
        && value + 2.0 * u >= 0.0
}

/// A pair of values that means no impedance.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PairError {
    /// The meter sent nothing for a parameter.
    #[error(
        "`{parameter}` of the pair `{kind}` is missing, expected two values; check what the meter is set to send"
    )]
    Missing {
        kind: PairKind,
        /// Name of what is missing.
        parameter: Parameter,
    },
    /// The test frequency is not known.
    #[error(
        "the test frequency of the pair `{kind}` is missing; give the frequency that the meter is set to"
    )]
    MissingFrequency { kind: PairKind },
    /// The test frequency is zero, negative or not finite.
    #[error(
        "the test frequency of the pair `{kind}` is {found} Hz, expected more than 0; give the frequency that the meter is set to"
    )]
    Frequency {
        kind: PairKind,
        /// Frequency found, in hertz.
        found: f64,
    },
    /// A value is infinite or not a number.
    #[error(
        "`{parameter}` of the pair `{kind}` is {found}, expected a finite number; the reading is beyond the meter's range"
    )]
    NotFinite {
        kind: PairKind,
        parameter: Parameter,
        /// The number that was found.
        found: f64,
    },
    /// A value that no passive part can have.
    #[error(
        "`{parameter}` of the pair `{kind}` is {found}, expected {}; repeat the meter's open and short correction, and check that it is set to what the part is",
        parameter.range()
    )]
    OutOfRange {
        kind: PairKind,
        parameter: Parameter,
        /// Finding in the parameter's unit.
        found: f64,
    },
    /// A standard uncertainty is negative or not finite.
    #[error(
        "the standard uncertainty of `{parameter}` of the pair `{kind}` is {found}, expected a finite number, 0 or more; check the accuracy in the device profile"
    )]
    Uncertainty {
        kind: PairKind,
        /// Of which value.
        parameter: Parameter,
        /// The number that was found.
        found: f64,
    },
    /// The correlation coefficient is beyond -1 to 1.
    #[error(
        "the correlation within the pair `{kind}` is {found}, expected -1 to 1; give 0 if it is not known"
    )]
    Correlation {
        kind: PairKind,
        /// The number that was found.
        found: f64,
    },
    /// The numbers are of impossible size.
    #[error("the uncertainties of the pair `{kind}` cannot be combined")]
    Covariance {
        kind: PairKind,
        source: CovarianceError,
    },
}

impl Pair {
    /// The impedance that the pair means. The correlation within the pair is kept.
    ///
    /// # Errors
    /// [`ImpedanceError::NotFinite`] for values so large or small that the impedance exceeds what a number can hold.
    pub fn impedance(&self) -> Result<Impedance, ImpedanceError> {
        let omega = angular_frequency(self.frequency());
        let (value, [first, second]) = linearised(self.kind(), self.values(), omega);
        let jacobian = [[first.re, second.re], [first.im, second.im]];
        let covariance = self.covariance().transformed(&jacobian);
        Impedance::new(ComplexEstimate { value, covariance }, self.frequency())
    }
}

/// The impedance and its partial derivatives with respect to the two values of the pair, at the angular frequency `w`.
///
/// Each line follows from the definition of the equivalent: Z = ESR + 1/(jωCs), 1/Z = 1/Rp + jωCp, Z = Rs + jωLs,
/// 1/Z = 1/Rp + 1/(jωLp), with D = R/|X| and Q = 1/D.
#[expect(
    clippy::many_single_char_names,
    reason = "the letters are those of circuit theory"
)]
fn linearised(kind: PairKind, [a, b]: [f64; 2], w: f64) -> (Complex64, [Complex64; 2]) {
    let j = Complex64::I;
    match kind {
        PairKind::CsD => {
            let x = 1.0 / (w * a);
            let z = x * (b - j);
            (z, [-z / a, x.into()])
        }
        PairKind::CpD => {
            let z = 1.0 / (w * a * (b + j));
            (z, [-z / a, -z / (b + j)])
        }
        PairKind::CsEsr => {
            let x = j / (w * a);
            (b - x, [x / a, 1.0.into()])
        }
        PairKind::CpRp => {
            let z = 1.0 / (1.0 / b + j * w * a);
            (z, [-z * z * j * w, z * z / (b * b)])
        }
        PairKind::LsQ => {
            let z = w * a * (1.0 / b + j);
            (z, [z / a, (-w * a / (b * b)).into()])
        }
        PairKind::LpQ => {
            let z = w * a / (1.0 / b - j);
            (z, [z / a, z * z / (b * b * w * a)])
        }
        PairKind::ZTheta => {
            let (sine, cosine) = libm::sincos(b.to_radians());
            let direction = Complex64::new(cosine, sine);
            let z = a * direction;
            (z, [direction, j * z * 1_f64.to_radians()])
        }
        PairKind::RX => (Complex64::new(a, b), [1.0.into(), j]),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::engine::impedance::Uncertain;

    #[test]
    fn a_loss_below_zero_is_possible_as_far_as_its_uncertainty_explains_it() {
        for kind in [PairKind::CsD, PairKind::CpD, PairKind::CsEsr] {
            let pair = |u| {
                let values = [Uncertain::exact(1e-9), Uncertain::new(-0.001, u)];
                Pair::new(kind, 1e3, values, 0.0)
            };
            assert!(pair(0.000_5).unwrap().impedance().unwrap().value().re < 0.0);
            assert!(pair(0.000_49).is_err());
        }
        let quality = [Uncertain::exact(1e-3), Uncertain::new(-0.1, 1.0)];
        assert!(Pair::new(PairKind::LsQ, 1e3, quality, 0.0).is_err());
    }

    fn message(kind: PairKind, frequency: f64, [a, b]: [f64; 2]) -> String {
        let values = [Uncertain::exact(a), Uncertain::exact(b)];
        let error = Pair::new(kind, frequency, values, 0.0).unwrap_err();
        error.to_string()
    }

    #[test]
    fn what_no_part_can_have_is_named() {
        let begins = |kind, values, start: &str| {
            let message = message(kind, 1e3, values);
            assert!(message.starts_with(start), "{message}");
        };
        begins(
            PairKind::CsD,
            [1e-6, -0.01],
            "`D` of the pair `Cs-D` is -0.01, expected 0 or more",
        );
        begins(
            PairKind::CsEsr,
            [1e-6, -1.0],
            "`ESR` of the pair `Cs-ESR` is -1, expected 0 or more",
        );
        begins(
            PairKind::CpD,
            [0.0, 0.01],
            "`Cp` of the pair `Cp-D` is 0, expected more than 0",
        );
        begins(
            PairKind::CpRp,
            [1e-6, 0.0],
            "`Rp` of the pair `Cp-Rp` is 0, expected more than 0",
        );
        begins(
            PairKind::LsQ,
            [-1.0, 1.0],
            "`Ls` of the pair `Ls-Q` is -1, expected more than 0",
        );
        begins(
            PairKind::LpQ,
            [1.0, 0.0],
            "`Q` of the pair `Lp-Q` is 0, expected more than 0",
        );
        begins(
            PairKind::ZTheta,
            [1.0, 181.0],
            "`θ` of the pair `Z-θ` is 181, expected -180 to 180",
        );
        begins(
            PairKind::ZTheta,
            [-1.0, 0.0],
            "`|Z|` of the pair `Z-θ` is -1, expected 0 or more",
        );
    }

    #[test]
    fn what_is_not_finite_is_named() {
        for (at, values) in [(0, [f64::NAN, 1.0]), (1, [1.0, f64::INFINITY])] {
            for kind in PairKind::ALL {
                let symbol = kind.parameters()[at].symbol();
                let message = message(kind, 1e3, values);
                let start = format!("`{symbol}` of the pair `{kind}` is ");
                assert!(message.starts_with(&start), "{message}");
                assert!(message.contains("expected a finite number"), "{message}");
            }
        }
    }

    #[test]
    fn a_frequency_of_zero_is_refused() {
        for frequency in [0.0, -50.0, f64::NAN, f64::INFINITY] {
            let message = message(PairKind::RX, frequency, [1.0, 1.0]);
            assert!(message.starts_with("the test frequency"), "{message}");
        }
    }

    #[test]
    fn a_missing_field_is_named() {
        let some = Some(Uncertain::exact(1.0));
        let error = |frequency, fields| {
            Pair::from_fields(PairKind::CpRp, frequency, fields, 0.0).unwrap_err()
        };
        let kind = PairKind::CpRp;
        for (fields, parameter) in [
            ([None, some], Parameter::ParallelCapacitance),
            ([some, None], Parameter::ParallelResistance),
        ] {
            let missing = PairError::Missing { kind, parameter };
            assert_eq!(error(Some(1e3), fields), missing);
        }
        let missing = PairError::MissingFrequency { kind };
        assert_eq!(error(None, [some, some]), missing);
    }

    #[test]
    fn impossible_uncertainties_are_refused() {
        let pair = |u, r| {
            let values = [Uncertain::exact(1e-6), Uncertain::new(0.01, u)];
            Pair::new(PairKind::CsD, 1e3, values, r)
        };
        assert!(pair(0.001, -1.0).is_ok());
        let refused = pair(-0.001, 0.0).unwrap_err().to_string();
        assert!(refused.starts_with("the standard uncertainty of `D`"));
        let refused = pair(0.001, 1.01).unwrap_err().to_string();
        assert!(refused.contains("is 1.01, expected -1 to 1"), "{refused}");
        assert!(pair(0.001, f64::NAN).is_err());
    }

    #[test]
    fn a_lossless_capacitance_has_no_resistance() {
        for kind in [PairKind::CsD, PairKind::CpD, PairKind::CsEsr] {
            let values = [Uncertain::exact(1e-6), Uncertain::exact(0.0)];
            let z = Pair::new(kind, 1e3, values, 0.0).unwrap().impedance();
            let z = z.unwrap().value();
            assert_eq!(z.re, 0.0, "{kind}");
            assert!((z.im + 159.154_943_091_9).abs() < 1e-9, "{kind} {z}");
        }
    }

    #[test]
    fn a_short_circuit_keeps_its_uncertainty() {
        let values = [Uncertain::new(0.0, 0.01), Uncertain::new(90.0, 5.0)];
        let z = Pair::new(PairKind::ZTheta, 1e3, values, 0.0).unwrap();
        let covariance = z.impedance().unwrap().covariance();
        assert!((covariance.uncertainty(1) - 0.01).abs() < 1e-15);
        assert!(covariance.uncertainty(0) < 1e-15);
    }

    #[test]
    fn what_a_number_cannot_hold_is_an_error() {
        let values = [Uncertain::exact(1e-307), Uncertain::exact(100.0)];
        let pair = Pair::new(PairKind::CsD, 1e-3, values, 0.0).unwrap();
        assert!(matches!(
            pair.impedance(),
            Err(ImpedanceError::NotFinite { .. })
        ));
    }

    proptest! {
        #[test]
        fn the_derivatives_agree_with_differences(
            kind in proptest::sample::select(PairKind::ALL.to_vec()),
            a in 0.1..10.0, b in 0.1..10.0, w in 0.1..10.0,
        ) {
            let (_, derivatives) = linearised(kind, [a, b], w);
            let at = |a, b| linearised(kind, [a, b], w).0;
            let h = 1e-5;
            let differences = [
                (at(a * (1.0 + h), b) - at(a * (1.0 - h), b)) / (2.0 * a * h),
                (at(a, b * (1.0 + h)) - at(a, b * (1.0 - h))) / (2.0 * b * h),
            ];
            let scale = at(a, b).norm_sqr().sqrt();
            for ((derivative, difference), input) in derivatives.iter().zip(differences).zip([a, b]) {
                // A central difference is off by a part of h², and by the rounding of 1e-16 over h.
                let error = (derivative - difference).norm_sqr().sqrt() * input / scale;
                prop_assert!(error < 1e-8, "{kind}: {derivative} is not {difference}");
            }
        }
    }
}

//! [`Impedance`]: a complex impedance at a test frequency; [`ComplexEstimate`]: a complex value with its covariance.

use num_complex::Complex64;

use super::Covariance;

/// A complex impedance Z = R + jX in ohm at a test frequency, with the covariance of R and X in Ω².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Impedance {
    estimate: ComplexEstimate,
    frequency: f64,
}

/// The numbers are no impedance.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ImpedanceError {
    /// Value or covariance is not finite.
    #[error(
        "the impedance is {re} + j{im} Ω with uncertainties of {u_re} and {u_im} Ω, expected finite numbers; check the units of what was measured"
    )]
    NotFinite {
        /// Real part in ohm.
        re: f64,
        /// Imaginary part in ohm.
        im: f64,
        /// Standard uncertainty of the real part in ohm.
        u_re: f64,
        /// Standard uncertainty of the imaginary part in ohm.
        u_im: f64,
    },
    /// The test frequency is zero, negative or not finite.
    #[error(
        "the test frequency is {found} Hz, expected more than 0; give the frequency that the meter is set to"
    )]
    Frequency {
        /// Frequency found, in hertz.
        found: f64,
    },
}

impl Impedance {
    /// An impedance in ohm at `frequency` hertz, more than 0.
    ///
    /// # Errors
    /// [`ImpedanceError`] if a number is not finite or the frequency not above zero.
    pub fn new(estimate: ComplexEstimate, frequency: f64) -> Result<Self, ImpedanceError> {
        if !(frequency.is_finite() && frequency > 0.0) {
            return Err(ImpedanceError::Frequency { found: frequency });
        }
        let ComplexEstimate { value, covariance } = estimate;
        if !value.is_finite() || !covariance.matrix().iter().flatten().all(|u| u.is_finite()) {
            return Err(ImpedanceError::NotFinite {
                re: value.re,
                im: value.im,
                u_re: covariance.uncertainty(0),
                u_im: covariance.uncertainty(1),
            });
        }
        Ok(Self {
            estimate,
            frequency,
        })
    }

    /// The impedance and its covariance.
    pub const fn estimate(&self) -> ComplexEstimate {
        self.estimate
    }

    /// R + jX in ohm.
    pub const fn value(&self) -> Complex64 {
        self.estimate.value
    }

    /// Covariance of R and X in Ω².
    pub const fn covariance(&self) -> Covariance<2> {
        self.estimate.covariance
    }

    /// The test frequency in hertz.
    pub const fn frequency(&self) -> f64 {
        self.frequency
    }
}

/// Whether two frequencies in hertz are the same setting of a meter, but for how it writes them.
pub(super) fn is_same_setting(first: f64, second: f64) -> bool {
    (second - first).abs() <= 1e-6 * first
}

/// An estimate of a complex quantity; the covariance is that of its real and imaginary part, in this order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComplexEstimate {
    /// Best estimate, Ω.
    pub value: Complex64,
    /// Covariance of real and imaginary part, in the square of the unit.
    pub covariance: Covariance<2>,
}

impl ComplexEstimate {
    /// A value without uncertainty.
    pub const fn exact(value: Complex64) -> Self {
        let covariance = Covariance::ZERO;
        Self { value, covariance }
    }

    /// Contribution of this estimate to the covariance of an analytic function that has the complex derivative
    /// `derivative` with respect to it.
    ///
    /// The Jacobian follows from the Cauchy-Riemann equations: for d = a + jb it is ((a, -b), (b, a)) (by definition).
    pub fn contribution(&self, derivative: Complex64) -> Covariance<2> {
        let Complex64 { re, im } = derivative;
        self.covariance.transformed(&[[re, -im], [im, re]])
    }

    /// The estimate of an analytic function of this quantity alone: its value and its complex derivative here.
    #[must_use]
    pub fn image(&self, value: Complex64, derivative: Complex64) -> Self {
        let covariance = self.contribution(derivative);
        Self { value, covariance }
    }

    /// The reciprocal 1/z, derivative -1/z² (by definition). Not finite if the value is zero.
    #[must_use]
    pub fn reciprocal(&self) -> Self {
        let value = self.value.inv();
        self.image(value, -value * value)
    }

    /// The difference from an independent estimate.
    #[must_use]
    pub fn minus_independent(&self, other: &Self) -> Self {
        Self {
            value: self.value - other.value,
            covariance: self.covariance.plus_independent(&other.covariance),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frequency_of_zero_is_refused() {
        let exact = ComplexEstimate::exact(Complex64::new(1.0, 0.0));
        let error = Impedance::new(exact, 0.0).unwrap_err();
        assert!(error.to_string().starts_with("the test frequency is 0 Hz"));
        assert!(Impedance::new(exact, f64::INFINITY).is_err());
    }

    #[test]
    fn an_infinite_impedance_is_refused() {
        let open = ComplexEstimate::exact(Complex64::new(0.0, f64::NEG_INFINITY));
        assert!(matches!(
            Impedance::new(open, 1e3),
            Err(ImpedanceError::NotFinite { .. })
        ));
    }

    #[test]
    fn turning_by_a_right_angle_exchanges_the_parts() {
        let estimate = ComplexEstimate {
            value: Complex64::new(1.0, 2.0),
            covariance: Covariance::independent([3.0, 4.0]).unwrap(),
        };
        let turned = estimate.image(Complex64::I * estimate.value, Complex64::I);
        assert_eq!(turned.value, Complex64::new(-2.0, 1.0));
        assert_eq!(turned.covariance.matrix(), &[[16.0, 0.0], [0.0, 9.0]]);
    }

    #[test]
    fn the_reciprocal_of_the_reciprocal_is_the_estimate() {
        let estimate = ComplexEstimate {
            value: Complex64::new(3.0, -4.0),
            covariance: Covariance::correlated([0.1, 0.2], [[1.0, 0.6], [0.6, 1.0]]).unwrap(),
        };
        let again = estimate.reciprocal().reciprocal();
        assert!((again.value - estimate.value).norm_sqr() < 1e-28);
        let pairs = again.covariance.matrix().iter().flatten();
        for (found, expected) in pairs.zip(estimate.covariance.matrix().iter().flatten()) {
            assert!((found - expected).abs() < 1e-15, "{again:?}");
        }
    }
}

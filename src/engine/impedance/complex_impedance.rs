//! [`Impedance`]: a complex impedance at a test frequency.

use num_complex::Complex64;

use super::{ComplexEstimate, Covariance};

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
        /// What was found, in hertz.
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
}

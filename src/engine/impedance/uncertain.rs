//! [`Uncertain`]: a value with its standard uncertainty.

use serde::{Deserialize, Serialize};

use super::Covariance;

/// An estimate and its standard uncertainty (k = 1), both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Uncertain {
    /// Best estimate, in the unit of what it is of.
    pub value: f64,
    /// Its standard uncertainty, zero or more.
    pub u: f64,
}

impl Uncertain {
    /// An estimate of `value` with standard uncertainty `u`.
    pub const fn new(value: f64, u: f64) -> Self {
        Self { value, u }
    }

    /// A value without uncertainty.
    pub const fn exact(value: f64) -> Self {
        Self { value, u: 0.0 }
    }

    /// The estimate of a function of N quantities: `value` is the function's value, `gradient` its partial derivatives,
    /// `covariance` that of the quantities.
    ///
    /// First order, u² = g U gᵀ (JCGM 100:2008, formula 13, from memory).
    pub fn propagated<const N: usize>(
        value: f64,
        gradient: &[f64; N],
        covariance: &Covariance<N>,
    ) -> Self {
        let u = covariance.transformed(&[*gradient]).uncertainty(0);
        Self { value, u }
    }

    /// The difference of two independent estimates of the same unit: uncertainties add in square.
    #[must_use]
    pub fn minus_independent(self, other: Self) -> Self {
        Self {
            value: self.value - other.value,
            u: libm::hypot(self.u, other.u),
        }
    }

    /// The ratio of two independent estimates, to first order. `other` must not be zero.
    #[must_use]
    pub fn over_independent(self, other: Self) -> Self {
        let value = self.value / other.value;
        let u = libm::hypot(self.u / other.value, value * other.u / other.value);
        Self { value, u }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_uncertainties_of_a_difference_add_in_square() {
        let difference = Uncertain::new(10.0, 3.0).minus_independent(Uncertain::new(2.0, 4.0));
        assert_eq!(difference, Uncertain::new(8.0, 5.0));
    }

    #[test]
    fn the_relative_uncertainties_of_a_ratio_add_in_square() {
        let ratio = Uncertain::new(-8.0, 0.24).over_independent(Uncertain::new(2.0, 0.08));
        assert_eq!(ratio.value, -4.0);
        assert!((ratio.u - 4.0 * 0.05).abs() < 1e-12, "{ratio:?}");
    }

    #[test]
    fn full_correlation_can_cancel_an_uncertainty() {
        let both = Covariance::correlated([2.0, 2.0], [[1.0, 1.0], [1.0, 1.0]]).unwrap();
        assert_eq!(Uncertain::propagated(0.0, &[1.0, -1.0], &both).u, 0.0);
        assert_eq!(Uncertain::propagated(0.0, &[1.0, 1.0], &both).u, 4.0);
    }
}

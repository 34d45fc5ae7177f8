//! [`ComplexEstimate`]: a complex value with the covariance of its two parts.

use num_complex::Complex64;

use super::Covariance;

/// An estimate of a complex quantity; the covariance is that of its real and imaginary part, in this order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComplexEstimate {
    /// The estimate.
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

    /// What this estimate contributes to the covariance of an analytic function that has the complex derivative
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

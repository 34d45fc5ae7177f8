//! From a pair to its impedance, with the derivatives.

use num_complex::Complex64;

use super::{
    ComplexEstimate, Impedance, ImpedanceError, Pair, PairKind, capacitor::angular_frequency,
};

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

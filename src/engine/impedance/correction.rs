//! The formulas of open and short correction.
//!
//! Two models of what leads and fixture add to a part Zx, both in ohm and siemens. They agree up to the order of |Zs Yo|,
//! one part in a million on a usual bench.

use num_complex::Complex64;

/// What a meter reads of the part `zx` with `zs` in series with both it and `yo`, and `yo` across it:
/// Zm = Zs + Zx/(1 + Zx Yo) (two-element model, by definition). A `zx` of zero is a short and reads `zs`.
pub fn through_two_elements(zx: Complex64, zs: Complex64, yo: Complex64) -> Complex64 {
    zs + zx / (1.0 + zx * yo)
}

/// The part behind a reading `zm`: Zx = (Zm - Zs)/(1 - (Zm - Zs) Yo), the inverse of [`through_two_elements`] (by
/// definition). Not finite if the reading is that of open leads.
pub fn behind_two_elements(zm: Complex64, zs: Complex64, yo: Complex64) -> Complex64 {
    let apart = zm - zs;
    apart / (1.0 - apart * yo)
}

/// The part behind a reading `zm` if leads and fixture are a two-port that is the same from both ends and reads `zo`
/// open and `zs` shorted: Zx = Zo (Zs - Zm)/(Zm - Zo) (by definition of the symmetrical two-port, A = D). Not finite if
/// the reading is that of open leads.
pub fn behind_symmetrical_two_port(zm: Complex64, zs: Complex64, zo: Complex64) -> Complex64 {
    zo * ((zs - zm) / (zm - zo))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const ZS: Complex64 = Complex64::new(0.2, 0.4);
    const YO: Complex64 = Complex64::new(2e-9, 3e-8);

    fn polar(modulus: f64, angle: f64) -> Complex64 {
        let (sine, cosine) = libm::sincos(angle);
        modulus * Complex64::new(cosine, sine)
    }

    #[test]
    fn a_short_reads_the_series_residual_and_comes_back_as_nothing() {
        let zero = Complex64::ZERO;
        assert_eq!(through_two_elements(zero, ZS, YO), ZS);
        assert_eq!(behind_two_elements(ZS, ZS, YO), zero);
        assert_eq!(behind_symmetrical_two_port(ZS, ZS, YO.inv()), zero);
    }

    #[test]
    fn open_leads_come_back_as_no_finite_part() {
        let zo = Complex64::new(3.0, -4096.0);
        assert!(!behind_symmetrical_two_port(zo, ZS, zo).is_finite());
        let (zs, yo) = (Complex64::ZERO, Complex64::new(0.0, 0.25));
        assert!(!behind_two_elements(Complex64::new(0.0, -4.0), zs, yo).is_finite());
    }

    #[test]
    fn without_residuals_the_reading_is_the_part() {
        let (zm, none) = (Complex64::new(12.0, -338.0), Complex64::ZERO);
        assert_eq!(behind_two_elements(zm, none, none), zm);
    }

    proptest! {
        #[test]
        fn correction_undoes_the_two_elements(
            size in -1.0..5.0, angle in -1.5..1.5,
            zs in (0.0..1.0, 0.0..1.0), yo in (0.0..1e-8, 0.0..1e-7),
        ) {
            let zx = polar(libm::exp10(size), angle);
            let (zs, yo) = (Complex64::new(zs.0, zs.1), Complex64::new(yo.0, yo.1));
            let again = behind_two_elements(through_two_elements(zx, zs, yo), zs, yo);
            // What is lost is the rounding of Zm, up to 14 times as large as a part of 0.1 Ω.
            prop_assert!((again - zx).norm_sqr() < 1e-26 * zx.norm_sqr(), "{zx} became {again}");
        }

        #[test]
        fn correction_undoes_a_symmetrical_two_port(
            size in -1.0..5.0, angle in -1.5..1.5, half in (0.0..0.5, 0.0..0.5), yo in (1e-10..1e-8, 1e-8..1e-7),
        ) {
            // A T of two equal halves with the stray admittance between them, worked out by series and parallel rules.
            let zx = polar(libm::exp10(size), angle);
            let (half, yo) = (Complex64::new(half.0, half.1), Complex64::new(yo.0, yo.1));
            let read = |far: Complex64| half + (yo + far.inv()).inv();
            let (zm, zs, zo) = (read(half + zx), read(half), half + yo.inv());
            let again = behind_symmetrical_two_port(zm, zs, zo);
            prop_assert!((again - zx).norm_sqr() < 1e-26 * zx.norm_sqr(), "{zx} became {again}");
        }
    }
}

//! [`Residuals`]: what leads and fixture add, and how it is taken away.
//!
//! The model is that of two elements: leads in series, stray admittance across the tips, where the part is. Both are what a
//! short and an open reading show, which suits the short leads of a bench (common practice, no source).

use num_complex::Complex64;

use super::complex_impedance::is_same_setting;
use super::formula::angular_frequency;
use super::{ComplexEstimate, Impedance, ImpedanceError, Pair, PairError, PairKind, Uncertain};

/// Inductance of a pair of test leads in henry: between nothing and twice that (common practice, no source).
const LEAD_INDUCTANCE: f64 = 1e-6;

/// The residual impedance of a short and the residual admittance of open leads, at one frequency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residuals {
    series: ComplexEstimate,
    admittance: ComplexEstimate,
    frequency: f64,
}

/// A reading cannot be corrected.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CorrectionError {
    /// Residuals were measured at another frequency.
    #[error(
        "the residuals are for {residuals} Hz, the reading is at {measured} Hz, expected the same; repeat the open and short readings at {measured} Hz"
    )]
    Frequency {
        /// Frequency of the residuals in hertz.
        residuals: f64,
        /// Frequency of the reading in hertz.
        measured: f64,
    },
    /// Open and short read the same, or the open leads show no impedance.
    #[error(
        "open and short readings do not differ as they must, found an open impedance of {re} + j{im} Ω; repeat both"
    )]
    Indistinct {
        /// Real part of the open reading in ohm.
        re: f64,
        /// Imaginary part of the open reading in ohm.
        im: f64,
    },
    /// The reading is that of open leads.
    #[error(
        "the reading {re} + j{im} Ω is that of open leads, expected a part between the probes; check the contact"
    )]
    LooksOpen {
        /// Real part of the reading in ohm.
        re: f64,
        /// Imaginary part of the reading in ohm.
        im: f64,
    },
    /// The result is no impedance.
    #[error(transparent)]
    Impedance(#[from] ImpedanceError),
    /// The resistance of the leads is none.
    #[error(transparent)]
    Pair(#[from] PairError),
}

impl Residuals {
    /// From the series impedance Zs in ohm, at its frequency, and the admittance Yo in siemens, each with its
    /// covariance; they count as independent.
    pub const fn new(series: Impedance, admittance: ComplexEstimate) -> Self {
        Self {
            series: series.estimate(),
            admittance,
            frequency: series.frequency(),
        }
    }

    /// From a reading of shorted and a reading of open leads: Yo = 1/(Zo - Zs).
    ///
    /// Where Zs enters Yo, what the two then have in common is neglected: for a part Zx this is of the order of
    /// (Zx Yo)² of what Zs contributes.
    ///
    /// # Errors
    /// [`CorrectionError`] if the frequencies differ, or the readings do not.
    pub fn from_readings(short: Impedance, open: Impedance) -> Result<Self, CorrectionError> {
        same_frequency(short.frequency(), open.frequency())?;
        let shunt = open.estimate().minus_independent(&short.estimate());
        let admittance = shunt.reciprocal();
        if open.value() == short.value() || !admittance.value.is_finite() {
            let Complex64 { re, im } = open.value();
            return Err(CorrectionError::Indistinct { re, im });
        }
        Ok(Self::new(short, admittance))
    }

    /// From what the meter reads with the leads open and with the probes on each other, at one frequency.
    ///
    /// # Errors
    /// [`CorrectionError`] if the frequencies differ, or the readings do not.
    pub fn from_open_and_short(open: &Pair, short: &Pair) -> Result<Self, CorrectionError> {
        Self::from_readings(short.impedance()?, open.impedance()?)
    }

    /// From what the meter reads with the leads open, and the resistance of the leads in ohm where that is all that is
    /// known of the short. Their inductance counts as 1 µH, evenly likely from 0 to 2 µH (common practice, no source).
    ///
    /// # Errors
    /// [`CorrectionError`] if a resistance is not finite, or open and short do not differ.
    pub fn from_open_and_resistance(
        open: &Pair,
        resistance: Uncertain,
    ) -> Result<Self, CorrectionError> {
        let x = angular_frequency(open.frequency()) * LEAD_INDUCTANCE;
        let reactance = Uncertain::new(x, x / 3.0_f64.sqrt());
        let short = Pair::new(PairKind::RX, open.frequency(), [resistance, reactance], 0.0)?;
        Self::from_open_and_short(open, &short)
    }

    /// The frequency that they hold for, in hertz.
    pub const fn frequency(&self) -> f64 {
        self.frequency
    }

    /// Resistance in series with the part, in ohm.
    pub const fn series_resistance(&self) -> f64 {
        self.series.value.re
    }

    /// Inductance in series with the part, in henry.
    pub fn series_inductance(&self) -> f64 {
        self.series.value.im / angular_frequency(self.frequency)
    }

    /// Capacitance across the part, in farad.
    pub fn stray_capacitance(&self) -> f64 {
        self.admittance.value.im / angular_frequency(self.frequency)
    }

    /// The part behind the reading `measured`, with the uncertainties of reading, Zs and Yo, which count as independent.
    ///
    /// # Errors
    /// [`CorrectionError`] if the reading is at another frequency, or that of open leads.
    pub fn correct(&self, measured: &Impedance) -> Result<Impedance, CorrectionError> {
        same_frequency(self.frequency, measured.frequency())?;
        let (value, [of_reading, of_series, of_admittance]) = self.linearised(measured.value());
        if !value.is_finite() {
            let Complex64 { re, im } = measured.value();
            return Err(CorrectionError::LooksOpen { re, im });
        }
        let covariance = measured
            .estimate()
            .contribution(of_reading)
            .plus_independent(&self.series.contribution(of_series))
            .plus_independent(&self.admittance.contribution(of_admittance));
        let estimate = ComplexEstimate { value, covariance };
        Ok(Impedance::new(estimate, measured.frequency())?)
    }

    /// The part, and its derivatives with respect to Zm, Zs and Yo (by definition).
    fn linearised(&self, zm: Complex64) -> (Complex64, [Complex64; 3]) {
        let (zs, yo) = (self.series.value, self.admittance.value);
        let zx = behind_two_elements(zm, zs, yo);
        let k = 1.0 - (zm - zs) * yo;
        let steep = 1.0 / (k * k);
        (zx, [steep, -steep, zx * zx])
    }
}

/// The part behind a reading `zm` with `zs` in series with both it and `yo`, and `yo` across it, ohm and siemens:
/// Zx = (Zm - Zs)/(1 - (Zm - Zs) Yo) (by definition). Not finite if the reading is that of open leads.
pub fn behind_two_elements(zm: Complex64, zs: Complex64, yo: Complex64) -> Complex64 {
    let apart = zm - zs;
    apart / (1.0 - apart * yo)
}

fn same_frequency(residuals: f64, measured: f64) -> Result<(), CorrectionError> {
    if is_same_setting(residuals, measured) {
        Ok(())
    } else {
        Err(CorrectionError::Frequency {
            residuals,
            measured,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::impedance::Covariance;

    fn exact(re: f64, im: f64) -> ComplexEstimate {
        ComplexEstimate::exact(Complex64::new(re, im))
    }

    fn at(frequency: f64, estimate: ComplexEstimate) -> Impedance {
        Impedance::new(estimate, frequency).unwrap()
    }

    fn pair(kind: PairKind, frequency: f64, values: [f64; 2]) -> Pair {
        Pair::new(kind, frequency, values.map(Uncertain::exact), 0.0).unwrap()
    }

    const ZS: Complex64 = Complex64::new(0.2, 0.4);
    const YO: Complex64 = Complex64::new(2e-9, 3e-8);

    #[test]
    fn the_formula_takes_a_short_to_nothing_and_open_leads_to_no_part() {
        assert_eq!(behind_two_elements(ZS, ZS, YO), Complex64::ZERO);
        let (zs, yo) = (Complex64::ZERO, Complex64::new(0.0, 0.25));
        assert!(!behind_two_elements(Complex64::new(0.0, -4.0), zs, yo).is_finite());
        let zm = Complex64::new(12.0, -338.0);
        assert_eq!(behind_two_elements(zm, zs, Complex64::ZERO), zm);
    }

    #[test]
    fn open_and_short_pairs_tell_what_the_leads_are() {
        let open = pair(PairKind::CpD, 1e3, [0.53e-12, 0.01]);
        let short = pair(PairKind::RX, 1e3, [0.02, 0.004]);
        let residuals = Residuals::from_open_and_short(&open, &short).unwrap();
        let same = |found: f64, expected: f64| {
            assert!((found / expected - 1.0).abs() < 1e-9, "{found} {expected}");
        };
        same(residuals.stray_capacitance(), 0.53e-12);
        same(residuals.series_resistance(), 0.02);
        same(
            residuals.series_inductance(),
            0.004 / (std::f64::consts::TAU * 1e3),
        );
        let elsewhere = pair(PairKind::RX, 120.0, [0.02, 0.004]);
        let error = Residuals::from_open_and_short(&open, &elsewhere).unwrap_err();
        assert!(matches!(error, CorrectionError::Frequency { .. }));
    }

    #[test]
    fn a_resistance_alone_leaves_the_inductance_of_the_leads_uncertain() {
        let open = pair(PairKind::CpD, 1e3, [0.53e-12, 0.01]);
        let leads = Uncertain::new(0.02, 0.001);
        let residuals = Residuals::from_open_and_resistance(&open, leads).unwrap();
        let u = |index| residuals.series.covariance.uncertainty(index);
        assert!((u(0) - 0.001).abs() < 1e-12);
        // 2π · 1 kHz · 1 µH/√3.
        assert!((u(1) - 0.003_627_598_728).abs() < 1e-12, "{}", u(1));
        let nothing = Uncertain::new(f64::NAN, 0.0);
        assert!(Residuals::from_open_and_resistance(&open, nothing).is_err());
    }

    #[test]
    fn residuals_serve_one_frequency() {
        let residuals = Residuals::new(at(1e3, exact(0.1, 0.2)), exact(0.0, 1e-8));
        let error = residuals
            .correct(&at(1e4, exact(5.0, -300.0)))
            .unwrap_err()
            .to_string();
        assert!(
            error.starts_with("the residuals are for 1000 Hz, the reading is at 10000 Hz"),
            "{error}"
        );
    }

    #[test]
    fn open_leads_are_no_part() {
        let (short, open) = (at(1e3, exact(0.0, 0.0)), at(1e3, exact(0.0, -4096.0)));
        let residuals = Residuals::from_readings(short, open).unwrap();
        let corrected = residuals.correct(&open);
        assert!(
            matches!(corrected, Err(CorrectionError::LooksOpen { .. })),
            "{corrected:?}"
        );
    }

    #[test]
    fn open_and_short_readings_must_differ() {
        let reading = at(1e3, exact(1.0, 2.0));
        let residuals = Residuals::from_readings(reading, reading);
        assert!(matches!(residuals, Err(CorrectionError::Indistinct { .. })));
    }

    #[test]
    fn a_shorted_and_an_open_reading_give_their_own_residuals_back() {
        let (zs, yo) = (ZS, YO);
        let open = at(1e3, ComplexEstimate::exact(zs + yo.inv()));
        let short = at(1e3, ComplexEstimate::exact(zs));
        let residuals = Residuals::from_readings(short, open).unwrap();
        assert!((residuals.admittance.value - yo).norm_sqr() < 1e-46);
        let nothing = residuals.correct(&short).unwrap();
        assert_eq!(nothing.value(), Complex64::ZERO);
    }

    #[test]
    fn a_short_subtracted_from_a_low_impedance_adds_its_uncertainty_in_square() {
        let uncertain = |re, im, u_re, u_im| ComplexEstimate {
            value: Complex64::new(re, im),
            covariance: Covariance::independent([u_re, u_im]).unwrap(),
        };
        let short = at(1e3, uncertain(0.1, 0.0, 0.03, 0.05));
        let residuals = Residuals::new(short, exact(0.0, 0.0));
        let part = residuals
            .correct(&at(1e3, uncertain(1.0, -2.0, 0.04, 0.12)))
            .unwrap();
        assert_eq!(part.value(), Complex64::new(0.9, -2.0));
        assert!((part.covariance().uncertainty(0) - 0.05).abs() < 1e-15);
        assert!((part.covariance().uncertainty(1) - 0.13).abs() < 1e-15);
    }

    #[test]
    fn the_derivatives_agree_with_differences() {
        let centre = [(12.3, -338.2), (2.1, 3.5), (2e-5, 3.1e-4)];
        let [zm, zs, yo] = centre.map(|(re, im)| Complex64::new(re, im));
        let part = |zm, zs, yo| {
            let series = at(1e3, ComplexEstimate::exact(zs));
            Residuals::new(series, ComplexEstimate::exact(yo)).linearised(zm)
        };
        let (zx, derivatives) = part(zm, zs, yo);
        let h = 1e-6;
        let differences = [
            (part(zm * (1.0 + h), zs, yo).0 - part(zm * (1.0 - h), zs, yo).0) / (2.0 * h * zm),
            (part(zm, zs * (1.0 + h), yo).0 - part(zm, zs * (1.0 - h), yo).0) / (2.0 * h * zs),
            (part(zm, zs, yo * (1.0 + h)).0 - part(zm, zs, yo * (1.0 - h)).0) / (2.0 * h * yo),
        ];
        for (index, input) in [zm, zs, yo].into_iter().enumerate() {
            let error = (derivatives[index] - differences[index]) * input / zx;
            assert!(error.norm_sqr() < 1e-16, "input {index}: {error}");
        }
    }
}

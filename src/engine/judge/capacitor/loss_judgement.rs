//! [`judge_loss`] and [`judge_esr`]: a measured loss against its limit, also where the frequencies differ.
//!
//! A capacitor without inductance is a network of resistors and capacitors. Seen from its two ends such a network is
//! Z = R + 1/(jωC) + Σ kᵢ/(jω + σᵢ) with positive constants (the Foster form of an RC one-port, from memory). Its real part,
//! the ESR, can only fall with the frequency, and so can its series capacitance; so at f above the frequency f₀ of the limit
//!
//! ESR(f₀) ≥ ESR(f) and tan δ(f₀) ≥ tan δ(f) · f₀/f,
//!
//! and below f₀ the other way round. A measurement at a higher frequency can therefore prove a part bad and never good, one
//! at a lower frequency good and never bad. This holds far below the self-resonance, where bridges measure.

use super::loss_limit::LossLimit;
use crate::engine::judge::conformity::probability_of_conformity;
use crate::engine::judge::one_sided::at_most;
use crate::engine::judge::{Rule, Verdict};

/// Relative distance of two frequencies that count as one: 120 ± 5 Hz (MIL-C-62F, 4.5.4).
const SAME_FREQUENCY: f64 = 5.0 / 120.0;

/// A loss factor or an ESR as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossMeasurement {
    value: f64,
    standard_uncertainty: f64,
    frequency_hz: f64,
}

impl LossMeasurement {
    /// `value` (tan δ, or ESR in ohm) with its standard uncertainty in the same unit, measured at `frequency_hz`.
    ///
    /// `None` if a number is not finite, the uncertainty is negative, or the frequency is not above zero. The value may be
    /// negative: near zero, a meter's noise makes it so.
    pub fn new(value: f64, standard_uncertainty: f64, frequency_hz: f64) -> Option<Self> {
        let finite =
            value.is_finite() && standard_uncertainty.is_finite() && frequency_hz.is_finite();
        (finite && standard_uncertainty >= 0.0 && frequency_hz > 0.0).then_some(Self {
            value,
            standard_uncertainty,
            frequency_hz,
        })
    }
}

/// Grounds of the verdict on a loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LossBasis {
    /// Measured at a frequency of the limit.
    SameFrequency,
    /// Measured at a higher frequency than the limit's: the loss there is at least what the value says. Only a fail is proof.
    AtLeast,
    /// Measured at a lower frequency than the limit's: the loss there is at most what the value says. Only a pass is proof.
    AtMost,
    /// Negative beyond the uncertainty, which no part is: look to the meter's zero.
    Negative,
}

impl LossBasis {
    /// The basis as a clause for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SameFrequency => "measured at the frequency of the limit",
            Self::AtLeast => "measured above the frequency of the limit: proves bad, never good",
            Self::AtMost => "measured below the frequency of the limit: proves good, never bad",
            Self::Negative => "negative, which no part is: check the zero of the meter",
        }
    }
}

/// A verdict on a loss with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossJudgement {
    /// The verdict; inconclusive where the frequency does not allow one.
    pub verdict: Verdict,
    pub basis: LossBasis,
    /// The value compared: as measured, or the bound at the frequency of the limit. tan δ, or ohm.
    pub compared: f64,
    /// The limit it was compared with, in the same unit.
    pub limit: f64,
    /// The frequency of the limit, Hz.
    pub limit_frequency_hz: f64,
    /// Probability that the loss is within its limit (0 to 1); `None` where only a bound was found.
    pub probability: Option<f64>,
}

/// Judges a measured loss factor.
pub fn judge_loss(measured: LossMeasurement, limit: &LossLimit, rule: Rule) -> LossJudgement {
    let (basis, limit_hz) = basis(measured, limit);
    let factor = match basis {
        LossBasis::AtLeast | LossBasis::AtMost => limit_hz / measured.frequency_hz,
        LossBasis::SameFrequency | LossBasis::Negative => 1.0,
    };
    let bound = LossMeasurement {
        value: measured.value * factor,
        standard_uncertainty: measured.standard_uncertainty * factor,
        ..measured
    };
    compare(bound, basis, limit.tan_delta, limit_hz, rule)
}

/// Judges a measured ESR in ohm of a part of `capacitance_farad`; `None` unless that is finite and above zero.
pub fn judge_esr(
    measured: LossMeasurement,
    limit: &LossLimit,
    capacitance_farad: f64,
    rule: Rule,
) -> Option<LossJudgement> {
    let (basis, limit_hz) = basis(measured, limit);
    let limit_ohm = limit.esr_ohm(limit_hz, capacitance_farad);
    (capacitance_farad > 0.0 && limit_ohm.is_finite() && limit_ohm > 0.0)
        .then(|| compare(measured, basis, limit_ohm, limit_hz, rule))
}

/// Scope of a judgement, and the frequency of the limit that it is about.
fn basis(measured: LossMeasurement, limit: &LossLimit) -> (LossBasis, f64) {
    let limit_hz = limit.nearest_frequency_hz(measured.frequency_hz);
    let basis = match measured.frequency_hz / limit_hz {
        _ if measured.value + 2.0 * measured.standard_uncertainty < 0.0 => LossBasis::Negative,
        ratio if (ratio - 1.0).abs() <= SAME_FREQUENCY => LossBasis::SameFrequency,
        ratio if ratio > 1.0 => LossBasis::AtLeast,
        _ => LossBasis::AtMost,
    };
    (basis, limit_hz)
}

fn compare(
    measured: LossMeasurement,
    basis: LossBasis,
    limit: f64,
    limit_frequency_hz: f64,
    rule: Rule,
) -> LossJudgement {
    let band = at_most(limit);
    let (value, uncertainty) = (measured.value, measured.standard_uncertainty);
    let verdict = rule.decide(value, uncertainty, band);
    let good = matches!(verdict, Verdict::Pass | Verdict::ConditionalPass);
    let supported = match basis {
        LossBasis::SameFrequency => true,
        LossBasis::AtLeast => !good,
        LossBasis::AtMost => good,
        LossBasis::Negative => false,
    };
    LossJudgement {
        verdict: if supported {
            verdict
        } else {
            Verdict::Inconclusive
        },
        basis,
        compared: value,
        limit,
        limit_frequency_hz,
        probability: (basis == LossBasis::SameFrequency)
            .then(|| probability_of_conformity(value, uncertainty, band)),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::loss_limit::StatedLoss;
    use super::*;

    fn limit() -> LossLimit {
        StatedLoss::new(0.25, 120.0).unwrap().limit()
    }

    fn judged(value: f64, uncertainty: f64, hertz: f64) -> LossJudgement {
        let measured = LossMeasurement::new(value, uncertainty, hertz).unwrap();
        judge_loss(measured, &limit(), Rule::GuardBand)
    }

    #[test]
    fn at_the_frequency_of_the_limit_all_four_verdicts_are_given() {
        for (value, verdict) in [
            (0.20, Verdict::Pass),
            (0.24, Verdict::ConditionalPass),
            (0.26, Verdict::ConditionalFail),
            (0.30, Verdict::Fail),
        ] {
            let judgement = judged(value, 0.01, 117.0);
            assert_eq!(judgement.verdict, verdict, "{value}");
            assert_eq!(judgement.basis, LossBasis::SameFrequency);
        }
    }

    #[test]
    fn a_small_loss_with_a_large_uncertainty_is_not_held_against_zero() {
        assert_eq!(judged(0.001, 0.01, 120.0).verdict, Verdict::Pass);
        assert_eq!(judged(-0.005, 0.01, 120.0).verdict, Verdict::Pass);
    }

    #[test]
    fn a_loss_that_is_negative_beyond_doubt_is_no_pass() {
        let judgement = judged(-0.05, 0.01, 120.0);
        assert_eq!(judgement.verdict, Verdict::Inconclusive);
        assert_eq!(judgement.basis, LossBasis::Negative);
    }

    #[test]
    fn a_higher_frequency_proves_only_a_fail() {
        // 3.0 at 1 kHz is at least 0.36 at 120 Hz; 1.0 is at least 0.12, which says nothing.
        assert_eq!(judged(3.0, 0.01, 1000.0).verdict, Verdict::Fail);
        let judgement = judged(1.0, 0.01, 1000.0);
        assert_eq!(judgement.verdict, Verdict::Inconclusive);
        assert_eq!(
            (judgement.basis, judgement.probability),
            (LossBasis::AtLeast, None)
        );
    }

    #[test]
    fn a_lower_frequency_proves_only_a_pass() {
        // 0.05 at 60 Hz is at most 0.1 at 120 Hz; 0.2 is at most 0.4, which says nothing.
        assert_eq!(judged(0.05, 0.001, 60.0).verdict, Verdict::Pass);
        assert_eq!(judged(0.2, 0.001, 60.0).verdict, Verdict::Inconclusive);
    }

    #[test]
    fn an_esr_at_a_higher_frequency_proves_only_a_fail() {
        // The limit of 10 µF at 120 Hz is 33.2 Ω.
        let judged = |ohm, hertz| {
            let measured = LossMeasurement::new(ohm, 0.1, hertz).unwrap();
            judge_esr(measured, &limit(), 10e-6, Rule::GuardBand)
                .unwrap()
                .verdict
        };
        assert_eq!(judged(40.0, 1000.0), Verdict::Fail);
        assert_eq!(judged(10.0, 1000.0), Verdict::Inconclusive);
        assert_eq!(judged(40.0, 50.0), Verdict::Inconclusive);
        assert_eq!(judged(10.0, 50.0), Verdict::Pass);
        assert_eq!(judged(10.0, 120.0), Verdict::Pass);
    }

    #[test]
    fn without_a_capacitance_no_esr_is_judged() {
        let measured = LossMeasurement::new(1.0, 0.1, 120.0).unwrap();
        for farad in [0.0, -1e-6, f64::NAN, f64::INFINITY] {
            assert_eq!(judge_esr(measured, &limit(), farad, Rule::GuardBand), None);
        }
    }

    #[test]
    fn of_several_frequencies_the_nearest_counts() {
        let mut limit = limit();
        limit.frequencies_hz = vec![100.0, 120.0];
        let at = |hertz| {
            let measured = LossMeasurement::new(0.1, 0.001, hertz).unwrap();
            let judgement = judge_loss(measured, &limit, Rule::GuardBand);
            (judgement.limit_frequency_hz, judgement.basis)
        };
        assert_eq!(at(100.0), (100.0, LossBasis::SameFrequency));
        assert_eq!(at(1000.0), (120.0, LossBasis::AtLeast));
        assert_eq!(at(50.0), (100.0, LossBasis::AtMost));
    }

    #[test]
    fn numbers_that_are_none_are_refused() {
        for (value, uncertainty, hertz) in [
            (f64::NAN, 0.0, 100.0),
            (0.1, -0.1, 100.0),
            (0.1, 0.0, 0.0),
            (0.1, 0.0, f64::INFINITY),
        ] {
            assert_eq!(LossMeasurement::new(value, uncertainty, hertz), None);
        }
    }

    /// ESR, series capacitance and tan δ at a frequency of a series resistor, a capacitor and two RC pairs in series.
    fn network(parts: [f64; 6], hertz: f64) -> (f64, f64) {
        let omega = std::f64::consts::TAU * hertz;
        let [series, main, r1, c1, r2, c2] = parts;
        let pair = |r: f64, c: f64| {
            let q = omega * r * c;
            (r / (1.0 + q * q), r * q / (1.0 + q * q))
        };
        let (a, b) = (pair(r1, c1), pair(r2, c2));
        let (real, minus_imaginary) = (series + a.0 + b.0, 1.0 / (omega * main) + a.1 + b.1);
        (real, real / minus_imaginary)
    }

    proptest! {
        /// The bounds that the verdicts at other frequencies rest on hold for networks of resistors and capacitors.
        #[test]
        fn the_bounds_hold_for_rc_networks(
            series in 0.0..100.0, r1 in 1e-2..1e5, r2 in 1e-2..1e5,
            exponents in prop::array::uniform3(-9.0..-3.0), at in 20.0..1e5, ratio in 1.0..1000.0,
        ) {
            let c = exponents.map(|exponent: f64| libm::exp10(exponent));
            let parts = [series, c[0], r1, c[1], r2, c[2]];
            let ((low_esr, low_loss), (high_esr, high_loss)) = (network(parts, at), network(parts, at * ratio));
            prop_assert!(low_esr >= high_esr * (1.0 - 1e-12));
            prop_assert!(low_loss >= high_loss / ratio * (1.0 - 1e-12));
        }

        /// Whatever the frequency, a verdict that is given is the one that the loss at the frequency of the limit would get.
        #[test]
        fn no_verdict_at_another_frequency_is_wrong(
            series in 0.0..100.0, r1 in 1e-2..1e5,
            exponents in prop::array::uniform2(-7.0..-3.0), at in 20.0..1e5f64,
        ) {
            let c = exponents.map(|exponent: f64| libm::exp10(exponent));
            let parts = [series, c[0], r1, c[1], 1.0, 1e-9];
            prop_assume!((at / 120.0 - 1.0).abs() > SAME_FREQUENCY);
            let truth = Rule::Simple.decide(network(parts, 120.0).1, 0.0, at_most(0.25));
            let measured = LossMeasurement::new(network(parts, at).1, 0.0, at).unwrap();
            let verdict = judge_loss(measured, &limit(), Rule::Simple).verdict;
            prop_assert!(verdict == truth || verdict == Verdict::Inconclusive);
        }
    }
}

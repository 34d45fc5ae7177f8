//! Probability of conformity and decision rules against JCGM 106:2012 and ILAC-G8:09/2019.

use approx::assert_relative_eq;
use probewright::face::engine::judge::{Rule, Verdict, probability_of_conformity};
use probewright::face::engine::quantity::Band;
use probewright::face::engine::statistics::normal_cdf;

/// Values of the normal distribution, computed with mpmath 1.3 at 30 digits.
#[test]
fn normal_distribution() {
    for (z, p) in [
        (1.0, 0.841_344_746_069),
        (1.28, 0.899_727_432_046),
        (1.64, 0.949_497_416_526),
        (2.0, 0.977_249_868_052),
        (2.33, 0.990_096_924_441),
        (2.5, 0.993_790_334_674),
        (3.0, 0.998_650_101_968),
        (3.09, 0.998_999_217_523),
    ] {
        assert_relative_eq!(normal_cdf(z), p, max_relative = 1e-11);
        assert_relative_eq!(normal_cdf(-z), 1.0 - p, max_relative = 1e-8);
    }
}

/// Quantiles of the one-sided table of JCGM 106:2012, computed with mpmath 1.3.
#[test]
fn quantiles_of_the_one_sided_table() {
    for (p, z) in [
        (0.80, 0.841_621_233_573),
        (0.90, 1.281_551_565_54),
        (0.95, 1.644_853_626_95),
        (0.99, 2.326_347_874_04),
        (0.999, 3.090_232_306_17),
    ] {
        assert_relative_eq!(normal_cdf(z), p, max_relative = 1e-10);
    }
}

/// JCGM 106:2012, worked examples of clause 7 (printed values from memory, exact ones computed with mpmath 1.3).
#[test]
fn worked_examples_of_jcgm_106() {
    // Breakdown voltage of a Zener diode: only an upper limit of -5.40 V. Printed 0.92.
    let pc = probability_of_conformity(5.47, 0.05, Band::new(5.40, f64::INFINITY).unwrap());
    assert_relative_eq!(pc, 0.919_243_340_8, max_relative = 1e-9);
    assert_eq!(format!("{pc:.2}"), "0.92");
    // Kinematic viscosity of a lubricant, two limits, mm²/s. Printed 0.66.
    let pc = probability_of_conformity(13.6, 1.8, Band::new(12.5, 16.3).unwrap());
    assert_relative_eq!(pc, 0.662_629_786_5, max_relative = 1e-9);
    assert_eq!(format!("{pc:.2}"), "0.66");
}

/// Verdicts of the non-binary rule with w = U = 2 u (terms and zones of ILAC-G8:09/2019, 4.2.3, as quoted by calibration
/// houses); probabilities computed with mpmath 1.3.
#[test]
fn verdicts_of_ilac_g8_with_guard_band() {
    let resistor = [4230.0, 5170.0];
    let hundred = [90.0, 110.0];
    for (value, uncertainty, [lower, upper], pc, verdict) in [
        (4850.0, 25.0, resistor, 1.0, Verdict::Pass),
        (5170.0, 25.0, resistor, 0.5, Verdict::ConditionalPass),
        (
            5200.0,
            25.0,
            resistor,
            0.115_069_670_2,
            Verdict::ConditionalFail,
        ),
        (
            4210.0,
            25.0,
            resistor,
            0.211_855_398_6,
            Verdict::ConditionalFail,
        ),
        (108.9, 0.5, hundred, 0.986_096_552_5, Verdict::Pass),
        (
            109.8,
            0.5,
            hundred,
            0.655_421_741_6,
            Verdict::ConditionalPass,
        ),
        (
            110.6,
            0.5,
            hundred,
            0.115_069_670_2,
            Verdict::ConditionalFail,
        ),
        (112.0, 0.5, hundred, 3.167_124_183e-5, Verdict::Fail),
        (
            1.095e6,
            5e3,
            [0.9e6, 1.1e6],
            0.841_344_746_1,
            Verdict::ConditionalPass,
        ),
    ] {
        let band = Band::new(lower, upper).unwrap();
        assert_relative_eq!(
            probability_of_conformity(value, uncertainty, band),
            pc,
            max_relative = 1e-8
        );
        assert_eq!(
            Rule::GuardBand.decide(value, uncertainty, band),
            verdict,
            "{value} ± {uncertainty}"
        );
    }
}

/// Simple acceptance, w = 0 (ILAC-G8:09/2019): the limit alone decides.
#[test]
fn verdicts_of_ilac_g8_by_simple_acceptance() {
    let band = Band::new(90.0, 110.0).unwrap();
    assert_eq!(Rule::Simple.decide(110.0, 5.0, band), Verdict::Pass);
    assert_eq!(Rule::Simple.decide(110.001, 5.0, band), Verdict::Fail);
}

/// With w = U the risk of accepting a part that lies beyond the limit is at most 2.275 % (one-sided tail at 2, mpmath 1.3;
/// ILAC-G8:09/2019, table 1, says 2.5 %, from memory).
#[test]
fn risk_of_a_plain_pass() {
    let band = Band::new(0.0, 100.0).unwrap();
    let at_the_edge = 100.0 - Rule::GuardBand.guard(1.0);
    assert_eq!(
        Rule::GuardBand.decide(at_the_edge, 1.0, band),
        Verdict::Pass
    );
    assert_relative_eq!(
        1.0 - probability_of_conformity(at_the_edge, 1.0, band),
        0.022_750_132,
        max_relative = 1e-7
    );
}

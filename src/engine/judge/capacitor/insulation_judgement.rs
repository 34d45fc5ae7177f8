//! [`judge_insulation`]: a measured insulation resistance against its limit.

use super::insulation_limit::InsulationLimit;
use crate::engine::judge::conformity::probability_of_conformity;
use crate::engine::judge::one_sided::at_least;
use crate::engine::judge::{Rule, Verdict};

/// Share of the test voltage that still counts as it: ± 10 % (MIL-STD-202, method 302).
const SAME_VOLTAGE: f64 = 0.9;

/// An insulation resistance as measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsulationMeasurement {
    found: InsulationFound,
    test_volts: f64,
}

/// What the meter said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InsulationFound {
    /// A resistance with its standard uncertainty, in ohm.
    Value {
        /// Resistance, ohm.
        ohm: f64,
        /// Standard uncertainty, ohm.
        standard_uncertainty_ohm: f64,
    },
    /// Beyond the range: at least so much, in ohm.
    AtLeast {
        /// End of the range, ohm.
        ohm: f64,
    },
}

impl InsulationMeasurement {
    /// What was found with `test_volts` at the part. `None` if a number is not finite, the uncertainty is negative, or the
    /// voltage is not above zero. The voltage of a multimeter's resistance range is a volt or so.
    pub fn new(found: InsulationFound, test_volts: f64) -> Option<Self> {
        let usable = match found {
            InsulationFound::Value {
                ohm,
                standard_uncertainty_ohm,
            } => {
                ohm.is_finite()
                    && standard_uncertainty_ohm.is_finite()
                    && standard_uncertainty_ohm >= 0.0
            }
            InsulationFound::AtLeast { ohm } => ohm.is_finite(),
        };
        (usable && test_volts.is_finite() && test_volts > 0.0).then_some(Self { found, test_volts })
    }
}

/// What the verdict on an insulation rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InsulationBasis {
    /// A value at the test voltage.
    Value,
    /// The meter's range ends beyond the limit.
    BeyondLimit,
    /// The meter's range ends before the limit: neither good nor bad is proved.
    RangeTooShort,
    /// Measured with less than the test voltage: bad is proved, good is not.
    VoltageTooLow,
}

impl InsulationBasis {
    /// The basis as a clause for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Value => "measured at the test voltage",
            Self::BeyondLimit => "more than the meter can show, and that is enough",
            Self::RangeTooShort => "more than the meter can show, and that is less than is asked",
            Self::VoltageTooLow => {
                "measured with too little voltage: proves bad, never good; a leak grows with the voltage"
            }
        }
    }
}

/// A verdict on an insulation with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsulationJudgement {
    /// The verdict; inconclusive where range or voltage do not allow one.
    pub verdict: Verdict,
    /// What it rests on.
    pub basis: InsulationBasis,
    /// The least resistance, ohm.
    pub limit_ohm: f64,
    /// Probability that the insulation is sufficient (0 to 1); `None` where the verdict is inconclusive or only a bound was
    /// found.
    pub probability: Option<f64>,
}

/// Judges a measured insulation resistance.
///
/// With less voltage than the limit asks for only a fail stands: insulation can only lose with the voltage (common practice,
/// no source).
pub fn judge_insulation(
    measured: InsulationMeasurement,
    limit: &InsulationLimit,
    rule: Rule,
) -> InsulationJudgement {
    let limit_ohm = limit.resistance_ohm;
    let too_low = measured.test_volts < SAME_VOLTAGE * limit.test_volts;
    let (verdict, basis, probability) = match measured.found {
        InsulationFound::Value {
            ohm,
            standard_uncertainty_ohm,
        } => {
            let band = at_least(limit_ohm);
            let verdict = rule.decide(ohm, standard_uncertainty_ohm, band);
            let probability = probability_of_conformity(ohm, standard_uncertainty_ohm, band);
            (verdict, InsulationBasis::Value, Some(probability))
        }
        InsulationFound::AtLeast { ohm } if ohm >= limit_ohm => {
            (Verdict::Pass, InsulationBasis::BeyondLimit, None)
        }
        InsulationFound::AtLeast { .. } => {
            (Verdict::Inconclusive, InsulationBasis::RangeTooShort, None)
        }
    };
    let good = matches!(verdict, Verdict::Pass | Verdict::ConditionalPass);
    let (verdict, basis) = match (too_low, good) {
        (true, true) => (Verdict::Inconclusive, InsulationBasis::VoltageTooLow),
        (true, false) if basis == InsulationBasis::Value => {
            (verdict, InsulationBasis::VoltageTooLow)
        }
        _ => (verdict, basis),
    };
    InsulationJudgement {
        verdict,
        basis,
        limit_ohm,
        probability: probability.filter(|_| verdict != Verdict::Inconclusive),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(found: InsulationFound, volts: f64) -> (Verdict, InsulationBasis) {
        let limit = InsulationLimit::stated(100e6).unwrap();
        let measured = InsulationMeasurement::new(found, volts).unwrap();
        let judgement = judge_insulation(measured, &limit, Rule::GuardBand);
        (judgement.verdict, judgement.basis)
    }

    fn value(mega: f64) -> InsulationFound {
        InsulationFound::Value {
            ohm: mega * 1e6,
            standard_uncertainty_ohm: mega * 1e4,
        }
    }

    #[test]
    fn a_value_at_the_test_voltage_gets_all_four_verdicts() {
        for (mega, verdict) in [
            (200.0, Verdict::Pass),
            (101.0, Verdict::ConditionalPass),
            (99.0, Verdict::ConditionalFail),
            (50.0, Verdict::Fail),
        ] {
            assert_eq!(judged(value(mega), 91.0), (verdict, InsulationBasis::Value));
        }
    }

    #[test]
    fn with_too_little_voltage_only_a_fail_stands() {
        let basis = InsulationBasis::VoltageTooLow;
        assert_eq!(judged(value(500.0), 1.0), (Verdict::Inconclusive, basis));
        assert_eq!(judged(value(50.0), 1.0), (Verdict::Fail, basis));
    }

    #[test]
    fn beyond_the_range_is_good_only_if_the_range_reaches_the_limit() {
        let beyond = |mega: f64, volts| judged(InsulationFound::AtLeast { ohm: mega * 1e6 }, volts);
        assert_eq!(
            beyond(200.0, 250.0),
            (Verdict::Pass, InsulationBasis::BeyondLimit)
        );
        assert_eq!(
            beyond(40.0, 250.0),
            (Verdict::Inconclusive, InsulationBasis::RangeTooShort)
        );
        assert_eq!(
            beyond(200.0, 1.0),
            (Verdict::Inconclusive, InsulationBasis::VoltageTooLow)
        );
    }

    #[test]
    fn numbers_that_are_none_are_refused() {
        assert_eq!(InsulationMeasurement::new(value(f64::NAN), 100.0), None);
        assert_eq!(InsulationMeasurement::new(value(1.0), 0.0), None);
        let ohm = f64::INFINITY;
        assert_eq!(
            InsulationMeasurement::new(InsulationFound::AtLeast { ohm }, 100.0),
            None
        );
    }
}

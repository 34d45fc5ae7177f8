//! [`Balance`]: how well two halves of a winding agree.

use super::Measured;
use crate::engine::judge::figure::positive;
use crate::engine::judge::{BadFigure, Rule, Verdict};
use crate::engine::quantity::Band;

/// Difference of the resistances of two half-windings that is commonly put up with, in percent of their mean: the outer
/// half has the longer wire, with the same turns (common practice, no source). Voltages of the halves should agree much better.
pub const HALVES_LIMIT_PERCENT: f64 = 10.0;

/// The difference of two halves in percent of their mean, positive if the first is the larger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The difference, in percent.
    pub percent: Measured,
    /// The mean of both, in their unit.
    pub mean: Measured,
}

/// 200 (a - b)/(a + b): the difference of two halves, resistances or voltages in the same unit, with the uncertainty that
/// two independent readings give it (first order).
pub fn balance(first: Measured, second: Measured) -> Balance {
    let sum = first.value + second.value;
    let slope = 400.0 / (sum * sum);
    let percent = Measured::from_contributions(
        200.0 * (first.value - second.value) / sum,
        &[
            slope * second.value * first.standard_uncertainty,
            slope * first.value * second.standard_uncertainty,
        ],
    );
    let mean = Measured::from_contributions(
        0.5 * sum,
        &[
            0.5 * first.standard_uncertainty,
            0.5 * second.standard_uncertainty,
        ],
    );
    Balance { percent, mean }
}

impl Balance {
    /// The verdict on a difference of at most `limit_percent` to either side, by `rule`.
    ///
    /// # Errors
    /// If the limit is not a finite number above zero.
    pub fn verdict(self, limit_percent: f64, rule: Rule) -> Result<Verdict, BadFigure> {
        let limit = positive("the limit in percent", limit_percent)?;
        let band = Band::new(-limit, limit).ok_or(BadFigure {
            what: "the limit in percent",
            found: limit,
            expected: "a finite number above zero",
        })?;
        let Measured {
            value,
            standard_uncertainty,
        } = self.percent;
        Ok(rule.decide(value, standard_uncertainty, band))
    }

    /// Meaning of a verdict on a balance.
    pub const fn words(verdict: Verdict) -> &'static str {
        match verdict {
            Verdict::Pass => "the halves agree",
            Verdict::ConditionalPass => "the halves agree, but not beyond the uncertainty",
            Verdict::ConditionalFail => "the halves differ, but not beyond the uncertainty",
            Verdict::Fail => "the halves differ: compare their voltages, turns may be shorted",
            Verdict::Inconclusive => "the readings do not say whether the halves agree",
        }
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    use super::*;

    fn ohms(value: f64, uncertainty: f64) -> Measured {
        Measured::new(value, uncertainty).unwrap()
    }

    #[test]
    fn the_verdict_takes_the_uncertainty_into_account() {
        let verdict = |a, b, u| {
            balance(ohms(a, u), ohms(b, u))
                .verdict(HALVES_LIMIT_PERCENT, Rule::GuardBand)
                .unwrap()
        };
        assert_eq!(verdict(165.0, 180.0, 0.1), Verdict::Pass);
        assert_eq!(verdict(180.0, 165.0, 0.1), Verdict::Pass);
        assert_eq!(verdict(165.0, 180.0, 3.0), Verdict::ConditionalPass);
        assert_eq!(verdict(165.0, 183.0, 1.0), Verdict::ConditionalFail);
        assert_eq!(verdict(90.0, 180.0, 0.1), Verdict::Fail);
        assert!(
            balance(ohms(1.0, 0.0), ohms(1.0, 0.0))
                .verdict(0.0, Rule::Simple)
                .is_err()
        );
    }

    proptest! {
        #[test]
        fn it_is_symmetric(a in 0.1..1e4_f64, b in 0.1..1e4_f64, u in 0.0..1.0_f64, v in 0.0..1.0_f64) {
            let (one, other) = (balance(ohms(a, u), ohms(b, v)), balance(ohms(b, v), ohms(a, u)));
            assert_relative_eq!(one.percent.value, -other.percent.value, max_relative = 1e-12);
            assert_relative_eq!(
                one.percent.standard_uncertainty, other.percent.standard_uncertainty, max_relative = 1e-12
            );
            prop_assert_eq!(one.mean.value, other.mean.value);
            let judged = |balance: Balance| balance.verdict(10.0, Rule::GuardBand).unwrap();
            prop_assert_eq!(judged(one), judged(other));
        }

        #[test]
        fn the_unit_does_not_matter(a in 0.1..1e4_f64, b in 0.1..1e4_f64, factor in 1e-3..1e3_f64) {
            let one = balance(ohms(a, 0.0), ohms(b, 0.0));
            let scaled = balance(ohms(a * factor, 0.0), ohms(b * factor, 0.0));
            assert_relative_eq!(one.percent.value, scaled.percent.value, epsilon = 1e-9, max_relative = 1e-9);
        }
    }
}

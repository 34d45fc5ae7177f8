//! [`Rule`]: the decision rule, from a value and its uncertainty to one of four verdicts.

use std::str::FromStr;

use serde::{Deserialize, Serialize};
use strum::{Display, IntoStaticStr, VariantArray};

use super::verdict::Verdict;
use crate::engine::quantity::Band;

/// Rule by which the uncertainty of a measurement enters the decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[derive(Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "kebab-case")]
pub enum Rule {
    /// Guard band w = U = 2 u on both sides of each limit, four verdicts (ILAC-G8:09/2019, non-binary statement).
    #[default]
    GuardBand,
    /// Simple acceptance: w = 0, pass or fail (ILAC-G8:09/2019). The risk of a wrong verdict is shared, up to one in two.
    Simple,
}

words!(Rule: ALL, name);

impl Rule {
    /// Width of the guard band for a standard uncertainty, in its unit.
    pub fn guard(self, standard_uncertainty: f64) -> f64 {
        match self {
            Self::GuardBand => 2.0 * standard_uncertainty,
            Self::Simple => 0.0,
        }
    }

    /// The verdict on `value`; a value exactly on a limit counts as inside it.
    pub fn decide(self, value: f64, standard_uncertainty: f64, band: Band) -> Verdict {
        let guard = self.guard(standard_uncertainty);
        let within = |margin: f64| band.lower() - margin <= value && value <= band.upper() + margin;
        match self {
            _ if within(-guard) => Verdict::Pass,
            Self::GuardBand if within(0.0) => Verdict::ConditionalPass,
            Self::GuardBand if within(guard) => Verdict::ConditionalFail,
            _ => Verdict::Fail,
        }
    }
}

/// There is no decision rule of that name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("unknown decision rule `{found}`, expected `guard-band` or `simple`")]
pub struct UnknownRule {
    found: String,
}

impl FromStr for Rule {
    type Err = UnknownRule;

    fn from_str(text: &str) -> Result<Self, UnknownRule> {
        Self::ALL
            .into_iter()
            .find(|rule| rule.name() == text)
            .ok_or_else(|| UnknownRule {
                found: text.to_owned(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_on_a_limit_is_inside() {
        let band = Band::new(90.0, 110.0).unwrap();
        assert_eq!(Rule::Simple.decide(110.0, 1.0, band), Verdict::Pass);
        assert_eq!(Rule::GuardBand.decide(108.0, 1.0, band), Verdict::Pass);
        assert_eq!(
            Rule::GuardBand.decide(110.0, 1.0, band),
            Verdict::ConditionalPass
        );
        assert_eq!(
            Rule::GuardBand.decide(112.0, 1.0, band),
            Verdict::ConditionalFail
        );
    }

    #[test]
    fn a_band_narrower_than_its_guard_bands_has_no_plain_pass() {
        let band = Band::new(99.0, 101.0).unwrap();
        assert_eq!(
            Rule::GuardBand.decide(100.0, 1.0, band),
            Verdict::ConditionalPass
        );
    }

    #[test]
    fn names_parse_back() {
        for rule in Rule::ALL {
            assert_eq!(rule.name().parse(), Ok(rule));
        }
        assert!("strict".parse::<Rule>().is_err());
    }
}

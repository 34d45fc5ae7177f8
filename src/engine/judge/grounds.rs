//! [`Grounds`]: all that the verdict on a value follows from. A settled value and a row of the results give the same ones.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantArray};

use super::conformity::probability_of_conformity;
use super::in_circuit::weaken;
use super::rule::Rule;
use super::verdict::{Reason, Side, Verdict};
use crate::engine::impedance::Uncertain;
use crate::engine::parts::Step;
use crate::engine::probing::{ASSUMED_LEADS, Finding};
use crate::engine::quantity::{Band, Quantity};

/// Finding of a touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[derive(IntoStaticStr, VariantArray)]
#[strum(serialize_all = "lowercase")]
pub enum Found {
    /// Number that the readings settled to.
    Value,
    /// Nothing, although the probes are on the part.
    Open,
    /// More than the meter can show.
    #[serde(rename = "beyond range")]
    #[strum(serialize = "beyond range")]
    BeyondRange,
}

words!(Found: ALL, name, named);

impl From<Finding> for Found {
    fn from(finding: Finding) -> Self {
        match finding {
            Finding::Value(_) => Self::Value,
            Finding::Open => Self::Open,
            Finding::BeyondRange => Self::BeyondRange,
        }
    }
}

/// All that the verdict on a value follows from.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a fact of its own, and no two go together"
)]
pub struct Grounds {
    /// Measurement of the part.
    pub step: Step,
    /// The judged quantity.
    pub quantity: Quantity,
    /// Whether the part is still in circuit.
    pub in_circuit: bool,
    /// Finding of the touch.
    pub found: Found,
    /// Whether the voltage on the primary is known; counts for a secondary alone.
    pub is_fed: bool,
    /// Tells whether the reading, before every correction, is below zero.
    pub is_read_negative: bool,
    /// Whether leads that nobody measured are in the resistance of a part whose limit they could reach.
    pub with_leads: bool,
    /// The value after every correction, in the SI unit; `None` where there is none to be judged.
    pub value: Option<Uncertain>,
    pub band: Band,
    /// The decision rule.
    pub rule: Rule,
}

impl Grounds {
    /// The verdict on the value alone, and why.
    pub fn verdict(&self) -> (Verdict, Reason) {
        let Some(Uncertain { value, u }) = self.value else {
            return self.without_value();
        };
        let side = Side::of(value, self.band);
        if self.step == Step::Sweep {
            return self.swept(side);
        }
        if self.is_below_zero() {
            let reason = if self.is_read_negative {
                Reason::Negative
            } else {
                Reason::BelowZero
            };
            return (Verdict::Inconclusive, reason);
        }
        if self.step == Step::Between {
            return (Verdict::Inconclusive, Reason::BetweenPlaces);
        }
        let isolated = self.rule.decide(value, u, self.band);
        if self.with_leads && self.leads_could_decide(isolated, value, u) {
            return (Verdict::Inconclusive, Reason::LeadsMayDecide);
        }
        if self.step == Step::Own {
            return match isolated {
                Verdict::Pass | Verdict::ConditionalPass => (isolated, Reason::Value(side)),
                _ => (Verdict::Inconclusive, Reason::OwnOutside),
            };
        }
        if self.in_circuit {
            weaken(isolated, Uncertain::new(value, u), self.quantity, self.band)
        } else {
            (isolated, Reason::Value(side))
        }
    }

    /// Whether a resistance that is too large need not be so without the leads.
    fn leads_could_decide(&self, isolated: Verdict, value: f64, u: f64) -> bool {
        let is_good = |verdict| matches!(verdict, Verdict::Pass | Verdict::ConditionalPass);
        let without = self.rule.decide(value - ASSUMED_LEADS, u, self.band);
        !is_good(isolated) && without != Verdict::Fail
    }

    /// Whether the value is below zero by more than its expanded uncertainty U = 2 u, where no part has such a one: no limit
    /// says anything of it then.
    fn is_below_zero(&self) -> bool {
        let passive = matches!(
            self.quantity,
            Quantity::Resistance | Quantity::Capacitance | Quantity::Inductance
        );
        let below = |value: Uncertain| value.value + 2.0 * value.u < 0.0;
        passive && self.value.is_some_and(below)
    }

    /// A way of a wiper is no value within limits: what was covered of the track is enough, or proves nothing.
    const fn swept(&self, side: Side) -> (Verdict, Reason) {
        match (side, self.in_circuit) {
            (Side::Low, _) => (Verdict::Inconclusive, Reason::SweptTooLittle),
            (_, true) => (Verdict::ConditionalPass, Reason::ParallelPathMayHide),
            (_, false) => (Verdict::Pass, Reason::Smooth),
        }
    }

    fn without_value(&self) -> (Verdict, Reason) {
        let no_voltage = matches!(
            self.quantity,
            Quantity::Voltage | Quantity::AcVoltage | Quantity::Ratio
        );
        let unfed = match self.step {
            Step::Primary => true,
            Step::Secondary => !self.is_fed,
            _ => false,
        };
        match self.found {
            _ if self.step == Step::Between => (Verdict::Inconclusive, Reason::BetweenPlaces),
            _ if self.step == Step::Own => (Verdict::Inconclusive, Reason::OwnUnknown),
            Found::BeyondRange => (Verdict::Inconclusive, Reason::BeyondRange),
            Found::Open if unfed => (Verdict::Inconclusive, Reason::NoVoltage),
            Found::Open if no_voltage => (Verdict::Fail, Reason::NoVoltage),
            Found::Open => (Verdict::Fail, Reason::Open),
            Found::Value if self.step == Step::Sweep => {
                (Verdict::Inconclusive, Reason::SweptTooLittle)
            }
            Found::Value if no_voltage => (Verdict::Inconclusive, Reason::NoPrimary),
            Found::Value => (Verdict::Inconclusive, Reason::NegativeLoss),
        }
    }

    /// The value that is held against limits.
    fn held(&self) -> Option<Uncertain> {
        let held = !matches!(self.step, Step::Sweep | Step::Between) && !self.is_below_zero();
        self.value.filter(|_| held)
    }

    /// Width of the guard band, in the SI unit of the quantity; `None` where no value is held against limits.
    pub fn guard(&self) -> Option<f64> {
        Some(self.rule.guard(self.held()?.u))
    }

    /// Probability that the value lies within the limits, 0 to 1; `None` where no value is held against any.
    pub fn probability(&self) -> Option<f64> {
        let Uncertain { value, u } = self.held()?;
        Some(probability_of_conformity(value, u, self.band))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn nothing_below_zero_by_more_than_its_uncertainty_is_judged(
            value in -1e6..1e6_f64,
            u in 0.0..1e3_f64,
            upper in 1e-3..1e6_f64,
            (one_sided, in_circuit, read_negative, simple) in any::<(bool, bool, bool, bool)>(),
        ) {
            for quantity in [Quantity::Resistance, Quantity::Capacitance, Quantity::Inductance] {
                let band = if one_sided { Band::at_most(upper) } else { Band::new(upper / 2.0, upper) };
                let grounds = Grounds {
                    step: Step::Value,
                    quantity,
                    in_circuit,
                    found: Found::Value,
                    is_fed: false,
                    is_read_negative: read_negative,
                    with_leads: false,
                    value: Some(Uncertain::new(value, u)),
                    band: band.unwrap(),
                    rule: if simple { Rule::Simple } else { Rule::GuardBand },
                };
                let (verdict, reason) = grounds.verdict();
                let told = matches!(reason, Reason::Negative | Reason::BelowZero);
                prop_assert_eq!(told, value + 2.0 * u < 0.0);
                if told {
                    prop_assert_eq!(verdict, Verdict::Inconclusive);
                    prop_assert_eq!(grounds.probability(), None);
                    prop_assert_eq!(reason == Reason::Negative, read_negative);
                }
            }
        }
    }
}

//! [`DischargeStage`]: before any other work, each reservoir capacitor is seen discharged.
//!
//! A voltmeter goes across one after the other. Work on resistance and capacitance begins when each has read below the
//! limit (60 V), or when the person has said why it is safe without.

use super::refusal::Refusal;
use crate::engine::judge::discharge::DISCHARGED_VOLTS;
use crate::engine::probing::Finding;

/// Which capacitor is in hand, and what is known of each.
#[derive(Debug, Clone)]
pub(super) struct DischargeStage {
    places: Vec<usize>,
    /// Of each: whether its last reading was at or above the limit.
    charged: Vec<bool>,
    at: usize,
}

impl DischargeStage {
    /// The stage for the capacitors at these places of [`super::Plan::charged`]; `None` if there are none.
    pub(super) fn of(places: Vec<usize>) -> Option<Self> {
        let charged = vec![false; places.len()];
        (!places.is_empty()).then_some(Self {
            places,
            charged,
            at: 0,
        })
    }

    /// The place of the capacitor in hand.
    pub(super) fn in_hand(&self) -> usize {
        self.places[self.at]
    }

    /// Which of how many is in hand, counted from 1.
    pub(super) const fn progress(&self) -> (usize, usize) {
        (self.at + 1, self.places.len())
    }

    /// Takes in what was found across the capacitor in hand: the voltage, V, and whether it is low enough to go on; `None`
    /// where it is no voltage.
    pub(super) fn take(&mut self, finding: &Finding) -> Option<(f64, bool)> {
        let volts = match finding {
            Finding::Value(estimate) if estimate.value.is_finite() => estimate.value,
            // The meter shows next to nothing, and the person says that the probes are on the capacitor.
            Finding::Open => 0.0,
            Finding::Value(_) | Finding::BeyondRange => return None,
        };
        let discharged = volts.abs() < DISCHARGED_VOLTS;
        self.charged[self.at] = !discharged;
        Some((volts, discharged))
    }

    /// Goes on to the next capacitor; `false` if that was the last.
    pub(super) fn advance(&mut self) -> bool {
        self.at += 1;
        self.at < self.places.len()
    }

    /// The person goes on without. No reason makes a capacitor harmless that was just read as charged.
    pub(super) fn go_without(&self, reason: &str) -> Result<(), Refusal> {
        if reason.trim().is_empty() {
            return Err(Refusal::NoReason);
        }
        let charged = self.charged.contains(&true);
        (!charged).then_some(()).ok_or(Refusal::StillCharged)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::probing::Estimate;

    fn volts(value: f64) -> Finding {
        Finding::Value(Estimate::combine(value, 0.0, 0.0, 0.0))
    }

    #[test]
    fn the_limit_itself_is_not_below_it_whatever_the_sign() {
        let mut stage = DischargeStage::of(vec![3]).unwrap();
        assert_eq!(stage.take(&volts(-60.0)), Some((-60.0, false)));
        assert_eq!(stage.take(&volts(-59.9)), Some((-59.9, true)));
        assert_eq!(stage.take(&volts(f64::NAN)), None);
        assert_eq!(stage.take(&Finding::BeyondRange), None);
        assert!(DischargeStage::of(Vec::new()).is_none());
    }

    #[test]
    fn no_reason_makes_a_charged_capacitor_harmless() {
        let mut stage = DischargeStage::of(vec![0, 1]).unwrap();
        assert_eq!(stage.go_without("unpowered for a year"), Ok(()));
        assert_eq!(stage.go_without("  "), Err(Refusal::NoReason));
        stage.take(&volts(320.0));
        assert_eq!(stage.go_without("I know"), Err(Refusal::StillCharged));
        stage.take(&volts(12.0));
        assert_eq!(stage.go_without("I know"), Ok(()));
    }
}

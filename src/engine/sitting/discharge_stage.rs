//! [`DischargeStage`]: before any other work, each reservoir capacitor is seen discharged.
//!
//! A voltmeter goes across one after the other. Work on resistance and capacitance begins when each has read below what the
//! meter may be put on, or when the person has said of it why it is safe without.

use super::refusal::Refusal;
use crate::engine::probing::Finding;

/// The capacitor in hand, and the knowledge about each.
#[derive(Debug, Clone)]
pub(super) struct DischargeStage {
    capacitors: Vec<Capacitor>,
    at: usize,
    /// Each is to be below it, V.
    limit: f64,
    /// Voltage that a reading which looks like probes in the air may stand for, V; `None` if it tells nothing.
    unseen: Option<f64>,
}

/// One of them.
#[derive(Debug, Clone, Copy)]
struct Capacitor {
    /// Its place in [`super::Plan::charged`].
    place: usize,
    seen: Seen,
}

/// Knowledge about one capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    NotYet,
    /// Its last reading was at or above the limit.
    Charged,
    /// Seen below the limit, or the person goes on without.
    Done,
}

/// Capacitors that the person goes on without seeing discharged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Without {
    /// All that are left.
    All,
    /// The one at that place of [`super::Plan::charged`].
    One(usize),
}

impl DischargeStage {
    /// The stage for the capacitors at these places of [`super::Plan::charged`]; `None` if there are none.
    pub(super) fn of(places: &[usize], limit: f64, unseen: Option<f64>) -> Option<Self> {
        let seen = Seen::NotYet;
        let capacitor = |&place: &usize| Capacitor { place, seen };
        (!places.is_empty()).then(|| Self {
            capacitors: places.iter().map(capacitor).collect(),
            at: 0,
            limit,
            unseen,
        })
    }

    /// The place of the capacitor in hand.
    pub(super) fn in_hand(&self) -> usize {
        self.capacitors[self.at].place
    }

    /// Number of the one in hand, from 1, and of all.
    pub(super) const fn progress(&self) -> (usize, usize) {
        (self.at + 1, self.capacitors.len())
    }

    /// Limit of each, V.
    pub(super) const fn limit(&self) -> f64 {
        self.limit
    }

    /// The places of those that are still to be seen.
    pub(super) fn left(&self) -> impl Iterator<Item = usize> {
        let left = |one: &&Capacitor| one.seen != Seen::Done;
        self.capacitors.iter().filter(left).map(|one| one.place)
    }

    /// Takes in what was found across the capacitor in hand: the voltage, V, and whether it is low enough to go on; `None`
    /// where it is no voltage.
    pub(super) fn take(&mut self, finding: &Finding) -> Option<(f64, bool)> {
        let volts = match finding {
            Finding::Value(estimate) if estimate.value.is_finite() => estimate.value,
            // The meter shows next to nothing, and the person says that the probes are on the capacitor.
            Finding::Open => self
                .unseen
                .map(|most| if most < self.limit { 0.0 } else { most })?,
            Finding::Value(_) | Finding::BeyondRange => return None,
        };
        let discharged = volts.abs() < self.limit;
        self.capacitors[self.at].seen = if discharged {
            Seen::NotYet
        } else {
            Seen::Charged
        };
        Some((volts, discharged))
    }

    /// Done with the capacitor in hand, goes on to the next; `false` if that was the last.
    pub(super) fn advance(&mut self) -> bool {
        self.capacitors[self.at].seen = Seen::Done;
        let next = self
            .capacitors
            .iter()
            .position(|one| one.seen != Seen::Done);
        self.at = next.unwrap_or(self.at);
        next.is_some()
    }

    /// The person goes on without; whether another one comes in hand by that. No reason makes a capacitor harmless that was
    /// just read as charged.
    pub(super) fn go_without(&mut self, which: Without, reason: &str) -> Result<bool, Refusal> {
        if reason.trim().is_empty() {
            return Err(Refusal::NoReasonToOverride);
        }
        let meant = |one: &&mut Capacitor| {
            one.seen != Seen::Done
                && match which {
                    Without::All => true,
                    Without::One(place) => one.place == place,
                }
        };
        let mut meant: Vec<&mut Capacitor> = self.capacitors.iter_mut().filter(meant).collect();
        if meant.is_empty() {
            return Err(Refusal::NotHeldBack);
        }
        if meant.iter().any(|one| one.seen == Seen::Charged) {
            return Err(Refusal::StillCharged);
        }
        for one in &mut meant {
            one.seen = Seen::Done;
        }
        Ok(self.capacitors[self.at].seen == Seen::Done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::probing::Estimate;

    fn volts(value: f64) -> Finding {
        Finding::Value(Estimate::combine(value, 0.0, 0.0, 0.0))
    }

    fn stage(places: &[usize]) -> DischargeStage {
        DischargeStage::of(places, 2.0, Some(0.2)).unwrap()
    }

    #[test]
    fn the_limit_itself_is_not_below_it_whatever_the_sign() {
        let mut stage = stage(&[3]);
        assert_eq!(stage.take(&volts(-2.0)), Some((-2.0, false)));
        assert_eq!(stage.take(&volts(-1.9)), Some((-1.9, true)));
        assert_eq!(stage.take(&volts(f64::NAN)), None);
        assert_eq!(stage.take(&Finding::BeyondRange), None);
        assert!(DischargeStage::of(&[], 2.0, None).is_none());
    }

    #[test]
    fn next_to_nothing_proves_no_more_than_the_meter_can_tell_from_air() {
        assert_eq!(stage(&[0]).take(&Finding::Open), Some((0.0, true)));
        let taken = |unseen| {
            DischargeStage::of(&[0], 2.0, unseen).and_then(|mut stage| stage.take(&Finding::Open))
        };
        assert_eq!(taken(Some(5.0)), Some((5.0, false)));
        assert_eq!(taken(None), None);
    }

    #[test]
    fn no_reason_makes_a_charged_capacitor_harmless() {
        let all = Without::All;
        let mut stage = stage(&[0, 1]);
        let no_reason = Err(Refusal::NoReasonToOverride);
        assert_eq!(stage.go_without(all, "  "), no_reason);
        stage.take(&volts(320.0));
        let charged = Err(Refusal::StillCharged);
        assert_eq!(stage.go_without(all, "I know"), charged);
        assert_eq!(stage.go_without(Without::One(0), "I know"), charged);
        stage.take(&volts(12.0));
        assert_eq!(stage.go_without(Without::One(0), "I know"), charged);
        stage.take(&volts(1.2));
        assert_eq!(stage.go_without(all, "I know"), Ok(true));
    }

    #[test]
    fn each_is_gone_without_by_itself_and_the_others_stay() {
        let mut stage = stage(&[4, 5, 6]);
        assert_eq!(stage.go_without(Without::One(5), "removed"), Ok(false));
        assert_eq!(stage.left().collect::<Vec<_>>(), [4, 6]);
        let again = stage.go_without(Without::One(5), "removed");
        assert_eq!(again, Err(Refusal::NotHeldBack));
        assert!(stage.advance());
        assert_eq!((stage.in_hand(), stage.progress()), (6, (3, 3)));
        assert_eq!(stage.go_without(Without::One(6), "removed"), Ok(true));
        assert!(!stage.advance());
    }
}

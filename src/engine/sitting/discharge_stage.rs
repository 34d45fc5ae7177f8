//! [`DischargeStage`]: before any other work, each reservoir capacitor is seen discharged.
//!
//! A voltmeter goes across one after the other. Work on resistance and capacitance begins when each has read below the
//! limit (60 V), or when the person has said why it is safe without.

use super::event::Refusal;
use crate::engine::judge::discharge::{CapacitorState, DischargeCheck};
use crate::engine::parts::Part;
use crate::engine::probing::Finding;
use crate::engine::quantity::Stamp;

/// Which capacitor is in hand, and what is known of each.
#[derive(Debug, Clone)]
pub(super) struct DischargeStage {
    places: Vec<usize>,
    designators: Vec<String>,
    check: DischargeCheck,
    at: usize,
}

/// What a voltage across the capacitor in hand means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// Below the limit: the list may go on.
    Discharged,
    /// At or above it.
    Charged,
}

impl DischargeStage {
    /// The stage for the capacitors at these places of `capacitors`; `None` if there are none.
    pub(super) fn of(capacitors: &[Part], places: Vec<usize>) -> Option<Self> {
        let designators: Vec<String> = places
            .iter()
            .map(|place| capacitors[*place].designator.clone())
            .collect();
        let check = DischargeCheck::new(designators.iter().cloned());
        (!designators.is_empty()).then_some(Self {
            places,
            designators,
            check,
            at: 0,
        })
    }

    /// The place of the capacitor in hand.
    pub(super) fn in_hand(&self) -> usize {
        self.places[self.at]
    }

    /// Takes in what was found across the capacitor in hand; `None` where that is no voltage.
    pub(super) fn take(&mut self, finding: &Finding, at: Stamp) -> Option<(f64, Seen)> {
        let volts = match finding {
            Finding::Value(estimate) => estimate.value,
            // The meter shows next to nothing, and the person says that the probes are on the capacitor.
            Finding::Open => 0.0,
            Finding::BeyondRange => return None,
        };
        let state = self
            .check
            .read(&self.designators[self.at], volts, at)
            .ok()?;
        let seen = match state {
            CapacitorState::DownOnce { .. } | CapacitorState::Discharged => Seen::Discharged,
            CapacitorState::Charged { .. } | CapacitorState::Unread => Seen::Charged,
        };
        Some((volts, seen))
    }

    /// Goes on to the next capacitor; `false` if that was the last.
    pub(super) fn advance(&mut self) -> bool {
        self.at += 1;
        self.at < self.designators.len()
    }

    /// The person goes on without.
    pub(super) fn go_without(&mut self, reason: &str, at: Stamp) -> Result<(), Refusal> {
        self.check
            .override_rest(reason, at)
            .map_err(|_| Refusal::StillCharged)
    }
}

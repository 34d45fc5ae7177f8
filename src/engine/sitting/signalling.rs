//! [`Signalling`]: what the probes themselves say, while a part is in hand that allows it.

use super::plan::Plan;
use crate::engine::meter::Reading;
use crate::engine::parts::Part;
use crate::engine::probing::{Offered, Signal, Signals, Specification, possible_for};

/// Signals, and whether the touch that is going on may be one.
#[derive(Debug)]
pub(super) struct Signalling {
    signals: Signals,
    claimed: bool,
}

impl Signalling {
    pub(super) fn new() -> Self {
        Self {
            signals: Signals::new(),
            claimed: false,
        }
    }

    /// Something else is in hand: one of these parts, none where the probes say nothing; `leads` is the resistance of the leads, ohm,
    /// where it is known.
    pub(super) fn offer(&mut self, plan: &Plan, parts: &[&Part], leads: Option<f64>) {
        let each = parts.iter().map(|part| possible_for(part, leads));
        let all = each.reduce(|one, other| Offered {
            redo: one.redo && other.redo,
            skip: one.skip && other.skip,
        });
        let offered = all
            .filter(|_| plan.probe_signals())
            .unwrap_or(Offered::NONE);
        self.signals.offer(offered, leads);
    }

    /// Takes in a reading; `at_part` says whether it is one of the part in hand.
    pub(super) fn read(
        &mut self,
        plan: &Plan,
        at_part: bool,
        reading: &Reading,
        meter: &impl Specification,
    ) -> Option<Signal> {
        if !at_part || !plan.probe_signals() {
            self.claimed = false;
            return None;
        }
        let signal = self.signals.feed(reading, meter);
        if !meter.is_idle(reading.shown) {
            self.claimed = self.signals.claims();
        }
        signal
    }

    /// Whether the touch may be a signal, so that nothing of it is judged.
    pub(super) const fn claimed(&self) -> bool {
        self.claimed
    }

    pub(super) fn broken_off(&mut self) {
        self.signals.broken_off();
    }
}

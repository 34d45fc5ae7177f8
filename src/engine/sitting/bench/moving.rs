//! Order of the parts in hand, and consequences of a lift of the probes.

use super::{AfterLift, Bench};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::event::{Event, What};
use crate::engine::sitting::plan::Plan;

impl Bench {
    pub(super) fn after_lift(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        match std::mem::replace(&mut self.after_lift, AfterLift::Stay) {
            AfterLift::Stay => {}
            AfterLift::Resume => self.resume(plan, at, say),
            AfterLift::Advance => self.advance(plan, at, say),
        }
    }

    pub(super) fn advance(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        let held_back = self.held_back(plan);
        if let Some(stage) = self.discharge.as_mut().filter(|_| held_back) {
            if !stage.advance() {
                self.discharge = None;
            }
            self.announce(plan, at, say);
            return;
        }
        if self.place.is_some() {
            self.advance_at_place(plan, at, say);
            return;
        }
        let next = self
            .progress
            .in_hand()
            .and_then(|part| self.following(plan, part).first().copied());
        self.take(plan, at, next, say);
    }

    pub(super) fn take(
        &mut self,
        plan: &Plan,
        at: Stamp,
        part: Option<usize>,
        say: &mut impl FnMut(Event),
    ) {
        self.put_down(plan);
        self.place = None;
        self.progress.take(part);
        self.announce(plan, at, say);
    }

    /// Puts down what is in hand; what the probes touch counts for nothing until they are lifted.
    pub(super) fn put_down(&mut self, plan: &Plan) {
        self.after_lift = AfterLift::Stay;
        self.zeroing = None;
        self.leave_soak(plan);
        self.leave_sweep();
        self.probes.disregard();
    }

    /// Takes up again what was in hand, or first looks at the open leads.
    fn resume(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        if self.zeroing.is_none() {
            self.announce(plan, at, say);
            return;
        }
        say(Event {
            at,
            what: What::AwaitingApart,
        });
        self.set_function(plan, at, Quantity::Capacitance, say);
    }
}

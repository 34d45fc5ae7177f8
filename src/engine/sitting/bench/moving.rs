//! Order of the parts in hand, and consequences of a lift of the probes.

use super::{AfterLift, Bench};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;

impl Bench {
    pub(super) fn after_lift(&mut self, now: &mut Moment<'_>) {
        match std::mem::replace(&mut self.after_lift, AfterLift::Stay) {
            AfterLift::Stay => {}
            AfterLift::Resume => self.resume(now),
            AfterLift::Advance => self.advance(now),
        }
    }

    pub(super) fn advance(&mut self, now: &mut Moment<'_>) {
        let plan = now.plan;
        let held_back = self.held_back(plan);
        if let Some(stage) = self.discharge.as_mut().filter(|_| held_back) {
            if !stage.advance() {
                self.discharge = None;
            }
            self.announce(now);
            return;
        }
        if self.place.is_some() {
            self.advance_at_place(now);
            return;
        }
        let next = self
            .progress
            .in_hand()
            .and_then(|part| self.following(plan, part).first().copied());
        self.take(now, next);
    }

    pub(super) fn take(&mut self, now: &mut Moment<'_>, part: Option<usize>) {
        self.put_down(now.plan);
        self.place = None;
        self.progress.take(part);
        self.announce(now);
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
    fn resume(&mut self, now: &mut Moment<'_>) {
        if self.zeroing.is_none() {
            self.announce(now);
            return;
        }
        now.say(What::AwaitingApart);
        self.set_function(now, Quantity::Capacitance);
    }
}

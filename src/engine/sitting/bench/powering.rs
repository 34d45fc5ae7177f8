//! Power: a test point is measured with it, everything else without.

use super::{Bench, Task};
use crate::engine::sitting::entry::Entry;
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;

impl Bench {
    /// Whether a test point is in hand, and nobody has said yet that the power is on.
    pub(super) fn waits_for_power(&self, plan: &Plan) -> bool {
        self.at_point(plan) && !self.powered && !plan.is_of_earlier_edition()
    }

    /// Says that power comes on now, with the meter already set to what is to be read.
    pub(super) fn ask_for_power(&mut self, now: &mut Moment<'_>) {
        let plan = now.plan;
        let Some(entry) = self.progress.in_hand() else {
            return;
        };
        let what = What::ToPower {
            entry: Box::new(Entry::of(plan, entry)),
            next: self.next(plan, entry),
        };
        now.say(what);
        self.set_function(now, plan.parts()[entry].measured());
    }

    /// The person says that the power is on.
    pub(super) fn power_on(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        if self.task(now.plan) != Some(Task::Power) {
            return Err(Refusal::NothingToPower);
        }
        self.powered = true;
        self.announce(now);
        Ok(())
    }

    /// Says that the power goes off where test points came before what is in hand.
    pub(super) fn tell_power_off(&mut self, now: &mut Moment<'_>) {
        if self.progress.in_hand().is_some() && std::mem::take(&mut self.powered) {
            let what = What::PowerOff;
            now.say(what);
        }
    }
}

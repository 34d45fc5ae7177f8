//! Power: a test point is measured with it, everything else without.

use super::{Bench, Task};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::entry::Entry;
use crate::engine::sitting::event::{Event, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;

impl Bench {
    /// Whether a test point is in hand, and nobody has said yet that the power is on.
    pub(super) fn waits_for_power(&self, plan: &Plan) -> bool {
        self.at_point(plan) && !self.powered && !plan.is_of_earlier_edition()
    }

    /// Says that power comes on now, with the meter already set to what is to be read.
    pub(super) fn ask_for_power(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        let Some(entry) = self.progress.in_hand() else {
            return;
        };
        let what = What::ToPower {
            entry: Box::new(Entry::of(plan, entry)),
            next: self.next(plan, entry),
        };
        say(Event { at, what });
        self.set_function(plan, at, plan.parts()[entry].measured(), say);
    }

    /// The person says that the power is on.
    pub(super) fn power_on(
        &mut self,
        plan: &Plan,
        at: Stamp,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        if self.task(plan) != Some(Task::Power) {
            return Err(Refusal::NothingToPower);
        }
        self.powered = true;
        self.announce(plan, at, say);
        Ok(())
    }

    /// Says that the power goes off where test points came before what is in hand.
    pub(super) fn tell_power_off(&mut self, at: Stamp, say: &mut impl FnMut(Event)) {
        if self.progress.in_hand().is_some() && std::mem::take(&mut self.powered) {
            let what = What::PowerOff;
            say(Event { at, what });
        }
    }
}

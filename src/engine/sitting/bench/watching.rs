//! Watching on: probes that stay on a part whose value was said, and what becomes of it where the value settles elsewhere.

use super::{Bench, Task};
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::Stamp;
use crate::engine::sitting::event::{Event, What};
use crate::engine::sitting::plan::Plan;

impl Bench {
    /// Takes in what settled in a touch that had its value already.
    pub(super) fn settle_anew(
        &mut self,
        plan: &Plan,
        at: Stamp,
        task: Task,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        if self.grip.is_again() || plan.is_of_earlier_edition() {
            return;
        }
        match task {
            Task::Discharge => self.see_changed(plan, at, &settled.finding, say),
            Task::Part => self.judge_anew(plan, at, settled, say),
            Task::Place => {
                let place = self.place.as_mut();
                if place.is_some_and(|place| place.give_up(settled.contact)) {
                    self.settle_at_place(plan, at, settled, say);
                } else {
                    self.judge_anew(plan, at, settled, say);
                }
            }
            Task::Zero | Task::Soak | Task::Sweep | Task::Power => {}
        }
    }

    /// The part judged in this touch gets a row which takes the one before back.
    fn judge_anew(
        &mut self,
        plan: &Plan,
        at: Stamp,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        let of_touch = |(_, before): &(u32, SettledValue)| before.contact == settled.contact;
        let (Some(entry), Some((row, before))) = (self.remarked, self.value.filter(of_touch))
        else {
            return;
        };
        let (decided, reason) = self.decided_on(row);
        let before = match before.finding {
            Finding::Value(estimate) => Some(estimate.value),
            Finding::Open | Finding::BeyondRange => None,
        };
        let what = What::SettledAnew {
            title: plan.parts()[entry].title(),
            quantity: settled.quantity,
            before,
            decided,
            reason,
        };
        say(Event { at, what });
        self.judge_on(plan, at, entry, settled, vec![row], say);
        self.grip.moved(entry, settled);
    }
}

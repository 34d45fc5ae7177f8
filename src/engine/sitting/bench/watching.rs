//! Watching on: probes that stay on a part whose value was said, and what becomes of it where the value settles elsewhere.

use super::{Bench, Task};
use crate::engine::probing::SettledValue;
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;

impl Bench {
    /// Takes in what settled in a touch that had its value already.
    pub(super) fn settle_anew(&mut self, now: &mut Moment<'_>, task: Task, settled: SettledValue) {
        if self.grip.is_again() || now.plan.is_of_earlier_edition() {
            return;
        }
        match task {
            Task::Discharge => self.see_changed(now, &settled.finding),
            Task::Part => self.judge_anew(now, settled),
            Task::Place => {
                let place = self.place.as_mut();
                if place.is_some_and(|place| place.give_up(settled.contact)) {
                    self.settle_at_place(now, settled);
                } else {
                    self.judge_anew(now, settled);
                }
            }
            Task::Zero | Task::Soak | Task::Sweep | Task::Power => {}
        }
    }

    /// The part judged in this touch gets a row which takes the one before back.
    fn judge_anew(&mut self, now: &mut Moment<'_>, settled: SettledValue) {
        let of_touch = |(_, before): &(u32, SettledValue)| before.contact == settled.contact;
        let (Some(entry), Some((row, before))) = (self.remarked, self.value.filter(of_touch))
        else {
            return;
        };
        let (choice, reason) = self.decided_on(row);
        let what = What::SettledAnew {
            title: now.plan.parts()[entry].title(),
            quantity: settled.quantity,
            before: before.finding.estimate().map(|estimate| estimate.value),
            choice,
            reason,
        };
        now.say(what);
        self.judge_on(now, entry, settled, vec![row]);
        self.grip.moved(entry, settled);
    }
}

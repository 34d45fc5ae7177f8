//! A settled value becomes a record of the part in hand.

use super::{AfterLift, Bench};
use crate::engine::impedance::Uncertain;
use crate::engine::judge::{Beside, judge};
use crate::engine::parts::Step;
use crate::engine::probing::SettledValue;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::event::{Event, Record, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::soak_stage::SoakStage;

impl Bench {
    pub(super) fn judge(
        &mut self,
        plan: &Plan,
        at: Stamp,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        let Some(part) = self.progress.in_hand() else {
            return;
        };
        // What leads add is known of those that were looked at.
        let used = plan.meter_for(settled.quantity);
        let with_meter_for = |quantity| plan.meter_for(quantity) == used;
        let beside = Beside {
            leads: self.leads.filter(|_| with_meter_for(Quantity::Resistance)),
            residuals: self
                .residuals
                .filter(|_| with_meter_for(Quantity::Capacitance)),
            soaked: self.soak.as_ref().and_then(SoakStage::soaked),
            track: self.found.track(plan, part),
            sweep: self.swept.as_ref(),
            makes: self.found.makes(plan, part),
            primary: self.primary_of(plan, part),
            ..plan.beside(&settled)
        };
        let judgement = judge(&plan.parts()[part], &settled, &beside, plan.conditions());
        self.found.note(part, &settled, &judgement);
        if plan.parts()[part].step == Step::Primary {
            self.primary = judgement.judged.map(|volts| (part, volts));
        }
        let attempt = self.progress.judged(part, judgement.verdict);
        self.after_lift = AfterLift::Advance;
        say(Event {
            at,
            what: What::Judged(Box::new(Record {
                part,
                attempt,
                settled,
                judgement,
            })),
        });
    }

    /// The voltage on the primary of the ratio that the entry belongs to, if it was found last of all.
    fn primary_of(&self, plan: &Plan, entry: usize) -> Option<Uncertain> {
        let head = plan.entries().heads()[entry];
        let own = self.primary.filter(|(primary, _)| *primary == head);
        own.map(|(_, volts)| volts)
    }
}

//! A settled value becomes a record of the part in hand.

use super::{AfterLift, Bench, Primary, discharging};
use crate::engine::judge::{Beside, Reason, judge};
use crate::engine::parts::Step;
use crate::engine::probing::SettledValue;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::event::{Event, Record, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::row::{Place, Row};
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
            primary: self.primary_of(plan, part).map(|primary| primary.volts),
            ..plan.beside(&settled)
        };
        let judgement = judge(&plan.parts()[part], &settled, &beside, plan.conditions());
        self.rows += 1;
        let place = Place {
            row: self.rows,
            time: plan.time_of_row(settled.at),
            sitting: plan.sitting().to_owned(),
            attempt: self.progress.judged(part, judgement.verdict),
            rests_on: self.rests_on(plan, part),
        };
        let row = Row::of(&plan.parts()[part], &settled, judgement, place);
        let reason = row.grounds().verdict().1;
        let below_zero = reason.is_below_zero();
        if !below_zero {
            self.found.note(part, &row, &settled);
        }
        if reason == Reason::Negative {
            self.discharge =
                discharging::stage(plan, &plan.may_be_charged().named(&row.designator));
        }
        if row.step == Step::Primary {
            self.primary = row.value.map(|volts| Primary {
                entry: part,
                row: row.row,
                volts,
            });
        }
        self.after_lift = if below_zero {
            AfterLift::Resume
        } else {
            AfterLift::Advance
        };
        self.last_verdict = Some(at);
        self.remarked = Some(part);
        say(Event {
            at,
            what: What::Judged(Box::new(Record { part, settled, row })),
        });
        self.tell_progress(at, say);
    }

    /// The rows whose numbers went into the judgement of the entry.
    fn rests_on(&self, plan: &Plan, entry: usize) -> Vec<u32> {
        match plan.parts()[entry].step {
            Step::Secondary => {
                let primary = self.primary_of(plan, entry);
                primary.map(|primary| primary.row).into_iter().collect()
            }
            _ => self.found.rests_on(plan, entry),
        }
    }

    /// The voltage on the primary of the ratio that the entry belongs to, if it was found last of all.
    fn primary_of(&self, plan: &Plan, entry: usize) -> Option<Primary> {
        let head = plan.entries().heads()[entry];
        self.primary.filter(|primary| primary.entry == head)
    }
}

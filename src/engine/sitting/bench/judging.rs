//! A settled value becomes a record of the part in hand.

use super::{AfterLift, Bench, Primary, discharging};
use crate::engine::judge::{Beside, Reason, judge};
use crate::engine::parts::Step;
use crate::engine::probing::SettledValue;
use crate::engine::quantity::Quantity;
use crate::engine::sitting::event::{Record, What};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::row::{Row, RowPosition};
use crate::engine::sitting::soak_stage::SoakStage;

impl Bench {
    pub(super) fn judge(&mut self, now: &mut Moment<'_>, settled: SettledValue) {
        if let Some(part) = self.progress.in_hand() {
            self.judge_on(now, part, settled, Vec::new());
        }
    }

    /// Judges what settled as a value of that entry; the row takes back those of `withdraws`.
    pub(super) fn judge_on(
        &mut self,
        now: &mut Moment<'_>,
        part: usize,
        settled: SettledValue,
        withdraws: Vec<u32>,
    ) {
        let plan = now.plan;
        for row in &withdraws {
            self.withdraw(*row);
        }
        let beside = self.beside(plan, part, &settled);
        let judged = self.part(plan, part);
        let mut judgement = judge(&judged, &settled, &beside, plan.conditions());
        judgement.checks.extend(self.lifted_beside(plan, &judged));
        self.rows += 1;
        let rests_on = self.rests_on(plan, part);
        let verdict = judgement.verdict;
        let place = RowPosition {
            row: self.rows,
            time: plan.time_of_row(settled.at),
            sitting: plan.sitting().to_owned(),
            attempt: self.progress.judged(part, self.rows, &rests_on, verdict),
            rests_on,
            withdraws,
        };
        let row = Row::of(&judged, &settled, judgement, place);
        let reason = row.grounds().verdict().1;
        let below_zero = reason.is_below_zero();
        let like = self.likeness_of(plan, part, &settled, &row);
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
        self.last_verdict = Some(now.at);
        self.remarked = Some(part);
        self.value = Some((row.row, settled));
        if let Some(place) = &mut self.place {
            place.note(part, &row, settled);
        }
        let title = row.title();
        now.say(What::Judged(Box::new(Record { part, settled, row })));
        self.tell_likeness(now, title, like);
        if !below_zero {
            self.find_own_values(now, part, settled);
        }
        self.tell_progress(now);
    }

    /// Further knowledge where that is judged.
    pub(super) fn beside<'a>(
        &'a self,
        plan: &Plan,
        part: usize,
        settled: &SettledValue,
    ) -> Beside<'a> {
        // Additions of leads are known of those that were looked at.
        let used = plan.meter_for(settled.quantity);
        let with_meter_for = |quantity| plan.meter_for(quantity) == used;
        Beside {
            leads: self.leads.filter(|_| with_meter_for(Quantity::Resistance)),
            residuals: self
                .residuals
                .filter(|_| with_meter_for(Quantity::Capacitance)),
            soaked: self.soak.as_ref().and_then(SoakStage::soaked),
            track: self.found.track(plan, part),
            sweep: self.swept.as_ref(),
            makes: self.found.makes(plan, part),
            primary: self.primary_of(plan, part).map(|primary| primary.volts),
            ..plan.beside(settled)
        }
    }

    /// Takes a row back, and whatever rests on it.
    pub(super) fn withdraw(&mut self, row: u32) {
        let fallen = self.progress.withdraw(row);
        self.found.withdraw(&fallen);
        self.in_circuit.withdraw(&fallen);
        self.primary = self
            .primary
            .filter(|primary| !fallen.contains(&primary.row));
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

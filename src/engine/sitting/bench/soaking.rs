//! A leakage in hand: from the voltage that is applied to the current that is judged.

use super::{Bench, Task, discharging, read_after_s};
use crate::engine::judge::capacitor::SOAK_CAUTIONS;
use crate::engine::meter::Reading;
use crate::engine::probing::Specification;
use crate::engine::sitting::event::{Soaking, What};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::soak_stage::Told;

impl Bench {
    pub(super) fn begin_soak(
        &mut self,
        now: &mut Moment<'_>,
        volts: Option<f64>,
    ) -> Result<(), Refusal> {
        let plan = now.plan;
        let in_hand = (self.task(plan) == Some(Task::Soak)).then_some(self.progress.in_hand());
        let heeded = self.has_heeded(plan);
        match (in_hand.flatten(), &mut self.soak) {
            (Some(_), Some(_)) if !heeded => Err(Refusal::HeedFirst),
            (Some(part), Some(soak)) => {
                let volts = soak.begin(now.at, volts, heeded);
                let what = begun(plan, part, volts);
                now.say(what);
                Ok(())
            }
            _ => Err(Refusal::NothingToSoak),
        }
    }

    /// Whether voltage may be applied: every caution was agreed to in this sitting.
    fn has_heeded(&self, plan: &Plan) -> bool {
        !plan.asks_to_heed() || self.heeded >= SOAK_CAUTIONS.len()
    }

    /// Says the caution that is to be agreed to next, if one is.
    pub(super) fn caution(&self, now: &mut Moment<'_>) {
        let next = SOAK_CAUTIONS.get(self.heeded);
        if let Some(text) = next.filter(|_| now.plan.asks_to_heed()) {
            let what = What::SoakCaution {
                number: self.heeded + 1,
                of: SOAK_CAUTIONS.len(),
                text: (*text).to_owned(),
            };
            now.say(what);
        }
    }

    /// The person agrees to the caution that is shown.
    pub(super) fn heed(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        let plan = now.plan;
        if self.task(plan) != Some(Task::Soak) || self.has_heeded(plan) {
            return Err(Refusal::NothingToHeed);
        }
        self.heeded += 1;
        if self.has_heeded(plan) {
            now.say(What::Heeded);
        }
        self.caution(now);
        Ok(())
    }

    /// Takes in a reading of the current for the leakage in hand.
    pub(super) fn soak(
        &mut self,
        now: &mut Moment<'_>,
        reading: &Reading,
        meter: &impl Specification,
    ) {
        let plan = now.plan;
        let heeded = self.has_heeded(plan);
        let (Some(soak), Some(part)) = (&mut self.soak, self.progress.in_hand()) else {
            return;
        };
        let what = match soak.read(reading, meter, heeded) {
            None => return,
            Some(Told::Begun { heeded }) => {
                let volts = soak.soaked().map_or(0.0, |soaked| soaked.volts);
                let what = begun(plan, part, volts);
                now.say(what);
                if heeded {
                    return;
                }
                What::Unheeded {
                    title: plan.parts()[part].title(),
                }
            }
            Some(Told::Report(report)) => {
                What::Soaking(Box::new(Soaking::of(plan.parts()[part].title(), &report)))
            }
            Some(Told::Missed) => What::SoakMissed {
                title: plan.parts()[part].title(),
            },
            Some(Told::Given(settled)) => {
                self.grip.forget();
                self.judge(now, settled);
                self.after_lift(now);
                return;
            }
        };
        now.say(what);
    }

    /// Leaves a leakage; what stood under voltage is charged, and must be seen discharged before anything else.
    pub(super) fn leave_soak(&mut self, plan: &Plan) {
        let charged = self.soak.take().is_some_and(|soak| soak.applied());
        if let Some(part) = self.progress.in_hand().filter(|_| charged) {
            let designator = &plan.parts()[part].designator;
            let places = plan.may_be_charged().named(designator);
            self.discharge = discharging::stage(plan, &places);
        }
    }
}

/// Voltage is on the entry from now.
fn begun(plan: &Plan, entry: usize, volts: f64) -> What {
    What::SoakBegun {
        title: plan.parts()[entry].title(),
        volts,
        read_after_s: plan.leakage(entry).map_or(0.0, read_after_s),
    }
}

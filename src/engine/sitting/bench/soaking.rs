//! A leakage in hand: from the voltage that is applied to the current that is judged.

use super::{Bench, Task};
use crate::engine::meter::Reading;
use crate::engine::probing::Specification;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::discharge_stage::DischargeStage;
use crate::engine::sitting::event::{Event, Refusal, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::soak_stage::Soaking;

impl Bench {
    pub(super) fn begin_soak(
        &mut self,
        plan: &Plan,
        at: Stamp,
        volts: Option<f64>,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let in_hand = (self.task(plan) == Some(Task::Soak)).then_some(self.progress.in_hand());
        match (in_hand.flatten(), &mut self.soak) {
            (Some(part), Some(soak)) => {
                let volts = soak.begin(at, volts);
                say(Event {
                    at,
                    what: What::SoakBegun { part, volts },
                });
                Ok(())
            }
            _ => Err(Refusal::NothingToSoak),
        }
    }

    /// What a reading of the current means for the leakage in hand.
    pub(super) fn soak(
        &mut self,
        plan: &Plan,
        reading: &Reading,
        meter: &impl Specification,
        say: &mut impl FnMut(Event),
    ) {
        let (Some(soak), Some(part)) = (&mut self.soak, self.progress.in_hand()) else {
            return;
        };
        let at = reading.at;
        let what = match soak.read(reading, meter) {
            None => return,
            Some(Soaking::Begun) => What::SoakBegun {
                part,
                volts: soak.soaked().map_or(0.0, |soaked| soaked.volts),
            },
            Some(Soaking::Told(report)) => What::Soaking { part, report },
            Some(Soaking::Missed) => What::SoakMissed(part),
            Some(Soaking::Given(settled)) => {
                self.judge(plan, at, settled, say);
                self.after_lift(plan, at, say);
                return;
            }
        };
        say(Event { at, what });
    }

    /// Leaves a leakage; what stood under voltage is charged, and must be seen discharged before anything else.
    pub(super) fn leave_soak(&mut self, plan: &Plan) {
        let charged = self.soak.take().is_some_and(|soak| soak.applied());
        if let Some(part) = self.progress.in_hand().filter(|_| charged) {
            let designator = &plan.parts()[part].designator;
            let places = plan.may_be_charged().named(designator);
            self.discharge = DischargeStage::of(places);
        }
    }
}

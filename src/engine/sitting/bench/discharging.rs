//! Capacitors that are to be seen discharged: what was read across one, and going on without.

use super::{AfterLift, Bench};
use crate::engine::probing::SettledValue;
use crate::engine::quantity::Stamp;
use crate::engine::sitting::event::{Event, What};
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::refusal::Refusal;

impl Bench {
    pub(super) fn see_discharged(
        &mut self,
        plan: &Plan,
        at: Stamp,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        let Some(stage) = &mut self.discharge else {
            return;
        };
        let capacitor = stage.in_hand();
        let Some((volts, discharged)) = stage.take(&settled.finding) else {
            return;
        };
        self.after_lift = if discharged {
            AfterLift::Advance
        } else {
            AfterLift::Stay
        };
        say(Event {
            at,
            what: What::AcrossCapacitor {
                title: plan.charged()[capacitor].title(),
                volts,
                discharged,
            },
        });
    }

    pub(super) fn go_without(
        &mut self,
        plan: &Plan,
        at: Stamp,
        reason: &str,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let held_back = self.held_back(plan);
        let stage = self
            .discharge
            .as_ref()
            .filter(|_| held_back)
            .ok_or(Refusal::NothingToOverride)?;
        stage.go_without(reason)?;
        self.discharge = None;
        self.after_lift = AfterLift::Stay;
        self.probes.disregard();
        say(Event {
            at,
            what: What::Overridden {
                reason: reason.to_owned(),
            },
        });
        self.announce(plan, at, say);
        Ok(())
    }
}

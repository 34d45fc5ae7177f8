//! The leads: their resistance with the probes on each other, and what they add when held apart.

use super::{AfterLift, Bench};
use crate::engine::impedance::Uncertain;
use crate::engine::meter::Reading;
use crate::engine::probing::{Finding, SettledValue, Specification};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::event::What;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::refusal::Refusal;
use crate::engine::sitting::soak_stage::SoakStage;
use crate::engine::sitting::zeroing::{Looked, OpenLook, Zeroing, tells_impedance};

/// The largest resistance that can be that of a pair of test leads, ohm (common practice, no source).
const LARGEST_LEADS: f64 = 5.0;

impl Bench {
    pub(super) fn begin_zero(&mut self, now: &mut Moment<'_>) -> Result<(), Refusal> {
        let plan = now.plan;
        if self.at_point(plan) {
            return Err(Refusal::UnderPower);
        }
        if self.held_back(plan) {
            self.zero_wanted = true;
            now.say(What::ZeroLater);
            return Ok(());
        }
        if self.soak.as_ref().is_some_and(SoakStage::applied) {
            return Err(Refusal::UnderVoltage);
        }
        if plan.meter_for(Quantity::Resistance).is_none() {
            return Err(Refusal::NoResistance);
        }
        self.after_lift = AfterLift::Stay;
        self.leave_sweep();
        self.probes.disregard();
        self.zeroing = Some(Zeroing::Short);
        now.say(What::AwaitingZero {
            meter: plan.meter_to_take(Quantity::Resistance),
        });
        self.set_function(now, Quantity::Resistance);
        Ok(())
    }

    pub(super) fn zero(&mut self, now: &mut Moment<'_>, settled: SettledValue) {
        self.after_lift = AfterLift::Resume;
        self.zeroing = None;
        let what = match settled.finding {
            Finding::Value(leads)
                if leads.value.abs() <= LARGEST_LEADS
                    && leads.value + 2.0 * leads.standard_uncertainty >= 0.0 =>
            {
                let found = Uncertain::new(leads.value, leads.standard_uncertainty);
                self.leads = Some(found);
                if tells_impedance(now.plan) {
                    self.zeroing = Some(Zeroing::Open(OpenLook::new(found)));
                }
                What::Zeroed {
                    ohms: leads.value,
                    uncertainty: leads.standard_uncertainty,
                }
            }
            _ => What::NotZeroed,
        };
        now.say(what);
    }

    /// Takes in a reading while the probes are held apart.
    pub(super) fn look_at_open(
        &mut self,
        now: &mut Moment<'_>,
        reading: &Reading,
        meter: &impl Specification,
    ) {
        let Some(Zeroing::Open(look)) = &mut self.zeroing else {
            return;
        };
        let Some(looked) = look.read(reading, meter, now.plan) else {
            return;
        };
        self.zeroing = None;
        let what = match looked {
            Looked::Found(residuals) => {
                self.residuals = Some(residuals);
                What::Fixture {
                    farads: residuals.stray_capacitance(),
                    ohms: residuals.series_resistance(),
                    hertz: residuals.frequency(),
                }
            }
            Looked::Nothing => What::NoFixture,
            Looked::Restless => What::NotZeroed,
        };
        now.say(what);
        self.announce(now);
    }
}

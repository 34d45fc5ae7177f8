//! The meter in use, its function, and the fate of the probes when another is taken.

use super::{Bench, of_meter};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::news::MeterNews;
use crate::engine::sitting::plan::Plan;

impl Bench {
    /// A meter and the function that it is to be set to, told once.
    pub(in crate::engine::sitting) fn take_wanted(&mut self) -> Option<(usize, Quantity)> {
        self.wanted.take()
    }

    /// The stream of readings of a meter broke off.
    pub(in crate::engine::sitting) fn broken_off(&mut self, meter: usize) {
        if meter != self.meter {
            return;
        }
        self.probes.broken_off();
        self.grip.broken_off();
        self.signalling.broken_off();
        if let Some(sweep) = &mut self.sweep {
            sweep.broken_off();
        }
    }

    /// Takes the meter for that quantity and sets it to it.
    pub(super) fn set_function(&mut self, now: &mut Moment<'_>, quantity: Quantity) {
        let plan = now.plan;
        self.turn_to(plan, quantity);
        self.tell_untold(now, quantity);
        if self.function == Some(quantity) {
            return;
        }
        self.probes.disregard();
        if plan.meter_for(quantity).is_some() {
            self.function = Some(quantity);
            self.wanted = Some((self.meter, quantity));
        } else {
            // Whatever the meter sends now is no reading of what is in hand.
            self.function = None;
            now.say(of_meter(
                plan,
                self.meter,
                MeterNews::CannotMeasure {
                    quantity,
                    in_profile: false,
                    discharge: self.held_back(plan),
                },
            ));
        }
    }

    /// Tells what the meter in use said while it was not, if that is news still.
    fn tell_untold(&mut self, now: &mut Moment<'_>, quantity: Quantity) {
        let meter = self.meter;
        let untold = self.untold[meter].take();
        let still = |news: &MeterNews| matches!(news, MeterNews::WrongQuantity { expected, .. } if *expected == quantity);
        if let Some(news) = untold.filter(still) {
            now.say(of_meter(now.plan, meter, news));
        }
    }

    /// Takes up the probes of the meter for that quantity. Nothing counts of what they did before; what they were left on
    /// counts for nothing until they are lifted from it.
    pub(super) fn turn_to(&mut self, plan: &Plan, quantity: Quantity) {
        let Some(meter) = plan
            .meter_for(quantity)
            .filter(|&meter| meter != self.meter)
        else {
            return;
        };
        self.probes.disregard();
        let taken_up = std::mem::take(&mut self.laid_down[meter]);
        self.laid_down[self.meter] = std::mem::replace(&mut self.probes, taken_up);
        self.signalling.broken_off();
        self.meter = meter;
        self.function = None;
    }
}

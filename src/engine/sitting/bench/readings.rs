//! Readings and other words of the meter, and their meaning for what is in hand.

use std::time::Duration;

use super::{Bench, Task, of_meter};
use crate::engine::meter::{Heard, Reading, Shown};
use crate::engine::parts::Title;
use crate::engine::probing::{
    Finding, OnFunction, Probed, SettledValue, Signal, Specification, Touch,
};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::command::Command;
use crate::engine::sitting::event::{Live, What};
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::news::MeterNews;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::zeroing::Zeroing;

/// Time for which nothing more is said of bytes that were passed over.
const MISSED_PAUSE: Duration = Duration::from_secs(10);

impl Bench {
    /// Takes in what a meter said. Readings of one that is not in use are passed over: its probes lie on the bench.
    pub(in crate::engine::sitting) fn hear(
        &mut self,
        now: &mut Moment<'_>,
        meter: usize,
        heard: &Heard<'_>,
    ) {
        let (plan, at) = (now.plan, now.at);
        let in_use = meter == self.meter;
        if let Heard::Reading(reading) = heard {
            self.garbage_said[meter] = false;
            self.untold[meter] = None;
            if in_use && self.function == Some(reading.quantity) {
                self.read(&mut now.of_reading(reading.at), reading);
            }
            return;
        }
        // Behind a gap the probes may be on something else.
        if matches!(heard, Heard::Silent | Heard::Missed { .. }) {
            self.broken_off(meter);
        }
        if matches!(heard, Heard::Missed { .. }) {
            let again = self.missed_said[meter].is_some_and(|said| at.since(said) < MISSED_PAUSE);
            if again {
                return;
            }
            self.missed_said[meter] = Some(at);
        }
        if in_use && matches!(heard, Heard::Refused { .. }) {
            // The next part of that quantity asks for it again.
            self.function = None;
        }
        let Some(news) = MeterNews::of(heard, self.held_back(plan)) else {
            return;
        };
        if !in_use && matches!(news, MeterNews::WrongQuantity { .. }) {
            self.untold[meter] = Some(news);
            return;
        }
        let garbage = matches!(news, MeterNews::NotUnderstood { .. });
        if !(garbage && std::mem::replace(&mut self.garbage_said[meter], garbage)) {
            now.say(of_meter(plan, meter, news));
        }
    }

    fn read(&mut self, now: &mut Moment<'_>, reading: &Reading) {
        let plan = now.plan;
        let meter = OnFunction {
            profile: plan.profile_of(self.meter),
            quantity: reading.quantity,
        };
        let task = self.task(plan);
        if task == Some(Task::Power) {
            self.tell_reading(now, reading);
            return;
        }
        if task == Some(Task::Soak) {
            self.tell_reading(now, reading);
            self.soak(now, reading, &meter);
            return;
        }
        if let Some(Zeroing::Open(_)) = self.zeroing
            && reading.quantity == Quantity::Capacitance
        {
            self.tell_reading(now, reading);
            self.look_at_open(now, reading, &meter);
            return;
        }
        let at_part = task == Some(Task::Part) || self.asks();
        if let Some(signal) = self.signalling.read(plan, at_part, reading, &meter) {
            self.obey(now, signal);
            return;
        }
        if task == Some(Task::Sweep) {
            self.sweep(now, reading, &meter);
            return;
        }
        let mut told = std::mem::take(&mut self.told);
        self.probes
            .feed(reading, &meter, |probed| told.push(probed));
        self.tell_reading(now, reading);
        if task == Some(Task::Discharge) {
            self.look_on(now, reading);
        }
        for probed in told.drain(..) {
            self.interpret(now, probed);
        }
        self.told = told;
        if reading.shown != Shown::NotANumber {
            self.grip.show(reading.at, meter.is_idle(reading.shown));
        }
    }

    pub(super) fn tell_reading(&self, now: &mut Moment<'_>, reading: &Reading) {
        let touching = match &self.sweep {
            Some(sweep) => sweep.touching(),
            None => self.probes.touching(),
        };
        now.say(What::Reading(Live::of(reading, touching)));
    }

    /// Takes in a change at the probes; nothing where nothing is in hand.
    fn interpret(&mut self, now: &mut Moment<'_>, probed: Probed) {
        let plan = now.plan;
        let Some(task) = self.task(plan) else { return };
        match (probed, self.progress.in_hand()) {
            (Probed::Contact, _) => {
                self.grip.touch(now.at);
                self.remarked = None;
                now.say(What::Contact);
            }
            (Probed::Settled(_) | Probed::SettledAnew(_), _) if self.signalling.claimed() => {}
            (Probed::Settled(settled), _) => self.settle(now, task, settled),
            (Probed::SettledAnew(settled), _) => self.settle_anew(now, task, settled),
            (Probed::Restless { value }, _) => {
                if let Some((title, quantity)) = self.touched(plan, task) {
                    let what = What::Restless {
                        title,
                        value,
                        quantity,
                    };
                    now.say(what);
                }
            }
            (Probed::Lifted(touch), part) => {
                let what = self.lifted(plan, task, part, touch);
                let settled_not = matches!(what, What::Unsettled { .. });
                now.say(what);
                if settled_not {
                    self.tell_progress(now);
                }
                self.after_lift(now);
            }
        }
    }

    fn lifted(&mut self, plan: &Plan, task: Task, part: Option<usize>, touch: Touch) -> What {
        let told = !touch.settled && !touch.brush && !self.signalling.claimed();
        let Some((title, _)) = self.touched(plan, task).filter(|_| told) else {
            return What::Lifted;
        };
        if let Some(part) = part {
            self.progress.unsettled(part);
        }
        What::Unsettled {
            title,
            lasted_s: touch.lifted.since(touch.contact).as_secs_f64(),
            readings: touch.readings,
        }
    }

    /// Title and quantity of the part that the probes are to be on; `None` where that is no part.
    fn touched(&self, plan: &Plan, task: Task) -> Option<(Title, Quantity)> {
        match (task, self.progress.in_hand(), &self.place) {
            (Task::Part, Some(part), _) => {
                let part = &plan.parts()[part];
                Some((part.title(), part.measured()))
            }
            (Task::Place, _, Some(place)) => Some((place.name().into(), place.quantity())),
            _ => None,
        }
    }

    fn settle(&mut self, now: &mut Moment<'_>, task: Task, settled: SettledValue) {
        if self.is_gripped_again(now, task, settled) {
            return;
        }
        self.tag(now, task, settled);
        if settled.finding == Finding::Open {
            // That the probes are lifted from something open cannot be seen: on at once.
            self.after_lift(now);
        }
    }

    /// Takes what settled for that task.
    pub(super) fn tag(&mut self, now: &mut Moment<'_>, task: Task, settled: SettledValue) {
        match task {
            Task::Part => self.judge(now, settled),
            Task::Discharge => self.see_discharged(now, &settled.finding),
            Task::Zero => self.zero(now, settled),
            Task::Place => self.settle_at_place(now, settled),
            // These are not found by a value that settles.
            Task::Soak | Task::Sweep | Task::Power => {}
        }
    }

    /// Does what the probes said.
    fn obey(&mut self, now: &mut Moment<'_>, signal: Signal) {
        now.say(What::Signalled { signal });
        let command = match signal {
            Signal::Redo if self.asks() => Command::Answer(1),
            Signal::Skip if self.asks() => Command::Answer(2),
            Signal::Redo => Command::Redo,
            Signal::Skip => Command::Skip,
        };
        let command = self.spelled_out(now.plan, &command);
        // A hold is still going on: it is no touch of the part that is now in hand.
        self.probes.disregard();
        self.follow(now, &command);
    }
}

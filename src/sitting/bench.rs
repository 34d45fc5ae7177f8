//! [`Bench`]: everything of a sitting but the conversation: the probes, what they are on, and what a settled value is for.

use super::command::Command;
use super::discharge_stage::{DischargeStage, Seen};
use super::event::{Event, MeterNews, Record, Refusal, What};
use super::found::Found;
use super::plan::Plan;
use super::progress::{Progress, Standing};
use super::signalling::Signalling;
use super::soak_stage::{SoakStage, Soaking};
use super::summary::Summary;
use super::zeroing::{Looked, OpenLook, Zeroing, tells_impedance};
use crate::impedance::{Residuals, Uncertain};
use crate::judge::{Beside, Verdict, judge};
use crate::meter::{Heard, Reading};
use crate::parts::{Kind, Part, Step};
use crate::probing::{
    Estimate, Finding, OnFunction, Probed, Probes, SettledValue, Signal, Specification, Sweep,
    SweepReport, Sweeping, Touch,
};
use crate::quantity::{Quantity, Stamp};

/// The largest resistance that can be that of a pair of test leads, ohm (common practice, no source).
const LARGEST_LEADS: f64 = 5.0;

/// What the next settled value is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Task {
    /// The part in hand.
    Part,
    /// The capacitor in hand of the discharge stage.
    Discharge,
    /// The resistance of the leads.
    Zero,
    /// The leakage in hand.
    Soak,
    /// The sweep in hand.
    Sweep,
}

/// What a lift of the probes leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum AfterLift {
    /// Nothing: the same again.
    Stay,
    /// The next part, or the next capacitor.
    Advance,
    /// The part in hand again, after something else came between.
    Resume,
}

/// The probes, the list, and what the next settled value and the next lift mean.
#[derive(Debug)]
pub(super) struct Bench {
    probes: Probes,
    progress: Progress,
    discharge: Option<DischargeStage>,
    zeroing: Option<Zeroing>,
    /// The leads are to be looked at once the discharge stage is over.
    zero_wanted: bool,
    signalling: Signalling,
    residuals: Option<Residuals>,
    soak: Option<SoakStage>,
    sweep: Option<Sweep>,
    /// What the sweep that is being judged has shown.
    swept: Option<SweepReport>,
    found: Found,
    leads: Option<Uncertain>,
    /// The entry with which a ratio begins, and the voltage that was found on its primary, V.
    primary: Option<(usize, Uncertain)>,
    function: Option<Quantity>,
    /// A function to set the meter to, once the conversation is free to be told.
    wanted: Option<Quantity>,
    after_lift: AfterLift,
    garbage_said: bool,
    ended: bool,
    told: Vec<Probed>,
}

impl Bench {
    pub(super) fn new(plan: &Plan) -> Self {
        Self {
            probes: Probes::new(),
            progress: Progress::new(plan.entries().heads()),
            discharge: before_work(plan),
            zeroing: None,
            zero_wanted: false,
            signalling: Signalling::new(),
            residuals: None,
            soak: None,
            sweep: None,
            swept: None,
            found: Found::new(plan.parts().len()),
            leads: None,
            primary: None,
            function: None,
            wanted: None,
            after_lift: AfterLift::Stay,
            garbage_said: false,
            ended: false,
            told: Vec::new(),
        }
    }

    pub(super) fn in_hand(&self) -> Option<usize> {
        self.progress.in_hand()
    }

    pub(super) fn standing(&self, part: usize) -> Standing {
        self.progress.standing(part)
    }

    pub(super) fn summary(&self) -> Summary {
        self.progress.summary()
    }

    pub(super) fn ended(&self) -> bool {
        self.ended
    }

    /// A function that the meter is to be set to, told once.
    pub(super) fn take_wanted(&mut self) -> Option<Quantity> {
        self.wanted.take()
    }

    /// The stream of readings broke off.
    pub(super) fn broken_off(&mut self) {
        self.probes.broken_off();
        self.signalling.broken_off();
        if let Some(sweep) = &mut self.sweep {
            sweep.broken_off();
        }
    }

    /// Says what is in hand and sets the function it needs.
    pub(super) fn announce(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        self.leave_sweep();
        if self.at_point(plan) {
            // Test points are measured under power: whatever was seen discharged may be charged again.
            self.discharge = before_work(plan);
        } else if let Some(stage) = &self.discharge {
            say(Event {
                at,
                what: What::ToDischarge(stage.in_hand()),
            });
            self.set_function(plan, at, Quantity::Voltage, say);
            return;
        }
        if std::mem::take(&mut self.zero_wanted) && self.begin_zero(plan, at, say).is_ok() {
            return;
        }
        let Some(part) = self.progress.in_hand() else {
            say(Event {
                at,
                what: What::NothingLeft,
            });
            return;
        };
        let leads = self.leads.map(|leads| leads.value);
        self.signalling
            .offer(plan, Some(&plan.parts()[part]), leads);
        let what = match plan.leakage(part) {
            None => {
                let track = self.found.to_sweep(plan, part);
                self.sweep = track.map(|track| Sweep::new(track, self.probes.touching()));
                What::InHand(part)
            }
            Some(test) => {
                self.soak = Some(SoakStage::new(test.clone(), plan.conditions().rule));
                What::ToSoak(part)
            }
        };
        say(Event { at, what });
        self.set_function(plan, at, plan.parts()[part].measured(), say);
    }

    fn set_function(
        &mut self,
        plan: &Plan,
        at: Stamp,
        quantity: Quantity,
        say: &mut impl FnMut(Event),
    ) {
        if self.function == Some(quantity) {
            return;
        }
        self.probes.disregard();
        if plan.profile().function(quantity).is_some() {
            self.function = Some(quantity);
            self.wanted = Some(quantity);
        } else {
            // Whatever the meter sends now is no reading of what is in hand.
            self.function = None;
            say(Event {
                at,
                what: What::Meter(MeterNews::CannotMeasure(quantity)),
            });
        }
    }

    /// Whether the part in hand is a test point, measured under power.
    fn at_point(&self, plan: &Plan) -> bool {
        let part = self.progress.in_hand().map(|part| &plan.parts()[part]);
        part.is_some_and(|part| part.kind == Kind::Point)
    }

    /// Whether work waits for capacitors to be seen discharged.
    fn held_back(&self, plan: &Plan) -> bool {
        self.discharge.is_some() && !self.at_point(plan)
    }

    fn task(&self, plan: &Plan) -> Option<Task> {
        if self.zeroing.is_some() {
            Some(Task::Zero)
        } else if self.held_back(plan) {
            Some(Task::Discharge)
        } else if self.soak.is_some() {
            Some(Task::Soak)
        } else if self.sweep.is_some() {
            Some(Task::Sweep)
        } else {
            self.progress.in_hand().map(|_| Task::Part)
        }
    }

    fn take(&mut self, plan: &Plan, at: Stamp, part: Option<usize>, say: &mut impl FnMut(Event)) {
        self.after_lift = AfterLift::Stay;
        self.zeroing = None;
        self.leave_soak(plan);
        self.leave_sweep();
        self.probes.disregard();
        self.progress.take(part);
        self.announce(plan, at, say);
    }

    /// Leaves a leakage; what stood under voltage is charged, and must be seen discharged before anything else.
    fn leave_soak(&mut self, plan: &Plan) {
        let charged = self.soak.take().is_some_and(|soak| soak.applied());
        if let Some(part) = self.progress.in_hand().filter(|_| charged) {
            let designator = &plan.parts()[part].designator;
            let places = plan.may_be_charged().named(designator);
            self.discharge = DischargeStage::of(plan.charged(), places);
        }
    }

    /// Leaves a sweep; probes that are still on its wiper count for nothing until they are lifted.
    fn leave_sweep(&mut self) {
        self.swept = None;
        if self.sweep.take().is_some_and(|sweep| sweep.touching()) {
            self.probes.left_on();
        }
    }

    /// Takes in what the meter said.
    pub(super) fn hear(
        &mut self,
        plan: &Plan,
        at: Stamp,
        heard: &Heard<'_>,
        say: &mut impl FnMut(Event),
    ) {
        if let Heard::Reading(reading) = heard {
            self.garbage_said = false;
            if self.function == Some(reading.quantity) {
                self.read(plan, reading, say);
            }
            return;
        }
        if matches!(heard, Heard::Silent { .. }) {
            self.broken_off();
        }
        if matches!(heard, Heard::Refused { .. }) {
            // The next part of that quantity asks for it again.
            self.function = None;
        }
        let Some(news) = MeterNews::of(heard) else {
            return;
        };
        let garbage = matches!(news, MeterNews::NotUnderstood(_));
        if !(garbage && std::mem::replace(&mut self.garbage_said, garbage)) {
            say(Event {
                at,
                what: What::Meter(news),
            });
        }
    }

    fn read(&mut self, plan: &Plan, reading: &Reading, say: &mut impl FnMut(Event)) {
        let meter = OnFunction {
            profile: plan.profile(),
            quantity: reading.quantity,
        };
        if self.task(plan) == Some(Task::Soak) {
            self.tell_reading(reading, say);
            self.soak(plan, reading, &meter, say);
            return;
        }
        if let Some(Zeroing::Open(_)) = self.zeroing
            && reading.quantity == Quantity::Capacitance
        {
            self.tell_reading(reading, say);
            self.look_at_open(plan, reading, &meter, say);
            return;
        }
        let at_part = self.task(plan) == Some(Task::Part);
        if let Some(signal) = self.signalling.read(plan, at_part, reading, &meter) {
            self.obey(plan, reading.at, signal, say);
            return;
        }
        if self.task(plan) == Some(Task::Sweep) {
            self.sweep(plan, reading, &meter, say);
            return;
        }
        let mut told = std::mem::take(&mut self.told);
        self.probes
            .feed(reading, &meter, |probed| told.push(probed));
        self.tell_reading(reading, say);
        for probed in told.drain(..) {
            self.interpret(plan, reading.at, probed, say);
        }
        self.told = told;
    }

    fn tell_reading(&self, reading: &Reading, say: &mut impl FnMut(Event)) {
        say(Event {
            at: reading.at,
            what: What::Reading {
                quantity: reading.quantity,
                shown: reading.shown,
                touching: match &self.sweep {
                    Some(sweep) => sweep.touching(),
                    None => self.probes.touching(),
                },
            },
        });
    }

    /// What a change at the probes means; nothing where nothing is in hand.
    fn interpret(&mut self, plan: &Plan, at: Stamp, probed: Probed, say: &mut impl FnMut(Event)) {
        let Some(task) = self.task(plan) else { return };
        match (probed, self.progress.in_hand()) {
            (Probed::Contact, _) => say(Event {
                at,
                what: What::Contact,
            }),
            (Probed::Settled(_), _) if self.signalling.claimed() => {}
            (Probed::Settled(settled), _) => self.settle(plan, at, task, settled, say),
            (Probed::Restless { value }, Some(part)) if task == Task::Part => {
                say(Event {
                    at,
                    what: What::Restless { part, value },
                });
            }
            (Probed::Restless { .. }, _) => {}
            (Probed::Lifted(touch), part) => {
                say(Event {
                    at,
                    what: self.lifted(task, part, touch),
                });
                self.after_lift(plan, at, say);
            }
        }
    }

    fn lifted(&mut self, task: Task, part: Option<usize>, touch: Touch) -> What {
        match part {
            Some(part)
                if task == Task::Part
                    && !touch.settled
                    && !touch.brush
                    && !self.signalling.claimed() =>
            {
                self.progress.unsettled(part);
                let seconds = touch.lifted.since(touch.contact).as_secs_f64();
                What::Unsettled {
                    part,
                    seconds,
                    readings: touch.readings,
                }
            }
            _ => What::Lifted,
        }
    }

    fn settle(
        &mut self,
        plan: &Plan,
        at: Stamp,
        task: Task,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        match task {
            Task::Part => self.judge(plan, at, settled, say),
            Task::Discharge => self.see_discharged(at, settled, say),
            Task::Zero => self.zero(plan, at, settled, say),
            // These are not found by a value that settles.
            Task::Soak | Task::Sweep => {}
        }
        if settled.finding == Finding::Open {
            // That the probes are lifted from something open cannot be seen: on at once.
            self.after_lift(plan, at, say);
        }
    }

    /// What a reading of the current means for the leakage in hand.
    fn soak(
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

    /// What a reading means for the sweep in hand.
    fn sweep(
        &mut self,
        plan: &Plan,
        reading: &Reading,
        meter: &impl Specification,
        say: &mut impl FnMut(Event),
    ) {
        let at = reading.at;
        let told = self
            .sweep
            .as_mut()
            .and_then(|sweep| sweep.feed(reading, meter));
        self.tell_reading(reading, say);
        let Some(told) = told else { return };
        let Some(settled) = settled_by(reading, &told) else {
            let what = match told {
                Sweeping::Begun => What::Contact,
                _ => What::Lifted,
            };
            say(Event { at, what });
            return;
        };
        if let Sweeping::Swept(report) = told {
            self.swept = Some(report);
        }
        self.judge(plan, at, settled, say);
        if settled.finding != Finding::Open {
            say(Event {
                at,
                what: What::Lifted,
            });
        }
        let part = self.progress.in_hand();
        let verdict = part.and_then(|part| self.progress.standing(part).verdict);
        if verdict == Some(Verdict::Inconclusive) {
            // Going on would take the rest of that wiper's way for the next part.
            self.after_lift = AfterLift::Resume;
        }
        self.after_lift(plan, at, say);
    }

    fn judge(
        &mut self,
        plan: &Plan,
        at: Stamp,
        settled: SettledValue,
        say: &mut impl FnMut(Event),
    ) {
        let Some(part) = self.progress.in_hand() else {
            return;
        };
        let beside = Beside {
            leads: self.leads,
            residuals: self.residuals,
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

    fn see_discharged(&mut self, at: Stamp, settled: SettledValue, say: &mut impl FnMut(Event)) {
        let Some(stage) = &mut self.discharge else {
            return;
        };
        let capacitor = stage.in_hand();
        let Some((volts, seen)) = stage.take(&settled.finding, at) else {
            return;
        };
        let discharged = seen == Seen::Discharged;
        self.after_lift = if discharged {
            AfterLift::Advance
        } else {
            AfterLift::Stay
        };
        say(Event {
            at,
            what: What::AcrossCapacitor {
                capacitor,
                volts,
                discharged,
            },
        });
    }

    fn zero(&mut self, plan: &Plan, at: Stamp, settled: SettledValue, say: &mut impl FnMut(Event)) {
        self.after_lift = AfterLift::Resume;
        self.zeroing = None;
        let what = match settled.finding {
            Finding::Value(leads) if leads.value.abs() <= LARGEST_LEADS => {
                let found = Uncertain::new(leads.value, leads.standard_uncertainty);
                self.leads = Some(found);
                if tells_impedance(plan) {
                    self.zeroing = Some(Zeroing::Open(OpenLook::new(found)));
                }
                What::Zeroed {
                    ohms: leads.value,
                    standard_uncertainty: leads.standard_uncertainty,
                }
            }
            _ => What::NotZeroed,
        };
        say(Event { at, what });
    }

    /// Takes up again what was in hand, or first looks at the open leads.
    fn resume(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        if self.zeroing.is_none() {
            self.announce(plan, at, say);
            return;
        }
        say(Event {
            at,
            what: What::AwaitingApart,
        });
        self.set_function(plan, at, Quantity::Capacitance, say);
    }

    /// What a reading says while the probes are held apart.
    fn look_at_open(
        &mut self,
        plan: &Plan,
        reading: &Reading,
        meter: &impl Specification,
        say: &mut impl FnMut(Event),
    ) {
        let Some(Zeroing::Open(look)) = &mut self.zeroing else {
            return;
        };
        let Some(looked) = look.read(reading, meter, plan) else {
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
        say(Event {
            at: reading.at,
            what,
        });
        self.announce(plan, reading.at, say);
    }

    /// Does what the probes said.
    fn obey(&mut self, plan: &Plan, at: Stamp, signal: Signal, say: &mut impl FnMut(Event)) {
        say(Event {
            at,
            what: What::Signalled(signal),
        });
        let command = match signal {
            Signal::Redo => Command::Redo,
            Signal::Skip => Command::Skip,
        };
        // A hold is still going on: it is no touch of the part that is now in hand.
        self.probes.disregard();
        self.follow(plan, at, &command, say);
    }

    fn after_lift(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        match std::mem::replace(&mut self.after_lift, AfterLift::Stay) {
            AfterLift::Stay => {}
            AfterLift::Resume => self.resume(plan, at, say),
            AfterLift::Advance => self.advance(plan, at, say),
        }
    }

    fn advance(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) {
        let held_back = self.held_back(plan);
        if let Some(stage) = self.discharge.as_mut().filter(|_| held_back) {
            if !stage.advance() {
                self.discharge = None;
            }
            self.announce(plan, at, say);
            return;
        }
        let next = self
            .progress
            .in_hand()
            .and_then(|part| self.progress.next_open(part));
        self.take(plan, at, next, say);
    }

    /// Follows a command of the person.
    pub(super) fn follow(
        &mut self,
        plan: &Plan,
        at: Stamp,
        command: &Command,
        say: &mut impl FnMut(Event),
    ) {
        let charged = self.soak.as_ref().is_some_and(SoakStage::applied);
        let moves = matches!(
            command,
            Command::Next | Command::Back | Command::Skip | Command::Redo | Command::Goto(_)
        );
        let done = match command {
            _ if moves && self.held_back(plan) => Err(Refusal::DischargeFirst),
            Command::Next => self.step(plan, at, true, say),
            Command::Back => self.step(plan, at, false, say),
            Command::Skip => self.skip(plan, at, say),
            Command::Redo => self.redo(plan, at, say),
            Command::Goto(designator) => self.go_to(plan, at, designator, say),
            Command::On => self.said_on(plan, at, say),
            Command::Zero => self.begin_zero(plan, at, say),
            Command::Soak(volts) => self.begin_soak(plan, at, *volts, say),
            Command::Override(reason) => self.go_without(plan, at, reason, say),
            Command::Note(text) => {
                let part = self.progress.in_hand().filter(|_| !self.held_back(plan));
                say(Event {
                    at,
                    what: What::Noted {
                        part,
                        text: text.clone(),
                    },
                });
                Ok(())
            }
            Command::End => {
                self.leave_soak(plan);
                if let Some(stage) = self.discharge.as_ref().filter(|_| charged) {
                    say(Event {
                        at,
                        what: What::ToDischarge(stage.in_hand()),
                    });
                }
                self.ended = true;
                say(Event {
                    at,
                    what: What::Ended(self.progress.summary()),
                });
                Ok(())
            }
        };
        if let Err(why) = done {
            say(Event {
                at,
                what: What::Refused {
                    command: command.clone(),
                    why,
                },
            });
        }
    }

    fn step(
        &mut self,
        plan: &Plan,
        at: Stamp,
        forward: bool,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let part = self.progress.neighbour(forward).ok_or(Refusal::EndOfList)?;
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn skip(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) -> Result<(), Refusal> {
        let part = self.progress.in_hand().ok_or(Refusal::NothingInHand)?;
        self.progress.skip(part);
        say(Event {
            at,
            what: What::Skipped(part),
        });
        self.advance(plan, at, say);
        Ok(())
    }

    fn redo(&mut self, plan: &Plan, at: Stamp, say: &mut impl FnMut(Event)) -> Result<(), Refusal> {
        let part = self.progress.last_judged().ok_or(Refusal::NothingToRedo)?;
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn go_to(
        &mut self,
        plan: &Plan,
        at: Stamp,
        designator: &str,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let parts = plan.parts();
        let place = |named: &dyn Fn(&Part) -> bool| parts.iter().position(named);
        let first = place(&|part| part.designator.eq_ignore_ascii_case(designator));
        let further = place(&|part| {
            part.step != Step::Value && part.title().eq_ignore_ascii_case(designator)
        });
        let part = match (first, further) {
            (_, Some(entry)) => entry,
            (Some(head), None) => self.progress.entry_of(head),
            (None, None) => return Err(Refusal::NoSuchPart),
        };
        self.take(plan, at, Some(part), say);
        Ok(())
    }

    fn said_on(
        &mut self,
        plan: &Plan,
        at: Stamp,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        if self.task(plan).ok_or(Refusal::NothingInHand)? == Task::Soak {
            return self.begin_soak(plan, at, None, say);
        }
        let needed = match &mut self.sweep {
            Some(sweep) => sweep.said_to_be_on(at),
            None => self.probes.said_to_be_on(at),
        };
        if !needed {
            return Err(Refusal::ContactSeen);
        }
        let stage = self.discharge.as_ref().filter(|_| self.held_back(plan));
        let what = match (stage, self.progress.in_hand()) {
            (None, Some(part)) => What::AwaitingOpen(part),
            (Some(stage), _) => What::ToDischarge(stage.in_hand()),
            (None, None) => return Err(Refusal::NothingInHand),
        };
        say(Event { at, what });
        Ok(())
    }

    fn begin_zero(
        &mut self,
        plan: &Plan,
        at: Stamp,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        if self.at_point(plan) {
            return Err(Refusal::UnderPower);
        }
        if self.held_back(plan) {
            self.zero_wanted = true;
            say(Event {
                at,
                what: What::ZeroLater,
            });
            return Ok(());
        }
        if self.soak.as_ref().is_some_and(SoakStage::applied) {
            return Err(Refusal::UnderVoltage);
        }
        if plan.profile().function(Quantity::Resistance).is_none() {
            return Err(Refusal::NoResistance);
        }
        self.after_lift = AfterLift::Stay;
        self.leave_sweep();
        self.probes.disregard();
        self.zeroing = Some(Zeroing::Short);
        say(Event {
            at,
            what: What::AwaitingZero,
        });
        self.set_function(plan, at, Quantity::Resistance, say);
        Ok(())
    }

    fn begin_soak(
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

    fn go_without(
        &mut self,
        plan: &Plan,
        at: Stamp,
        reason: &str,
        say: &mut impl FnMut(Event),
    ) -> Result<(), Refusal> {
        let held_back = self.held_back(plan);
        let stage = self
            .discharge
            .as_mut()
            .filter(|_| held_back)
            .ok_or(Refusal::NothingToOverride)?;
        stage.go_without(reason, at)?;
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

/// What a sweep yields in place of a settled value: what it covered, or that the wiper is open.
fn settled_by(reading: &Reading, told: &Sweeping) -> Option<SettledValue> {
    let (contact, readings, finding) = match told {
        Sweeping::Begun | Sweeping::Brush => return None,
        Sweeping::Open { said, readings } => (*said, *readings, Finding::Open),
        Sweeping::Swept(report) => {
            let covered = Estimate::combine(report.covered_ohms, 0.0, report.specification, 0.0);
            (report.contact, report.readings, Finding::Value(covered))
        }
    };
    Some(SettledValue {
        quantity: reading.quantity,
        contact,
        at: reading.at,
        readings,
        finding,
        second: None,
    })
}

/// The stage that comes before any work.
fn before_work(plan: &Plan) -> Option<DischargeStage> {
    DischargeStage::of(plan.charged(), plan.may_be_charged().before_work())
}

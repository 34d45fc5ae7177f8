//! [`Bench`]: everything of a sitting but the conversation: the probes, what they are on, and what a settled value is for.
//!
//! Here is what is in hand and how it is announced; each further file holds what the bench does about one subject.

mod commands;
mod discharging;
mod gripping;
mod in_circuit;
mod judging;
mod leads;
mod lifting;
mod meters;
mod moving;
mod placing;
mod powering;
mod readings;
mod soaking;
mod sweeping;
mod watching;
mod wrong_part;

use std::collections::BTreeMap;

use gripping::Grip;
use in_circuit::InCircuit;
use placing::AtPlace;
use wrong_part::DecidedOn;

use crate::engine::impedance::{Residuals, Uncertain};
use crate::engine::judge::LeakageTest;
use crate::engine::parts::Kind;
use crate::engine::probing::{Probed, Probes, SettledValue, Sweep, SweepReport};
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::discharge_stage::DischargeStage;
use crate::engine::sitting::entry::{Entry, Next};
use crate::engine::sitting::event::{Resolve, ToSoak, What};
use crate::engine::sitting::latest_values::LatestValues;
use crate::engine::sitting::moment::Moment;
use crate::engine::sitting::news::MeterNews;
use crate::engine::sitting::plan::Plan;
use crate::engine::sitting::progress::Progress;
use crate::engine::sitting::signalling::Signalling;
use crate::engine::sitting::soak_stage::SoakStage;
use crate::engine::sitting::summary::Summary;
use crate::engine::sitting::zeroing::Zeroing;

/// Most of the parts to come that are told with what is in hand.
const NEXT: usize = 3;

/// Purpose of the next settled value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Task {
    /// The part in hand.
    Part,
    /// The capacitor in hand of the discharge stage.
    Discharge,
    /// The word that the power is on.
    Power,
    /// The resistance of the leads.
    Zero,
    /// The leakage in hand.
    Soak,
    /// The sweep in hand.
    Sweep,
    /// One of the parts at the place in hand.
    Place,
}

/// Consequence of a lift of the probes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum AfterLift {
    /// Nothing: the same again.
    Stay,
    /// The next part, or the next capacitor.
    Advance,
    /// The part in hand again, after something else came between.
    Resume,
}

/// The voltage that was found on the primary of a ratio.
#[derive(Debug, Clone, Copy)]
struct Primary {
    /// The entry with which the ratio begins.
    entry: usize,
    /// The row that holds it.
    row: u32,
    /// Voltage of the test, V.
    volts: Uncertain,
}

/// The probes, the list, and what the next settled value and the next lift mean.
#[derive(Debug)]
pub(super) struct Bench {
    /// The meter in use, as an index into the meters of the plan.
    meter: usize,
    /// The probes of the meter in use.
    probes: Probes,
    /// Probes of the other meters, each in the place of its meter.
    laid_down: Vec<Probes>,
    progress: Progress,
    discharge: Option<DischargeStage>,
    /// The reading before, where it was above what the capacitor was seen below, V.
    risen: Option<f64>,
    place: Option<AtPlace>,
    /// The person said that the power is on, and nothing that is measured without it was in hand since.
    powered: bool,
    zeroing: Option<Zeroing>,
    /// The leads are to be looked at once the discharge stage is over.
    zero_wanted: bool,
    signalling: Signalling,
    residuals: Option<Residuals>,
    soak: Option<SoakStage>,
    /// Cautions before a voltage that were agreed to.
    heeded: usize,
    sweep: Option<Sweep>,
    /// Findings of the sweep that is being judged.
    swept: Option<SweepReport>,
    found: LatestValues,
    leads: Option<Uncertain>,
    /// Of the parts of which the person said it: whether a lead is lifted. Each is the entry that it begins with.
    lifted: BTreeMap<usize, bool>,
    /// Readings and findings where nothing is unsoldered.
    in_circuit: InCircuit,
    primary: Option<Primary>,
    /// Values that were judged.
    rows: u32,
    function: Option<Quantity>,
    /// A meter and the function to set it to, once its conversation is free to be told.
    wanted: Option<(usize, Quantity)>,
    after_lift: AfterLift,
    grip: Grip,
    /// The part judged last, until the probes touch the next: what a remark without a name is about.
    remarked: Option<usize>,
    /// The row judged last, and what settled.
    value: Option<(u32, SettledValue)>,
    /// The parts that the value judged last reads like.
    like: Vec<usize>,
    /// Decisions, each with the row that the part had then.
    decided: Vec<DecidedOn>,
    /// Of each meter that was not in use: what it said of another quantity than it is set to, still to be told.
    untold: Vec<Option<MeterNews>>,
    /// Of each meter: whether it was said that it sent something that is no reading.
    garbage_said: Vec<bool>,
    /// Of each meter: when it was last said that some of what it sent was passed over.
    missed_said: Vec<Option<Stamp>>,
    /// The decision that is being written down.
    deciding: Option<Resolve>,
    ended: bool,
    /// When something was first in hand.
    first_in_hand: Option<Stamp>,
    /// When a verdict was last given.
    last_verdict: Option<Stamp>,
    told: Vec<Probed>,
}

impl Bench {
    pub(super) fn new(plan: &Plan) -> Self {
        Self {
            meter: 0,
            probes: Probes::new(),
            laid_down: plan.meters().iter().map(|_| Probes::new()).collect(),
            progress: Progress::new(plan.entries().heads())
                .in_circuit(plan.entries().waiting_from()),
            discharge: before_work(plan),
            risen: None,
            powered: false,
            place: None,
            zeroing: None,
            zero_wanted: false,
            signalling: Signalling::new(),
            residuals: None,
            soak: None,
            heeded: 0,
            sweep: None,
            swept: None,
            found: LatestValues::new(plan.parts().len()),
            leads: None,
            lifted: BTreeMap::new(),
            in_circuit: InCircuit::default(),
            primary: None,
            rows: 0,
            function: None,
            wanted: None,
            after_lift: AfterLift::Stay,
            grip: Grip::default(),
            remarked: None,
            value: None,
            like: Vec::new(),
            decided: Vec::new(),
            untold: vec![None; plan.meters().len()],
            garbage_said: vec![false; plan.meters().len()],
            missed_said: vec![None; plan.meters().len()],
            deciding: None,
            ended: false,
            first_in_hand: None,
            last_verdict: None,
            told: Vec::new(),
        }
    }

    pub(super) fn in_hand(&self) -> Option<usize> {
        self.progress.in_hand()
    }

    pub(super) fn summary(&self) -> Summary {
        let times = self.first_in_hand.zip(self.last_verdict);
        let seconds = times.map(|(first, last)| last.since(first).as_secs_f64());
        self.progress.summary().taking(seconds)
    }

    /// Says how far the sitting is.
    fn tell_progress(&self, now: &mut Moment<'_>) {
        let what = What::Progress(Box::new(self.summary()));
        now.say(what);
    }

    pub(super) fn ended(&self) -> bool {
        self.ended
    }

    /// Says what is in hand and sets the function it needs.
    pub(super) fn announce(&mut self, now: &mut Moment<'_>) {
        let plan = now.plan;
        self.leave_sweep();
        if self.at_point(plan) {
            // Test points are measured under power: whatever was seen discharged may be charged again.
            self.discharge = before_work(plan);
            if self.waits_for_power(plan) {
                self.ask_for_power(now);
                return;
            }
        } else {
            self.tell_power_off(now);
            if let Some(stage) = &self.discharge {
                self.probes.expect(std::iter::empty());
                let what = to_discharge(plan, stage);
                now.say(what);
                self.set_function(now, Quantity::Voltage);
                return;
            }
        }
        if std::mem::take(&mut self.zero_wanted) && self.begin_zero(now).is_ok() {
            return;
        }
        if self.place.is_some() {
            self.announce_place(now);
            return;
        }
        let Some(part) = self.progress.in_hand() else {
            self.tell_leads(now);
            now.say(What::NothingLeft);
            return;
        };
        self.turn_to(plan, plan.parts()[part].measured());
        self.probes.expect(std::iter::once(&plan.parts()[part]));
        let leads = self.leads.map(|leads| leads.value);
        self.signalling.offer(plan, &[&plan.parts()[part]], leads);
        self.first_in_hand.get_or_insert(now.at);
        let entry = Entry {
            in_circuit: self.part(plan, part).in_circuit,
            ..Entry::of(plan, part)
        };
        let next = self.next(plan, part);
        let what = match plan.leakage(part) {
            None => {
                let track = self.found.to_sweep(plan, part);
                self.sweep = track.map(|track| Sweep::new(track, self.probes.touching()));
                What::InHand {
                    entry: Box::new(entry),
                    next,
                }
            }
            Some(test) => {
                self.soak = Some(SoakStage::new(test.clone(), plan.conditions().rule));
                What::ToSoak(Box::new(ToSoak {
                    entry,
                    next,
                    test: test.words(),
                    volts: test.volts,
                    read_after_s: read_after_s(test),
                }))
            }
        };
        now.say(what);
        if self.soak.is_some() {
            self.caution(now);
        }
        self.set_function(now, plan.parts()[part].measured());
    }

    /// Next entries after that one, at most three.
    fn next(&self, plan: &Plan, entry: usize) -> Vec<Next> {
        let following = self.following(plan, entry).into_iter().take(NEXT);
        following
            .map(|entry| Next::of(&plan.parts()[entry]))
            .collect()
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
        } else if self.waits_for_power(plan) {
            Some(Task::Power)
        } else if self.soak.is_some() {
            Some(Task::Soak)
        } else if self.sweep.is_some() {
            Some(Task::Sweep)
        } else if self.place.is_some() {
            Some(Task::Place)
        } else {
            self.progress.in_hand().map(|_| Task::Part)
        }
    }
}

/// A capacitor is to be seen discharged.
fn to_discharge(plan: &Plan, stage: &DischargeStage) -> What {
    What::ToDischarge {
        entry: Box::new(Entry::to_discharge(plan, stage.in_hand(), stage.progress())),
    }
}

/// News of the meter of that number.
fn of_meter(plan: &Plan, meter: usize, news: MeterNews) -> What {
    What::Meter {
        meter: plan.meter_name(meter).map(str::to_owned),
        news,
    }
}

/// When the current of that test is read, s after the voltage is on the part.
fn read_after_s(test: &LeakageTest) -> f64 {
    test.limit.read_after.duration().as_secs_f64()
}

/// The stage that comes before any work.
fn before_work(plan: &Plan) -> Option<DischargeStage> {
    discharging::stage(plan, &plan.may_be_charged().before_work())
}

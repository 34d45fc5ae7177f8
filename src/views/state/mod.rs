//! [`State`]: everything that a view shows at one moment. Board, socket and page all show the same one, and [`State::apply`] is
//! the one place where it is made.
//!
//! Whoever joins late gets the state as it is, and then every item from [`State::last_id`] + 1 on. Pure like the engine.

#[cfg(test)]
mod examples;
mod item;

pub use item::{Item, Trace, VERSION};

use chrono::SecondsFormat;
use serde::{Deserialize, Serialize};

use crate::engine::judge::Loops;
use crate::engine::quantity::{Quantity, Stamp};
use crate::engine::sitting::{
    Charge, Entry, Event, LinkNews, Live, MeterNews, Next, Plan, Record, Soaking, Summary, ToSoak,
    What,
};
use crate::views::told::Line;

/// How many verdicts are kept.
const LAST: usize = 10;

/// Everything that a view shows at one moment. It begins as [`State::begin`] and changes by [`State::apply`] alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Version of the vocabulary.
    pub version: u32,
    /// The last item that was applied; 0 before the first.
    pub last_id: u64,
    /// Time of that item, in microseconds since the sitting began.
    pub at_us: u64,
    /// The last item that was told to the person, by a line or a contact: what was said beside the sitting stands until the next.
    pub told_id: u64,
    /// Title of the job.
    pub title: String,
    /// When the sitting began by the wall clock, RFC 3339; empty before it did.
    pub began: String,
    /// The capacitors that may hold a charge when work begins.
    pub may_be_charged: Vec<Charge>,
    /// Those of which the voltmeter showed that they are discharged, until power comes on.
    #[serde(default)]
    pub seen_discharged: Vec<String>,
    /// Stage of the sitting.
    pub stage: Stage,
    /// The entry in hand; `None` where nothing is.
    pub in_hand: Option<Box<Entry>>,
    /// Next parts, at most three.
    pub next: Vec<Next>,
    /// The latest reading since something was taken in hand.
    pub reading: Option<Live>,
    /// The readings since contact.
    pub trace: Trace,
    /// The person says that the probes are on it; no reading from then on means open.
    pub said_on: bool,
    /// The probes have been on the part for a long time, and its value still moves.
    pub restless: bool,
    /// The verdict on what is in hand, once there is one.
    pub verdict: Option<Box<Record>>,
    /// Voltage across the capacitor in hand that is to be discharged.
    pub across: Option<Across>,
    /// The leakage in hand.
    pub soak: Option<Soak>,
    /// The last verdicts, the latest first, at most ten.
    pub last: Vec<Record>,
    /// The loops that were read in circuit; `None` before any was.
    #[serde(default)]
    pub loops: Option<Box<Loops>>,
    /// The item that told them; 0 before.
    #[serde(default)]
    pub loops_id: u64,
    /// The link to the meter; `None` before anything is known.
    pub link: Option<LinkNews>,
    /// The meter.
    pub meter: Meter,
    /// How far the sitting is.
    pub progress: Summary,
    /// The last words that none of the above tells; `None` once the probes touched something after it.
    pub said: Option<Said>,
}

/// Stage of the sitting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Nothing yet.
    #[default]
    Waiting,
    /// A part is in hand.
    Part,
    /// A capacitor is to be seen discharged.
    Discharge,
    /// A test point is in hand, and the word that the power is on is awaited.
    Power,
    /// A leakage is in hand.
    Soak,
    /// The resistance of the leads is awaited.
    Zero,
    /// The probes are to be held apart, so that the open leads can be looked at.
    Apart,
    /// No part is left.
    NothingLeft,
    /// The sitting is over.
    Ended,
}

/// Voltage across a capacitor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Across {
    /// The voltage, V.
    pub volts: f64,
    /// Whether it is low enough to go on.
    pub discharged: bool,
}

/// A leakage in hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Soak {
    /// Task, for people.
    pub test: String,
    /// The voltage, V: the one applied, or before that the one to be applied.
    pub volts: f64,
    /// When the current is read, s after the voltage is on the part.
    pub read_after_s: f64,
    /// The caution that is to be agreed to; `None` once all were.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// When the voltage was applied, in microseconds since the sitting began; `None` before that.
    pub applied_us: Option<u64>,
    /// The latest report.
    pub report: Option<Soaking>,
    /// No reading came at the time of the limit.
    pub missed: bool,
}

/// The meter that is the first of the sitting.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Meter {
    /// Its name, where there are several.
    pub name: Option<String>,
    /// Name of its profile.
    pub profile: String,
    /// Identification that it sent.
    pub identity: Option<String>,
    /// Trouble that lasts until it is mended.
    pub trouble: Option<Trouble>,
}

/// Trouble with a meter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Trouble {
    /// It.
    pub news: MeterNews,
    /// The same for people.
    pub words: String,
}

/// Something that was said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// It.
    #[serde(flatten)]
    pub line: Line,
    /// The time, in microseconds since the sitting began.
    pub at_us: u64,
}

impl Default for State {
    fn default() -> Self {
        Self {
            version: VERSION,
            last_id: 0,
            at_us: 0,
            told_id: 0,
            title: String::new(),
            began: String::new(),
            may_be_charged: Vec::new(),
            seen_discharged: Vec::new(),
            stage: Stage::default(),
            in_hand: None,
            next: Vec::new(),
            reading: None,
            trace: Trace::default(),
            said_on: false,
            restless: false,
            verdict: None,
            across: None,
            soak: None,
            last: Vec::new(),
            loops: None,
            loops_id: 0,
            link: None,
            meter: Meter::default(),
            progress: Summary::default(),
            said: None,
        }
    }
}

impl State {
    /// At the beginning of a sitting by that plan.
    pub fn begin(plan: &Plan) -> Self {
        let mut state = Self {
            title: plan.title().to_owned(),
            began: plan.begun().to_rfc3339_opts(SecondsFormat::Secs, false),
            ..Self::default()
        };
        state.meter.name = plan.meter_name(0).map(str::to_owned);
        plan.profile().name.clone_into(&mut state.meter.profile);
        state.progress.parts = plan.rows();
        state.progress.counts.not_reached = plan.rows();
        state
    }

    /// The value to be shown large: the settled one once there is a verdict, before that the latest reading. Probes in the air
    /// have a capacitance of their own, and show nothing of a charged capacitor.
    pub fn shown(&self) -> Option<(Quantity, f64)> {
        let judged = self.verdict.as_ref().map(|record| &record.row);
        let settled = judged.and_then(|row| Some((row.quantity, row.value?.value)));
        let charged = self.across.is_some_and(|across| !across.discharged);
        let live = self.reading.filter(|reading| {
            reading.touching || !charged && reading.quantity != Quantity::Capacitance
        });
        settled.or_else(|| live.and_then(|live| Some((live.quantity, live.value?))))
    }

    /// Whether the probes touch something.
    pub fn touching(&self) -> bool {
        self.reading.is_some_and(|reading| reading.touching)
    }

    /// The capacitors that may still hold a charge, the one in hand first.
    pub fn charged(&self) -> Vec<&str> {
        let in_hand = self.in_hand.as_ref().map(|entry| &entry.designator);
        let in_hand = in_hand.filter(|_| self.stage == Stage::Discharge);
        let others = self.may_be_charged.iter().map(|charge| &charge.designator);
        let others = others.filter(|one| Some(*one) != in_hand);
        in_hand
            .into_iter()
            .chain(others)
            .filter(|one| !self.seen_discharged.contains(one))
            .map(String::as_str)
            .collect()
    }

    /// The event as the next item.
    pub fn next_item(&self, event: &Event) -> Item {
        Item::of(self.last_id + 1, event)
    }

    /// Takes in the next item. One that it has already is passed over.
    pub fn apply(&mut self, item: &Item) {
        if item.id <= self.last_id {
            return;
        }
        let Item {
            id, event, line, ..
        } = item;
        self.last_id = *id;
        self.at_us = event.at.micros();
        if line.is_some() || event.what == What::Contact {
            self.told_id = *id;
        }
        let words = line.as_ref().map_or("", |line| &line.text);
        if self.change(event, words)
            && let Some(line) = line
        {
            self.said = Some(Said {
                line: line.clone(),
                at_us: self.at_us,
            });
        }
    }

    /// Changes the state by the event; whether its line says what nothing else in the state does.
    fn change(&mut self, event: &Event, words: &str) -> bool {
        match &event.what {
            What::MayBeCharged(charge) => self.may_be_charged.push(charge.clone()),
            What::InHand { entry, next } => {
                self.take(Stage::Part, Some(entry.clone()));
                self.next.clone_from(next);
            }
            What::AtPlace { entry, .. } => self.take(Stage::Part, Some(entry.clone())),
            What::Loops(loops) => {
                self.loops = Some(loops.clone());
                self.loops_id = self.last_id;
            }
            What::NothingLeft => self.take(Stage::NothingLeft, None),
            What::ToPower { entry, next } => {
                self.seen_discharged.clear();
                self.take(Stage::Power, Some(entry.clone()));
                self.next.clone_from(next);
            }
            What::ToDischarge { entry } => self.take(Stage::Discharge, Some(entry.clone())),
            What::AcrossCapacitor {
                title,
                volts,
                discharged,
                ..
            } => self.find_across(title, *volts, *discharged),
            What::ToSoak(soak) => self.take_to_soak(soak),
            What::SoakCaution { number, of, text } => {
                if let Some(soak) = &mut self.soak {
                    soak.caution = Some(format!("{number} of {of}: {text}"));
                }
            }
            What::Heeded => {
                if let Some(soak) = &mut self.soak {
                    soak.caution = None;
                }
                return true;
            }
            What::SoakBegun { volts, .. } => {
                self.begin_soak(event.at, *volts);
                return true;
            }
            What::Soaking(report) => {
                if let Some(soak) = &mut self.soak {
                    soak.report = Some(report.as_ref().clone());
                }
            }
            What::SoakMissed { .. } => {
                if let Some(soak) = &mut self.soak {
                    soak.missed = true;
                }
                return true;
            }
            What::AwaitingZero { .. } => self.take(Stage::Zero, None),
            What::AwaitingApart => self.take(Stage::Apart, None),
            What::Reading(reading) => self.read(*reading),
            What::Contact => self.touch(),
            What::AwaitingOpen { .. } => self.said_on = true,
            What::Judged(record) => self.judge(record),
            What::Restless { .. } => self.restless = true,
            What::Lifted => self.restless = false,
            What::Deciding(_) => {}
            What::Unsettled { .. } => {
                self.restless = false;
                return true;
            }
            What::Link { meter, news } => return self.change_link(meter.as_deref(), news),
            What::Meter { meter, news } => {
                return self.change_meter(meter.as_deref(), news, words);
            }
            What::Progress(progress) => self.progress = **progress,
            What::Ended(progress) => {
                self.take(Stage::Ended, None);
                self.progress = **progress;
            }
            What::ChargeCaution
            | What::ToLift { .. }
            | What::Lead { .. }
            | What::StillLifted { .. }
            | What::GrippedAgain { .. }
            | What::ReadsLike { .. }
            | What::WhichPart { .. }
            | What::Moved { .. }
            | What::SettledAnew { .. }
            | What::Unheeded { .. }
            | What::PowerOff
            | What::Overridden { .. }
            | What::Skipped { .. }
            | What::Noted { .. }
            | What::Decided(_)
            | What::NotDecided { .. }
            | What::Refused { .. }
            | What::Zeroed { .. }
            | What::NotZeroed
            | What::ZeroLater
            | What::Fixture { .. }
            | What::NoFixture
            | What::Signalled { .. } => return true,
        }
        false
    }

    fn find_across(&mut self, title: &str, volts: f64, discharged: bool) {
        self.across = Some(Across { volts, discharged });
        self.said_on = false;
        self.seen_discharged.retain(|seen| *seen != *title);
        if discharged {
            self.seen_discharged.push(title.to_owned());
        }
    }

    /// Something else is in hand: whatever was known of what was before is gone.
    fn take(&mut self, stage: Stage, entry: Option<Box<Entry>>) {
        self.stage = stage;
        self.in_hand = entry;
        self.next.clear();
        self.reading = None;
        self.trace = Trace::since(self.at_us);
        self.said_on = false;
        self.restless = false;
        self.verdict = None;
        self.across = None;
        self.soak = None;
        let passes = |trouble: &mut Trouble| {
            matches!(
                trouble.news,
                MeterNews::CannotMeasure { .. } | MeterNews::WrongQuantity { .. }
            )
        };
        self.meter.trouble.take_if(passes);
    }

    fn read(&mut self, reading: Live) {
        self.reading = Some(reading);
        let applied = |soak: &Soak| soak.applied_us.is_some();
        let applied = self.soak.as_ref().is_some_and(applied);
        if let Some(value) = reading.value.filter(|_| reading.touching || applied) {
            self.trace.add(self.at_us, value);
        }
        let passes = |trouble: &mut Trouble| !matches!(trouble.news, MeterNews::WrongMeter { .. });
        self.meter.trouble.take_if(passes);
    }

    fn touch(&mut self) {
        self.trace = Trace::since(self.at_us);
        self.said_on = false;
        self.said = None;
        if let Some(value) = self.reading.and_then(|reading| reading.value) {
            self.trace.add(self.at_us, value);
        }
    }

    fn judge(&mut self, record: &Record) {
        self.said_on = false;
        self.restless = false;
        let withdrawn = &record.row.withdraws;
        self.last.retain(|one| !withdrawn.contains(&one.row.row));
        self.verdict = Some(Box::new(record.clone()));
        self.last.insert(0, record.clone());
        self.last.truncate(LAST);
    }

    fn take_to_soak(&mut self, soak: &ToSoak) {
        self.take(Stage::Soak, Some(Box::new(soak.entry.clone())));
        self.next.clone_from(&soak.next);
        self.soak = Some(Soak {
            test: soak.test.clone(),
            volts: soak.volts,
            read_after_s: soak.read_after_s,
            caution: None,
            applied_us: None,
            report: None,
            missed: false,
        });
    }

    fn begin_soak(&mut self, at: Stamp, volts: f64) {
        let Some(soak) = &mut self.soak else { return };
        soak.volts = volts;
        soak.applied_us = Some(at.micros());
        soak.report = None;
        soak.missed = false;
        self.verdict = None;
        self.trace = Trace::since(self.at_us);
    }

    /// Whether it is about the first meter. Of another the line says what became of it.
    fn is_first(&self, meter: Option<&str>) -> bool {
        meter.is_none_or(|name| self.meter.name.as_deref() == Some(name))
    }

    fn change_link(&mut self, meter: Option<&str>, news: &LinkNews) -> bool {
        let first = self.is_first(meter);
        let lost = matches!(news, LinkNews::Lost { .. });
        if lost {
            self.reading = None;
        }
        if first {
            self.link = Some(news.clone());
            self.said_on &= !lost;
            self.restless &= !lost;
        }
        !first
    }

    fn change_meter(&mut self, meter: Option<&str>, news: &MeterNews, words: &str) -> bool {
        let first = self.is_first(meter);
        if *news == MeterNews::Silent {
            self.reading = None;
            self.said_on &= !first;
        }
        match news {
            _ if !first => return true,
            MeterNews::Identified { text } => {
                self.meter.identity = Some(text.clone());
                self.meter.trouble = None;
            }
            MeterNews::Answering => {
                self.meter.trouble = None;
                return true;
            }
            // These pass.
            MeterNews::Trouble { .. }
            | MeterNews::NotUnderstood { .. }
            | MeterNews::Missed { .. } => return true,
            MeterNews::Silent
            | MeterNews::WrongMeter { .. }
            | MeterNews::WrongQuantity { .. }
            | MeterNews::CannotMeasure { .. } => {
                self.meter.trouble = Some(Trouble {
                    news: news.clone(),
                    words: words.to_owned(),
                });
            }
        }
        false
    }
}

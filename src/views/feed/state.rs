//! [`State`]: everything that a view shows at one moment.

use serde::{Deserialize, Serialize};

use super::charge::Charge;
use super::entry::{Entry, Next};
use super::item::{Item, VERSION};
use super::judged::Judged;
use super::news::{Live, MeterWord, News, Soaking, Way};
use super::progress::Progress;
use super::trace::Trace;
use crate::views::screen::Mood;

/// How many verdicts are kept.
const LAST: usize = 10;

/// Everything that a view shows at one moment. It comes about by [`State::apply`] alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Version of the vocabulary.
    pub version: u32,
    /// The last item that was applied; 0 before the first.
    pub last_id: u64,
    /// Time of that item, in microseconds since the sitting began.
    pub at_us: u64,
    /// Title of the job.
    pub title: String,
    /// When the sitting began by the wall clock, RFC 3339; empty before it did.
    pub began: String,
    /// The capacitors that may hold a charge when work begins.
    pub may_be_charged: Vec<Charge>,
    /// What is being done.
    pub stage: Stage,
    /// What is in hand; `None` where nothing is.
    pub in_hand: Option<Box<Entry>>,
    /// What comes then, at most three.
    pub next: Vec<Next>,
    /// The latest reading since something was taken in hand.
    pub reading: Option<Live>,
    /// The readings since contact.
    pub trace: Trace,
    /// The person says that the probes are on it; a steady nothing is awaited.
    pub said_on: bool,
    /// The probes have been on the part for a long time, and its value still moves.
    pub restless: bool,
    /// The verdict on what is in hand, once there is one.
    pub verdict: Option<Box<Judged>>,
    /// What was found across the capacitor in hand that is to be discharged.
    pub across: Option<Across>,
    /// The leakage in hand.
    pub soak: Option<Soak>,
    /// The last verdicts, the latest first, at most ten.
    pub last: Vec<Judged>,
    /// The link.
    pub link: Link,
    /// The meter.
    pub meter: Meter,
    /// How far the sitting is.
    pub progress: Progress,
    /// What was said last that none of the above tells; `None` once the probes touched something after it.
    pub said: Option<Said>,
}

/// What is being done.
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

/// What was found across a capacitor.
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
    /// What is to be done, for people.
    pub test: String,
    /// The voltage, V: the one applied, or before that the one to be applied.
    pub volts: f64,
    /// When the current is read, s after the voltage stands at the part.
    pub read_after_s: f64,
    /// When the voltage was applied, in microseconds since the sitting began; `None` before that.
    pub applied_us: Option<u64>,
    /// The latest report.
    pub report: Option<Soaking>,
    /// No reading came at the time of the limit.
    pub missed: bool,
}

/// The link.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Link {
    /// Whether it is up; `None` before anything is known.
    pub way: Option<Way>,
    /// Why it was lost.
    pub reason: Option<String>,
}

/// The meter.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Meter {
    /// Name of its profile.
    pub profile: String,
    /// What it said it is.
    pub identity: Option<String>,
    /// What stays wrong with it until it is mended, and in words.
    pub trouble: Option<(MeterWord, String)>,
}

/// Something that was said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    /// The line.
    pub line: String,
    /// How it may be coloured.
    pub mood: Mood,
    /// When, in microseconds since the sitting began.
    pub at_us: u64,
}

impl Default for State {
    fn default() -> Self {
        Self {
            version: VERSION,
            last_id: 0,
            at_us: 0,
            title: String::new(),
            began: String::new(),
            may_be_charged: Vec::new(),
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
            link: Link::default(),
            meter: Meter::default(),
            progress: Progress::default(),
            said: None,
        }
    }
}

impl State {
    /// Whether the probes touch something.
    pub fn touching(&self) -> bool {
        self.reading.is_some_and(|reading| reading.touching)
    }

    /// Takes in the next item. One that it has already is passed over.
    pub fn apply(&mut self, item: &Item) {
        if item.id <= self.last_id {
            return;
        }
        self.last_id = item.id;
        self.at_us = item.at_us;
        self.change(item);
        if let Some(line) = item.line.as_ref().filter(|_| is_remark(&item.news)) {
            self.said = Some(Said {
                line: line.clone(),
                mood: item.mood,
                at_us: item.at_us,
            });
        }
    }

    fn change(&mut self, item: &Item) {
        match &item.news {
            News::Begun {
                title,
                began,
                profile,
                parts,
                ..
            } => {
                self.title.clone_from(title);
                self.began.clone_from(began);
                self.meter.profile.clone_from(profile);
                self.progress.parts = *parts;
                self.progress.counts.not_reached = *parts;
            }
            News::MayBeCharged(charge) => self.may_be_charged.push(charge.clone()),
            News::InHand { entry, next } => {
                self.take(Stage::Part, Some(entry.clone()));
                self.next.clone_from(next);
            }
            News::NothingLeft => self.take(Stage::NothingLeft, None),
            News::ToDischarge { entry } => self.take(Stage::Discharge, Some(entry.clone())),
            News::AcrossCapacitor {
                volts, discharged, ..
            } => {
                self.across = Some(Across {
                    volts: *volts,
                    discharged: *discharged,
                });
                self.said_on = false;
            }
            News::ToSoak {
                entry,
                next,
                test,
                volts,
                read_after_s,
            } => {
                self.take(Stage::Soak, Some(entry.clone()));
                self.next.clone_from(next);
                self.soak = Some(Soak {
                    test: test.clone(),
                    volts: *volts,
                    read_after_s: *read_after_s,
                    applied_us: None,
                    report: None,
                    missed: false,
                });
            }
            News::AwaitingZero => self.take(Stage::Zero, None),
            News::AwaitingApart => self.take(Stage::Apart, None),
            News::SoakBegun { .. } | News::Soaking(_) | News::SoakMissed { .. } => {
                self.change_soak(item);
            }
            News::Reading(reading) => self.read(item.at_us, *reading),
            News::Contact => self.touch(item.at_us),
            News::AwaitingOpen { .. } => self.said_on = true,
            News::Judged(judged) => self.judge(judged),
            News::Restless { .. } => self.restless = true,
            News::Lifted | News::Unsettled { .. } => self.restless = false,
            News::Link {
                way,
                reason,
                meter: None,
            } => self.change_link(*way, reason.as_deref()),
            News::Meter {
                state,
                text,
                meter: None,
            } => self.change_meter(*state, text),
            // The line says what became of another meter; only what it showed does not stand any longer.
            News::Link { way: Way::Lost, .. }
            | News::Meter {
                state: MeterWord::Silent,
                ..
            } => self.reading = None,
            News::Progress(progress) => self.progress.clone_from(progress),
            News::Ended(progress) => {
                self.take(Stage::Ended, None);
                self.progress.clone_from(progress);
            }
            News::ChargeCaution { .. }
            | News::Overridden { .. }
            | News::Skipped { .. }
            | News::Noted { .. }
            | News::Decided { .. }
            | News::Refused { .. }
            | News::Zeroed { .. }
            | News::NotZeroed
            | News::ZeroLater
            | News::Fixture { .. }
            | News::NoFixture
            | News::Link { .. }
            | News::Meter { .. }
            | News::Signalled { .. } => {}
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
        if let Some((MeterWord::CannotMeasure | MeterWord::WrongQuantity, _)) = self.meter.trouble {
            self.meter.trouble = None;
        }
    }

    fn read(&mut self, at_us: u64, reading: Live) {
        self.reading = Some(reading);
        let applied = self
            .soak
            .as_ref()
            .is_some_and(|soak| soak.applied_us.is_some());
        if let Some(value) = reading.value.filter(|_| reading.touching || applied) {
            self.trace.add(at_us, value);
        }
        if self
            .meter
            .trouble
            .as_ref()
            .is_some_and(|(word, _)| *word != MeterWord::WrongMeter)
        {
            self.meter.trouble = None;
        }
    }

    fn touch(&mut self, at_us: u64) {
        self.trace = Trace::since(at_us);
        self.said_on = false;
        self.said = None;
        if let Some(value) = self.reading.and_then(|reading| reading.value) {
            self.trace.add(at_us, value);
        }
    }

    fn judge(&mut self, judged: &Judged) {
        self.said_on = false;
        self.restless = false;
        self.verdict = Some(Box::new(judged.clone()));
        self.last.insert(0, judged.clone());
        self.last.truncate(LAST);
    }

    fn change_soak(&mut self, item: &Item) {
        let Some(soak) = &mut self.soak else { return };
        match &item.news {
            News::SoakBegun { volts, .. } => {
                soak.volts = *volts;
                soak.applied_us = Some(item.at_us);
                soak.report = None;
                soak.missed = false;
                self.verdict = None;
                self.trace = Trace::since(item.at_us);
            }
            News::Soaking(report) => soak.report = Some(report.clone()),
            News::SoakMissed { .. } => soak.missed = true,
            _ => {}
        }
    }

    fn change_link(&mut self, way: Way, reason: Option<&str>) {
        self.link = Link {
            way: Some(way),
            reason: reason.map(str::to_owned),
        };
        if way == Way::Lost {
            self.reading = None;
            self.said_on = false;
            self.restless = false;
        }
    }

    fn change_meter(&mut self, word: MeterWord, text: &str) {
        match word {
            MeterWord::Identified => {
                self.meter.identity = Some(text.to_owned());
                self.meter.trouble = None;
            }
            MeterWord::Answering => self.meter.trouble = None,
            // These pass; the line says them.
            MeterWord::Trouble | MeterWord::NotUnderstood => {}
            MeterWord::Silent => {
                self.reading = None;
                self.said_on = false;
                self.meter.trouble = Some((word, text.to_owned()));
            }
            MeterWord::WrongMeter | MeterWord::WrongQuantity | MeterWord::CannotMeasure => {
                self.meter.trouble = Some((word, text.to_owned()));
            }
        }
    }
}

/// Whether the line of such an item says what nothing else in the state does.
const fn is_remark(news: &News) -> bool {
    !matches!(
        news,
        News::InHand { .. }
            | News::MayBeCharged(_)
            | News::ToDischarge { .. }
            | News::ToSoak { .. }
            | News::Judged(_)
            | News::Soaking(_)
            | News::Restless { .. }
            | News::AwaitingOpen { .. }
            | News::AwaitingZero
            | News::AwaitingApart
            | News::NothingLeft
            | News::AcrossCapacitor { .. }
            | News::Link { meter: None, .. }
            | News::Ended(_)
            | News::Meter {
                meter: None,
                state: MeterWord::Identified
                    | MeterWord::WrongMeter
                    | MeterWord::Silent
                    | MeterWord::WrongQuantity
                    | MeterWord::CannotMeasure,
                ..
            }
    )
}

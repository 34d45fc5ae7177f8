//! [`SoakStage`]: a capacitor stands under voltage, and its current is watched until it can be judged.
//!
//! The time runs from the first current that the meter shows, which is that of charging, or from the person's word.
//! Nothing here settles: a leakage falls for hours, and is read at the time that its limit states.

use std::time::Duration;

use crate::engine::judge::capacitor::{Mark, Soak, SoakReason, SoakReport};
use crate::engine::judge::{LeakageTest, Rule, Soaked};
use crate::engine::meter::{Reading, Shown};
use crate::engine::probing::{Estimate, Finding, SettledValue, Specification};
use crate::engine::quantity::{Quantity, Stamp};

/// When the person is told how it goes, s after the voltage was applied; after the last of them every minute.
const TELL_AT: [u64; 4] = [10, 30, 60, 120];

/// Interval at which the readings so far are looked at.
const LOOK_EVERY: Duration = Duration::from_millis(500);

/// A leakage in the making.
#[derive(Debug, Clone)]
pub(super) struct SoakStage {
    test: LeakageTest,
    rule: Rule,
    running: Option<Running>,
    done: bool,
}

#[derive(Debug, Clone)]
struct Running {
    applied: Stamp,
    volts: f64,
    soak: Soak,
    readings: u32,
    told: usize,
    looked: Stamp,
    alarmed: bool,
    /// The cautions had been agreed to when the voltage was applied.
    heeded: bool,
}

/// Outcome of a reading.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Told {
    /// The voltage is on the part, by the current that flows.
    Begun {
        /// The cautions had been agreed to.
        heeded: bool,
    },
    /// Its course.
    Report(Box<SoakReport>),
    /// The current that counts.
    Given(SettledValue),
    /// No reading came at the time that counts.
    Missed,
}

impl SoakStage {
    pub(super) fn new(test: LeakageTest, rule: Rule) -> Self {
        Self {
            test,
            rule,
            running: None,
            done: false,
        }
    }

    /// Whether voltage was applied, so that the part is charged.
    pub(super) const fn applied(&self) -> bool {
        self.running.is_some()
    }

    /// Circumstances in which it was carried out.
    pub(super) fn soaked(&self) -> Option<Soaked<'_>> {
        let running = self.running.as_ref()?;
        Some(Soaked {
            test: &self.test,
            volts: running.volts,
            heeded: running.heeded,
        })
    }

    /// The voltage is on the part since `at`: `volts`, or the one of the test. Said again it begins anew.
    pub(super) fn begin(&mut self, at: Stamp, volts: Option<f64>, heeded: bool) -> f64 {
        let volts = volts.unwrap_or(self.test.volts);
        self.done = false;
        self.running = Some(Running {
            applied: at,
            volts,
            soak: Soak::new(at, self.test.limit.clone(), self.rule),
            readings: 0,
            told: 0,
            looked: at,
            alarmed: false,
            heeded,
        });
        volts
    }

    /// Takes in a reading of the current; `heeded` says whether the cautions were agreed to.
    pub(super) fn read(
        &mut self,
        reading: &Reading,
        meter: &impl Specification,
        heeded: bool,
    ) -> Option<Told> {
        if self.done {
            return None;
        }
        let Some(running) = &mut self.running else {
            let flows = !meter.is_idle(reading.shown) && reading.shown != Shown::NotANumber;
            return flows.then(|| {
                self.begin(reading.at, None, heeded);
                Told::Begun { heeded }
            });
        };
        if let Shown::Value(amperes) = reading.shown {
            let uncertainty = meter.standard_uncertainty(amperes);
            // A point that cannot be is left out; a mark that it should have made is then missed, and that is said.
            if running
                .soak
                .reading(reading.at, amperes, uncertainty)
                .is_ok()
            {
                running.readings += 1;
            }
        }
        if reading.at.since(running.looked) < LOOK_EVERY {
            return None;
        }
        running.looked = reading.at;
        let report = running.soak.report(reading.at);
        let alarm = report.reason == SoakReason::RisesAboveLimit && !running.alarmed;
        running.alarmed |= alarm;
        let due = running.due(reading.at) || alarm;
        let given = running.outcome(&report, reading.at);
        if given.is_some() {
            self.done = true;
            return given;
        }
        due.then(|| Told::Report(Box::new(report)))
    }
}

impl Running {
    /// Whether the person is to be told how it goes.
    fn due(&mut self, now: Stamp) -> bool {
        let elapsed = now.since(self.applied);
        let told = self.told;
        while elapsed >= tell_at(self.told) {
            self.told += 1;
        }
        self.told > told
    }

    fn outcome(&self, report: &SoakReport, now: Stamp) -> Option<Told> {
        match report.own {
            Mark::Read {
                ampere,
                standard_uncertainty,
                ..
            } => Some(Told::Given(self.settled(ampere, standard_uncertainty, now))),
            Mark::Missed => Some(Told::Missed),
            Mark::Waiting => None,
        }
    }

    fn settled(&self, ampere: f64, standard_uncertainty: f64, at: Stamp) -> SettledValue {
        SettledValue {
            quantity: Quantity::Current,
            contact: self.applied,
            at,
            readings: self.readings,
            finding: Finding::Value(Estimate::combine(ampere, 0.0, standard_uncertainty, 0.0)),
            second: None,
        }
    }
}

fn tell_at(times: usize) -> Duration {
    let last = TELL_AT.len() - 1;
    let seconds = match TELL_AT.get(times) {
        Some(seconds) => *seconds,
        None => TELL_AT[last] + 60 * (times - last) as u64,
    };
    Duration::from_secs(seconds)
}

//! [`Facts`]: all that a report draws on: sittings, steps of parts, counts, the readings of a touch.

use chrono::{DateTime, FixedOffset};
use serde::Serialize;

use super::Photo;
use crate::books::batch::Bags;
use crate::books::ledger::{Account, Book, Row, Standing};
use crate::engine::judge::Loops;
use crate::engine::judge::policy::Policy;
use crate::engine::parts::{Part, Step, Title};
use crate::engine::quantity::{Band, Quantity};

/// All that a report draws on.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// Name of the equipment.
    pub title: &'a str,
    /// When the report was made.
    pub made: DateTime<FixedOffset>,
    /// Version of the program that made it.
    pub program: &'a str,
    /// The ledger of the job.
    pub book: &'a Book,
    /// Findings on each bag before its part went in.
    pub bags: &'a Bags,
    /// The policy of the job as it is today.
    pub policy: &'a Policy,
    /// Whether that is the job's own; otherwise the one that comes with the program.
    pub own_policy: bool,
    /// The sittings and, behind them, the batches of new parts, each the oldest first.
    pub sittings: &'a [SittingFacts],
    /// The files of the job that the report was made from.
    pub files: &'a [FileFacts],
    /// Photos, in the order in which they are shown.
    pub photos: &'a [Photo],
    /// Files among the photos that were left out, each as a sentence.
    pub left_out: &'a [String],
    /// The readings of one touch, to show what settling looks like.
    pub touch: Option<&'a Touch>,
    /// Readings in circuit, if there are any.
    pub circuit: Option<&'a Loops>,
}

/// A file that the report was made from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FileFacts {
    /// Its name in the folder of the job.
    pub name: String,
    /// Size in bytes.
    pub bytes: u64,
    /// Its SHA-256, 64 hexadecimal digits.
    #[serde(rename = "sha256")]
    pub digest: String,
}

impl<'a> Facts<'a> {
    /// The account of every part, in the order of the list.
    pub(super) fn accounts(&self) -> Vec<Account<'a>> {
        self.book.accounts()
    }

    /// The name of the profile of the meter that a measurement was made with; `None` if its recording does not tell.
    pub(super) fn meter_of(&self, measurement: &Row) -> Option<&'a str> {
        let sitting = self
            .sittings
            .iter()
            .find(|one| !one.of_new_parts && one.name == measurement.sitting)?;
        sitting.meter_of(measurement)
    }

    /// The measurements of parts that the list does not have (any more).
    pub(super) fn strangers(&self) -> usize {
        let known = |designator: &str| {
            let mut parts = self.book.list.parts.iter();
            parts.any(|part| part.designator.eq_ignore_ascii_case(designator))
        };
        let measurements = self.book.measurements.iter();
        let strange = |one: &&Row| one.step != Step::Between && !known(&one.designator);
        measurements.filter(strange).count()
    }
}

/// Numbers of parts, measured, replaced, accepted and still to be dealt with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub(super) struct Counts {
    /// On the list.
    pub(super) parts: usize,
    /// Measured at least once.
    pub(super) measured: usize,
    /// Of which another one was put in.
    pub(super) replaced: usize,
    /// Knowingly left although not good.
    pub(super) accepted: usize,
    /// With something still to be done.
    pub(super) to_do: usize,
}

impl Counts {
    /// Counts them.
    pub(super) fn of(accounts: &[Account<'_>]) -> Self {
        let count = |fits: &dyn Fn(&Account<'_>) -> bool| {
            accounts.iter().filter(|account| fits(account)).count()
        };
        Self {
            parts: accounts.len(),
            measured: count(&|one| !one.measurements.is_empty()),
            replaced: count(&|one| one.fitted().is_some()),
            accepted: count(&|one| one.standing() == Standing::Accepted),
            to_do: count(&|one| one.standing().is_to_do()),
        }
    }
}

/// Facts about a sitting, or about a batch of new parts.
#[derive(Debug, Clone, PartialEq)]
pub struct SittingFacts {
    /// Its name, which is that of its recording without the ending.
    pub name: String,
    /// When it began, if the recording tells.
    pub begun: Option<DateTime<FixedOffset>>,
    /// Length in seconds, if the recording is sealed.
    pub lasted_s: Option<f64>,
    /// Version of the program that recorded it, if the recording tells.
    pub program: Option<String>,
    /// The profile of the meter for each quantity, in the order of `Quantity::ALL`; empty if the recording does not tell.
    pub meters: Vec<String>,
    /// Whole lines of the recording.
    pub lines: u64,
    /// Whether new parts were measured: the recording lies in `incoming`, the rows stand in `incoming.csv`.
    pub of_new_parts: bool,
    /// Rows of the results that are of it.
    pub rows: usize,
    /// Proof of it in its recording.
    pub proof: Proof,
}

/// Proof of a sitting in its recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Proof {
    /// As it was written, from the first line to the seal.
    Sealed {
        /// The SHA-256 of everything before the seal.
        digest: String,
    },
    /// All lines are as they were written, and the seal is missing.
    Unsealed,
    /// Damaged; the sentence says where.
    Damaged(String),
    /// There is no such recording, or it cannot be read; the sentence says why.
    Missing(String),
}

impl Proof {
    /// The word for files: `sealed`, `not ended`, `damaged` or `missing`.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Sealed { .. } => "sealed",
            Self::Unsealed => "not ended",
            Self::Damaged(_) => "damaged",
            Self::Missing(_) => "missing",
        }
    }

    /// The SHA-256 that the seal holds.
    pub fn digest(&self) -> Option<&str> {
        match self {
            Self::Sealed { digest } => Some(digest),
            _ => None,
        }
    }
}

impl SittingFacts {
    /// A sitting of which the results tell and of which there is no recording; `why` is a sentence.
    pub fn missing(name: &str, rows: usize, why: &str) -> Self {
        Self {
            name: name.to_owned(),
            begun: None,
            lasted_s: None,
            program: None,
            meters: Vec::new(),
            lines: 0,
            of_new_parts: false,
            rows,
            proof: Proof::Missing(why.to_owned()),
        }
    }

    /// Where its recording lies in the folder of the job.
    pub fn file(&self) -> String {
        let folder = if self.of_new_parts {
            "incoming"
        } else {
            "sittings"
        };
        format!("{folder}/{}.rec", self.name)
    }

    /// The profiles of its meters, each once.
    pub(super) fn profiles(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for name in &self.meters {
            if !names.contains(&name.as_str()) {
                names.push(name);
            }
        }
        names
    }

    /// The profile of the meter that a measurement of this sitting was made with.
    pub(super) fn meter_of(&self, measurement: &Row) -> Option<&str> {
        let meter = self.meters.get(measurement.quantity_read() as usize);
        meter.map(String::as_str)
    }
}

/// A step of a part: how it was found, and how what is in now reads.
#[derive(Debug, Clone)]
pub struct StepRow<'a, 'b> {
    /// The part and all that is known of it.
    pub account: &'b Account<'a>,
    /// Measurement of the part.
    pub step: Step,
    /// The measurement of the part that was found.
    pub before: Option<&'a Row>,
    /// The last measurement of the part now fitted; the same one if it was measured once.
    pub after: Option<&'a Row>,
}

/// Limits of a step, in the SI unit of its quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Target {
    pub(super) quantity: Quantity,
    pub(super) nominal: f64,
    pub(super) band: Band,
}

impl<'a, 'b> StepRow<'a, 'b> {
    /// The steps of a part that were measured or should be, the value first.
    pub(super) fn of(account: &'b Account<'a>) -> Vec<Self> {
        let (first, latest) = (account.first(), account.latest());
        let find =
            |among: &[&'a Row], step: Step| among.iter().copied().find(|one| one.step.is(step));
        let rows = account.steps().into_iter().map(|step| Self {
            account,
            before: find(&first, step),
            after: find(&latest, step),
            step,
        });
        rows.collect()
    }

    /// The part.
    pub(super) const fn part(&self) -> &'a Part {
        self.account.part
    }

    /// Names it.
    pub(super) fn title(&self) -> Title {
        Title::of(&self.part().designator, self.step)
    }

    /// Tells whether the part now fitted has a measurement of its own beside that of the part that was found.
    pub(super) fn measured_anew(&self) -> bool {
        match (self.before, self.after) {
            (Some(before), Some(after)) => !std::ptr::eq(before, after),
            (None, Some(_)) => self.account.fitted().is_some(),
            _ => false,
        }
    }

    /// The measurement of the part that was found, where it is another one than what counts now.
    pub(super) fn found_before(&self) -> Option<&'a Row> {
        self.before
            .filter(|_| self.after.is_none() || self.measured_anew())
    }

    /// Limits of its last verdict, else, for a value, those of the list.
    pub(super) fn target(&self) -> Option<Target> {
        let part = self.part();
        let judged = self.after.or(self.before).map(|one| Target {
            quantity: one.quantity,
            nominal: one.nominal,
            band: one.band,
        });
        let listed = || Target {
            quantity: part.nominal.quantity(),
            nominal: part.nominal.value(),
            band: part.band,
        };
        judged.or_else(|| (self.step == Step::Value).then(listed))
    }
}

/// The readings of one touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Touch {
    /// Name of the measurement.
    pub title: String,
    /// Name of the sitting.
    pub sitting: String,
    /// Of what quantity the readings are.
    pub quantity: Quantity,
    /// The readings since contact, in order of time; at least two.
    pub points: Vec<TouchPoint>,
    /// When the value had settled, in seconds since contact.
    pub settled_s: f64,
    /// The settled value, in the SI unit.
    pub value: f64,
    /// Its standard uncertainty, k = 1.
    pub uncertainty: f64,
    /// The values that conform.
    pub band: Band,
}

/// A reading of a touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchPoint {
    /// Since contact, in seconds.
    pub at_s: f64,
    /// The value, in the SI unit.
    pub value: f64,
}

impl Touch {
    /// Measure of how much there is to see: the way that its readings moved, in units of its uncertainty.
    /// Zero if there is nothing to be seen of it.
    pub fn telling(&self) -> f64 {
        let values = || self.points.iter().map(|point| point.value);
        let lowest = values().fold(f64::INFINITY, f64::min);
        let highest = values().fold(f64::NEG_INFINITY, f64::max);
        let moved = (highest - lowest) / self.uncertainty;
        let zone = 2.0 * self.uncertainty;
        // What was taken off, such as the leads, would have to be explained beside the readings.
        let reached = (lowest - zone..=highest + zone).contains(&self.value);
        if self.points.len() < Self::FEWEST || !moved.is_finite() || !reached {
            return 0.0;
        }
        // A single wild reading at contact tells less than a long way to the end.
        self.settled_s * moved.clamp(0.1, 20.0)
    }

    /// Fewer readings than this show no settling.
    const FEWEST: usize = 6;
}

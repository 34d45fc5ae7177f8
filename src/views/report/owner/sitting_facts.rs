//! [`SittingFacts`]: what is known of a sitting, and how far its recording proves it.

use chrono::{DateTime, FixedOffset};

use crate::books::ledger::Row;

/// What is known of a sitting, or of a batch of new parts.
#[derive(Debug, Clone, PartialEq)]
pub struct SittingFacts {
    /// Its name, which is that of its recording without the ending.
    pub name: String,
    /// When it began, if the recording tells.
    pub begun: Option<DateTime<FixedOffset>>,
    /// How long it lasted, in seconds, if the recording is sealed.
    pub lasted_s: Option<f64>,
    /// Version of the program that recorded it, if the recording tells.
    pub program: Option<String>,
    /// The profile of the meter for each quantity, in the order of `Quantity::ALL`; empty if the recording does not tell.
    pub meters: Vec<String>,
    /// How many whole lines the recording has.
    pub lines: u64,
    /// Whether new parts were measured: the recording lies in `incoming`, the rows stand in `incoming.csv`.
    pub of_new_parts: bool,
    /// How many rows of the results are of it.
    pub rows: usize,
    /// How far the recording proves it.
    pub proof: Proof,
}

/// How far a recording proves its sitting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Proof {
    /// As it was written, from the first line to the seal.
    Sealed {
        /// The SHA-256 of everything before the seal.
        digest: String,
    },
    /// All lines are as they were written, and the seal is missing.
    Unsealed,
    /// It is damaged; the sentence says where.
    Damaged(String),
    /// There is no such recording, or it cannot be read; the sentence says why.
    Missing(String),
}

impl Proof {
    /// The word for files: `sealed`, `unsealed`, `damaged` or `missing`.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Sealed { .. } => "sealed",
            Self::Unsealed => "unsealed",
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

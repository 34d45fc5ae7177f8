//! [`Measurement`]: a row of the results.

use chrono::{DateTime, FixedOffset};

use crate::engine::judge::Verdict;
use crate::engine::quantity::Quantity;

/// What a touch found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    /// A value.
    Value,
    /// Nothing conducts.
    Open,
    /// More than the meter can show.
    BeyondRange,
}

/// The numbers of one quantity, in its SI unit; `None` where the cell is empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// What they are of.
    pub quantity: Quantity,
    /// Settled value.
    pub value: Option<f64>,
    /// Its standard uncertainty, k = 1.
    pub uncertainty: Option<f64>,
    /// Nominal value.
    pub nominal: Option<f64>,
    /// Lower limit.
    pub lower: Option<f64>,
    /// Upper limit.
    pub upper: Option<f64>,
    /// Width of the guard band.
    pub guard: Option<f64>,
}

/// A row of `results.csv`: a settled value of a part and the verdict on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// When the value settled.
    pub time: DateTime<FixedOffset>,
    /// Name of the recording, without its ending.
    pub sitting: String,
    /// Reference designator.
    pub designator: String,
    /// Which measurement of the part: `value`, `leakage`, ... as [`crate::engine::parts::Step`] writes it.
    pub step: String,
    /// Kind of part, as the list had it.
    pub kind: String,
    /// Value as the list wrote it then.
    pub listed: String,
    /// Whether it was in circuit.
    pub in_circuit: bool,
    /// Counts the settled values of the part in the sitting.
    pub attempt: u32,
    /// What was found.
    pub found: Found,
    /// The numbers that the verdict is about, where there are any: those with a nominal value, else those with a value.
    pub figures: Option<Figures>,
    /// Probability of conformity, 0 to 1.
    pub probability: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// Why, in words.
    pub reason: String,
    /// What else was looked at, in words.
    pub checks: String,
    /// Name of the decision rule.
    pub rule: String,
    /// Readings that the value rests on.
    pub readings: u32,
}

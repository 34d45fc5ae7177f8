//! [`Judged`]: a verdict and what it rests on, as plain data.

use serde::{Deserialize, Serialize};

use super::band::Limits;
use super::word;
use crate::engine::judge::{Check, Found, Verdict};
use crate::engine::quantity::Quantity;
use crate::engine::sitting::Record;

/// A settled value and the verdict on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Judged {
    /// Reference designator.
    pub designator: String,
    /// The designator, and the step where that is not the value.
    pub title: String,
    /// Which measurement of the part.
    pub step: String,
    /// Kind of part.
    pub kind: String,
    /// Its place in the plan, counted from 1.
    pub index: usize,
    /// Counts the settled values of this measurement in the sitting, from 1.
    pub attempt: u32,
    /// What is judged: what was measured, or the ratio that follows from it.
    #[serde(with = "word::quantity")]
    pub quantity: Quantity,
    /// The SI symbol of its unit.
    pub unit: String,
    /// What was found.
    pub found: Found,
    /// The settled value, in the SI unit; `None` where no value was found.
    pub value: Option<f64>,
    /// Its expanded uncertainty U = 2 u, in the SI unit.
    pub uncertainty: Option<f64>,
    /// What was compared with the limits: the value, or what became of it by a correction.
    pub compared: Option<f64>,
    /// The expanded uncertainty of that, U = 2 u.
    pub compared_uncertainty: Option<f64>,
    /// Value and uncertainty for people: `4.712 kΩ ± 0.004 kΩ`, `open`.
    pub words: String,
    /// The limits used.
    pub band: Limits,
    /// The verdict.
    #[serde(with = "word::verdict")]
    pub verdict: Verdict,
    /// Why the verdict is what it is, for people.
    pub reason: String,
    /// How far the value that was compared lies from the nominal value, in per cent of that; `None` where there is only an
    /// upper limit.
    pub percent_off: Option<f64>,
    /// The value that was compared in per cent of the upper limit, where that is the only one.
    pub percent_of_limit: Option<f64>,
    /// Probability that the value conforms, 0 to 1.
    pub probability: Option<f64>,
    /// Name of the decision rule.
    pub rule: String,
    /// What else was looked at.
    pub checks: Vec<CheckWords>,
    /// How many readings the value rests on.
    pub readings: u32,
    /// From contact to the settled value, s.
    pub seconds: f64,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CheckWords {
    /// What it is about: `loss`, `safety class`.
    pub aspect: String,
    /// What follows for the part; `None` where it is only remarked.
    #[serde(with = "word::maybe_verdict")]
    pub verdict: Option<Verdict>,
    /// What was found.
    pub words: String,
}

impl Judged {
    /// That record.
    pub(super) fn of(record: &Record) -> Self {
        let (row, settled) = (&record.row, &record.settled);
        let read = row.read.filter(|_| row.value.is_none());
        let quantity = if read.is_some() {
            row.quantity_read()
        } else {
            row.quantity
        };
        Self {
            designator: row.designator.clone(),
            title: row.title(),
            step: row.step.name().to_owned(),
            kind: row.kind.name().to_owned(),
            index: record.part + 1,
            attempt: row.attempt,
            quantity,
            unit: quantity.symbol().to_owned(),
            found: row.found,
            value: row.value.map(|judged| judged.value).or(read),
            uncertainty: row.value.map(|judged| 2.0 * judged.u),
            compared: row.value.map(|judged| judged.value),
            compared_uncertainty: row.value.map(|judged| 2.0 * judged.u),
            words: row.words(),
            band: Limits::of(row.quantity, row.band, Some(row.nominal)),
            verdict: row.verdict,
            reason: row.reason.clone(),
            percent_off: row.percent_off(),
            percent_of_limit: row.percent_of_limit(),
            probability: row.probability,
            rule: row.rule.name().to_owned(),
            checks: row.checks.iter().map(CheckWords::of).collect(),
            readings: row.readings,
            seconds: settled.at.since(settled.contact).as_secs_f64(),
        }
    }
}

impl CheckWords {
    fn of(check: &Check) -> Self {
        Self {
            aspect: check.aspect.name().to_owned(),
            verdict: check.verdict,
            words: check.words.clone(),
        }
    }
}

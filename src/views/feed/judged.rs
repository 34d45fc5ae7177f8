//! [`Judged`]: a verdict and what it rests on, as plain data.

use serde::{Deserialize, Serialize};

use super::band::Limits;
use super::word;
use crate::engine::judge::{Check, Verdict};
use crate::engine::parts::Part;
use crate::engine::probing::Finding;
use crate::engine::quantity::{Quantity, format_with_uncertainty};
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
    /// Why the value alone is judged as it is, for people.
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

/// What a touch found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// A value.
    Value,
    /// Nothing conducts although the probes are on the part.
    Open,
    /// More than the meter can show.
    BeyondRange,
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
    /// That record of that part.
    pub(super) fn of(part: &Part, record: &Record) -> Self {
        let judgement = &record.judgement;
        let own = part.nominal.quantity();
        // What follows from the reading is told instead of it.
        let follows = judgement.judged.filter(|_| own != record.settled.quantity);
        let quantity = if follows.is_some() {
            own
        } else {
            record.settled.quantity
        };
        let (found, value, uncertainty, words) = match follows {
            Some(judged) => value(quantity, judged.value, judged.u),
            None => found(quantity, &record.settled.finding),
        };
        let share = judgement
            .judged
            .map(|judged| 100.0 * judged.value / part.nominal.value())
            .filter(|share| share.is_finite());
        let at_most = judgement.band.lower() == f64::NEG_INFINITY;
        Self {
            designator: part.designator.clone(),
            title: part.title(),
            step: part.step.name().to_owned(),
            kind: part.kind.name().to_owned(),
            index: record.part + 1,
            attempt: record.attempt,
            quantity,
            unit: quantity.symbol().to_owned(),
            found,
            value,
            uncertainty,
            compared: judgement.judged.map(|judged| judged.value),
            compared_uncertainty: judgement.judged.map(|judged| 2.0 * judged.u),
            words,
            band: Limits::of(own, judgement.band, Some(part.nominal.value())),
            verdict: judgement.verdict,
            reason: judgement.reason.words().to_owned(),
            percent_off: share.filter(|_| !at_most).map(|share| share - 100.0),
            percent_of_limit: share.filter(|_| at_most),
            probability: judgement.probability,
            rule: judgement.rule.name().to_owned(),
            checks: judgement.checks.iter().map(CheckWords::of).collect(),
            readings: record.settled.readings,
            seconds: record
                .settled
                .at
                .since(record.settled.contact)
                .as_secs_f64(),
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

/// A value with its standard uncertainty.
fn value(quantity: Quantity, value: f64, u: f64) -> (Found, Option<f64>, Option<f64>, String) {
    let words = format_with_uncertainty(quantity, value, 2.0 * u);
    (Found::Value, Some(value), Some(2.0 * u), words)
}

fn found(quantity: Quantity, finding: &Finding) -> (Found, Option<f64>, Option<f64>, String) {
    match finding {
        Finding::Value(estimate) => value(quantity, estimate.value, estimate.standard_uncertainty),
        Finding::Open => (Found::Open, None, None, "open".to_owned()),
        Finding::BeyondRange => (Found::BeyondRange, None, None, "beyond range".to_owned()),
    }
}

//! [`Row`]: a settled value and the verdict on it, as everything reads them: lines, screens, files, and whoever looks later.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::engine::impedance::Uncertain;
use crate::engine::judge::{Aspect, Check, Found, Grounds, Judgement, Rule, Verdict, deciding};
use crate::engine::parts::{Kind, Part, Step};
use crate::engine::probing::{Finding, SettledValue};
use crate::engine::quantity::{Band, Quantity};

/// A settled value of a part and the verdict on it. Numbers are in the SI unit of the quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// Its number within the sitting, from 1.
    pub row: u32,
    /// When the value settled, in whole milliseconds.
    pub time: DateTime<FixedOffset>,
    /// Name of the recording.
    pub sitting: String,
    /// Reference designator.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Which measurement of the part.
    pub step: Step,
    /// Kind of part.
    pub kind: Kind,
    /// Value as the parts list writes it.
    pub listed: String,
    /// Whether the part was in circuit.
    pub in_circuit: bool,
    /// Counts the settled values of this measurement in the sitting, from 1.
    pub attempt: u32,
    /// What was found.
    pub found: Found,
    /// What is judged. The meter read the same, but for a ratio, of which it read the alternating voltage on the secondary.
    pub quantity: Quantity,
    /// What the meter settled at, before any correction.
    pub read: Option<f64>,
    /// What was judged, after every correction; `None` where there is no value to be judged.
    pub value: Option<Uncertain>,
    /// Nominal value; where there is only an upper limit, that.
    pub nominal: f64,
    /// The limits that the value was held against.
    pub band: Band,
    /// Width of the guard band.
    pub guard: Option<f64>,
    /// Probability of conformity, 0 to 1.
    pub probability: Option<f64>,
    /// The verdict on the value alone.
    pub value_verdict: Verdict,
    /// The verdict on the whole: the worst of the value and of the checks.
    pub verdict: Verdict,
    /// Why the verdict on the whole is what it is, from whichever it comes.
    pub reason: String,
    /// What else was looked at.
    pub checks: Vec<Check>,
    /// What the policy did; empty if nothing.
    pub policy: String,
    /// The decision rule.
    pub rule: Rule,
    /// How many readings the value rests on.
    pub readings: u32,
    /// The rows of the same sitting whose numbers went into this one.
    pub rests_on: Vec<u32>,
    /// The rows of the same sitting that this one takes back.
    pub withdraws: Vec<u32>,
}

/// Where in the sitting a row stands.
#[derive(Debug, Clone)]
pub struct Place {
    /// Its number there, from 1.
    pub row: u32,
    /// When its value settled, in whole milliseconds.
    pub time: DateTime<FixedOffset>,
    /// Name of the sitting.
    pub sitting: String,
    /// Counts the settled values of the measurement, from 1.
    pub attempt: u32,
    /// The rows whose numbers went into it.
    pub rests_on: Vec<u32>,
}

impl Row {
    /// The row of what settled on `part`, as it was judged.
    pub fn of(part: &Part, settled: &SettledValue, judgement: Judgement, place: Place) -> Self {
        let read = match settled.finding {
            Finding::Value(estimate) => Some(estimate.value),
            Finding::Open | Finding::BeyondRange => None,
        };
        Self {
            row: place.row,
            time: place.time,
            sitting: place.sitting,
            designator: part.designator.clone(),
            step: part.step,
            kind: part.kind,
            listed: part.value_text.clone(),
            in_circuit: part.in_circuit,
            attempt: place.attempt,
            found: judgement.found,
            quantity: part.nominal.quantity(),
            read,
            value: judgement.judged,
            nominal: part.nominal.value(),
            band: judgement.band,
            guard: judgement.guard,
            probability: judgement.probability,
            value_verdict: judgement.of_value,
            verdict: judgement.verdict,
            reason: judgement.why(),
            policy: policy(&judgement.checks),
            checks: judgement.checks,
            rule: judgement.rule,
            readings: settled.readings,
            rests_on: place.rests_on,
            withdraws: Vec::new(),
        }
    }

    /// All that the verdict on the value follows from.
    pub fn grounds(&self) -> Grounds {
        Grounds {
            step: self.step,
            quantity: self.quantity,
            in_circuit: self.in_circuit,
            found: self.found,
            is_fed: !self.rests_on.is_empty(),
            value: self.value,
            band: self.band,
            rule: self.rule,
        }
    }

    /// The judgement that follows from the row alone, by the very function that judged it at the bench.
    pub fn judged_again(&self) -> Judgement {
        Judgement::by(&self.grounds(), self.checks.clone())
    }

    /// The check that the verdict comes from; `None` where the value alone decides.
    pub fn deciding(&self) -> Option<&Check> {
        deciding(&self.checks, self.value_verdict, self.verdict)
    }

    /// The check of that aspect, the first if there are several.
    pub fn check(&self, aspect: Aspect) -> Option<&Check> {
        self.checks.iter().find(|check| check.aspect == aspect)
    }

    /// The quantity that the meter read.
    pub const fn quantity_read(&self) -> Quantity {
        match self.quantity {
            Quantity::Ratio => Quantity::AcVoltage,
            quantity => quantity,
        }
    }

    /// What to call the measurement: the designator, and the step where that is not the value.
    pub fn title(&self) -> String {
        self.step.title(&self.designator)
    }
}

/// What the policy did, by the checks that tell of it.
fn policy(checks: &[Check]) -> String {
    let words = checks.iter().filter_map(|check| match check.aspect {
        Aspect::Role => Some("other limits"),
        Aspect::Replacement => Some("replace"),
        _ => None,
    });
    words.collect::<Vec<_>>().join(", ")
}

//! [`Row`]: a settled value and the verdict on it, as everything reads them: lines, screens, files, and whoever looks later.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::engine::impedance::Uncertain;
use crate::engine::judge::{Aspect, Check, Found, Grounds, Judgement, Rule, Verdict, deciding};
use crate::engine::parts::{Kind, Part, Step, Title};
use crate::engine::probing::SettledValue;
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
    /// Reference designator; a pair of places for a reading in circuit.
    #[serde(rename = "ref")]
    pub designator: String,
    /// Measurement of the part.
    pub step: Step,
    /// Kind of part.
    pub kind: Kind,
    /// Value as the parts list writes it.
    pub listed: String,
    /// Whether the part was in circuit.
    pub in_circuit: bool,
    /// Counts the settled values of this measurement in the sitting, from 1.
    pub attempt: u32,
    /// Sort of finding: a value, open, or beyond the range.
    pub found: Found,
    /// The judged quantity. The meter read the same, but for a ratio, of which it read the alternating voltage on the secondary.
    #[serde(flatten, with = "quantity_and_unit")]
    pub quantity: Quantity,
    /// Settled value before any correction.
    pub read: Option<f64>,
    /// Value judged, after every correction; `None` where there is none.
    #[serde(flatten, with = "value_and_uncertainty")]
    pub value: Option<Uncertain>,
    /// Nominal value; where there is only an upper limit, that.
    pub nominal: f64,
    /// The limits that the value was held against.
    #[serde(flatten)]
    pub band: Band,
    /// Width of the guard band.
    pub guard: Option<f64>,
    /// Probability of conformity, 0 to 1.
    pub probability: Option<f64>,
    /// The verdict on the value alone.
    pub value_verdict: Verdict,
    /// The verdict on the whole: the worst of the value and of the checks.
    pub verdict: Verdict,
    /// Reason why the verdict on the whole is what it is, from whichever it comes.
    pub reason: String,
    /// Checks beyond the value, in the order in which they were made.
    pub checks: Vec<Check>,
    /// Effect of the policy; empty if none.
    pub policy: String,
    /// The decision rule.
    pub rule: Rule,
    /// Readings that the value rests on.
    pub readings: u32,
    /// The rows of the same sitting whose numbers went into this one.
    pub rests_on: Vec<u32>,
    /// The rows of the same sitting that this one takes back.
    pub withdraws: Vec<u32>,
}

/// Text before the designators of several parts.
const ONE_OF: &str = "one of ";

/// Where in the sitting a row stands.
#[derive(Debug, Clone)]
pub struct RowPosition {
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
    /// The rows that it takes back.
    pub withdraws: Vec<u32>,
}

impl Row {
    /// The row of what settled on `part`, as it was judged.
    pub fn of(
        part: &Part,
        settled: &SettledValue,
        judgement: Judgement,
        place: RowPosition,
    ) -> Self {
        let read = settled.finding.estimate().map(|estimate| estimate.value);
        let grounds = judgement.grounds;
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
            found: grounds.found,
            quantity: part.nominal.quantity(),
            read,
            value: grounds.value,
            nominal: part.nominal.value(),
            band: grounds.band,
            guard: grounds.guard(),
            probability: judgement.probability,
            value_verdict: judgement.of_value,
            verdict: judgement.verdict,
            reason: judgement.why(),
            policy: policy(&judgement.checks),
            checks: judgement.checks,
            rule: grounds.rule,
            readings: settled.readings,
            rests_on: place.rests_on,
            withdraws: place.withdraws,
        }
    }

    /// The row of a value that may be of any of these parts. It counts for none of them.
    #[must_use]
    pub fn of_one_of(self, designators: &[&str]) -> Self {
        Self {
            designator: format!("{ONE_OF}{}", designators.join(", ")),
            ..self
        }
    }

    /// Whether it is that of a value which may be of several parts, and counts for none.
    pub fn is_of_one_of(&self) -> bool {
        self.designator.starts_with(ONE_OF)
    }

    /// All that the verdict on the value follows from.
    pub fn grounds(&self) -> Grounds {
        Grounds {
            step: self.step,
            quantity: self.quantity,
            in_circuit: self.in_circuit,
            found: self.found,
            is_fed: !self.rests_on.is_empty(),
            is_read_negative: self.read.is_some_and(|read| read < 0.0),
            with_leads: self.kind.conducts() && self.check(Aspect::Leads).is_none(),
            value: self.value,
            band: self.band,
            rule: self.rule,
        }
    }

    /// The judgement that follows from the row alone, by the very function that judged it at the bench.
    pub fn judged_again(&self) -> Judgement {
        Judgement::by(self.grounds(), self.checks.clone())
    }

    /// The check that the verdict comes from; `None` where the value alone decides.
    pub fn deciding(&self) -> Option<&Check> {
        deciding(&self.checks, self.value_verdict, self.verdict)
    }

    /// The checks that did not pass, without the one that [`Self::reason`] tells already.
    pub fn further_doubts(&self) -> impl Iterator<Item = (&Check, Verdict)> {
        let told = self.deciding();
        let further = self.checks.iter().filter(move |check| Some(*check) != told);
        let verdict = |check: &Check| check.verdict.filter(|verdict| *verdict != Verdict::Pass);
        further.filter_map(move |check| Some((check, verdict(check)?)))
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

    /// Names the measurement.
    pub fn title(&self) -> Title {
        Title::of(&self.designator, self.step)
    }
}

/// A quantity, and beside it its unit.
mod quantity_and_unit {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use super::Quantity;

    #[derive(Serialize, Deserialize)]
    struct Both {
        quantity: Quantity,
        unit: String,
    }

    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde calls it with a reference"
    )]
    pub(super) fn serialize<S: Serializer>(quantity: &Quantity, to: S) -> Result<S::Ok, S::Error> {
        let unit = quantity.unit_name().to_owned();
        let quantity = *quantity;
        Both { quantity, unit }.serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Quantity, D::Error> {
        Both::deserialize(from).map(|both| both.quantity)
    }
}

/// Value and uncertainty as two fields that are always there.
mod value_and_uncertainty {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use super::Uncertain;

    #[derive(Serialize, Deserialize)]
    struct Both {
        value: Option<f64>,
        uncertainty: Option<f64>,
    }

    #[expect(clippy::ref_option, reason = "serde calls it with a reference")]
    pub(super) fn serialize<S: Serializer>(
        judged: &Option<Uncertain>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        let both = Both {
            value: judged.map(|judged| judged.value),
            uncertainty: judged.map(|judged| judged.u),
        };
        both.serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Uncertain>, D::Error> {
        let Both { value, uncertainty } = Both::deserialize(from)?;
        Ok(value
            .zip(uncertainty)
            .map(|(value, u)| Uncertain::new(value, u)))
    }
}

/// Effect of the policy, by the checks that tell of it.
fn policy(checks: &[Check]) -> String {
    let words = checks.iter().filter_map(|check| match check.aspect {
        Aspect::Role => Some("other limits"),
        Aspect::Replacement => Some("replace"),
        _ => None,
    });
    words.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
impl Row {
    /// A resistor of 100 Ω ± 10 % that measures right, for tests.
    pub(crate) fn sample(designator: &str) -> Self {
        Self {
            row: 1,
            time: DateTime::parse_from_rfc3339("2056-11-03T19:25:40.250+01:00").expect("a time"),
            sitting: "one".to_owned(),
            designator: designator.to_owned(),
            step: Step::Value,
            kind: Kind::Resistor,
            listed: "100".to_owned(),
            in_circuit: false,
            attempt: 1,
            found: Found::Value,
            quantity: Quantity::Resistance,
            read: Some(100.0),
            value: Some(Uncertain::new(100.0, 0.3)),
            nominal: 100.0,
            band: Band::new(90.0, 110.0).expect("limits"),
            guard: None,
            probability: None,
            value_verdict: Verdict::Pass,
            verdict: Verdict::Pass,
            reason: String::new(),
            checks: Vec::new(),
            policy: String::new(),
            rule: Rule::GuardBand,
            readings: 10,
            rests_on: Vec::new(),
            withdraws: Vec::new(),
        }
        .judged_anew()
    }

    /// The row as it is judged by what it holds.
    pub(crate) fn judged_anew(mut self) -> Self {
        let judgement = self.judged_again();
        self.reason = judgement.why();
        (self.guard, self.probability) = (judgement.grounds.guard(), judgement.probability);
        (self.value_verdict, self.verdict) = (judgement.of_value, judgement.verdict);
        self
    }

    /// With that value.
    pub(crate) fn with_value(mut self, value: f64, u: f64) -> Self {
        self.read = Some(value);
        self.value = Some(Uncertain::new(value, u));
        self.judged_anew()
    }
}

//! [`Ruling`]: the verdicts of a sitting by the rules it was judged by, beside those by others.
//!
//! [`RulingChange`]: what becomes of one measurement under other rules.
//!
//! [`RulingCounts`]: how many measurements would change under other rules.
//!
//! [`Holding`]: the rule of a policy that holds for a measurement, in words.

use std::collections::BTreeMap;
use std::fmt;

use serde::Serialize;

use crate::engine::judge::capacitor::Condition;
use crate::engine::judge::policy::BandChange::{NarrowTo, WidenTo};
use crate::engine::judge::{Policy, Verdict};
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{Band, counted, format_band};
use crate::engine::sitting::{Plan, Record};

/// Outcome of the last judgement of an entry.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Judged {
    verdict: Verdict,
    band: Band,
}

/// The verdicts of a sitting by one plan: of each entry the last one.
#[derive(Debug)]
pub struct Ruling {
    plan: Plan,
    judged: Vec<Option<Judged>>,
}

impl Ruling {
    /// Nothing judged yet.
    pub fn by(plan: Plan) -> Self {
        Self {
            judged: vec![None; plan.parts().len()],
            plan,
        }
    }

    /// Takes a record that a replay by this plan gives.
    pub fn hear(&mut self, record: &Record) {
        self.judged[record.part] = Some(Judged {
            verdict: record.row.verdict,
            band: record.row.band,
        });
    }

    /// Changes from this one to `other`, of the same recording, in the order of the list.
    pub fn changes(&self, other: &Self, counts: &mut RulingCounts) -> Vec<RulingChange> {
        let mut changes = Vec::new();
        for (part, before) in self.plan.parts().iter().zip(&self.judged) {
            let place = other
                .plan
                .parts()
                .iter()
                .position(|one| one.designator == part.designator && one.step == part.step);
            let after = place.and_then(|place| other.judged[place]);
            if before.is_none() && after.is_none() {
                continue;
            }
            let change = self.change(other, part, *before, after);
            counts.count(change.as_ref());
            changes.extend(change);
        }
        changes
    }

    fn change(
        &self,
        other: &Self,
        part: &Part,
        before: Option<Judged>,
        after: Option<Judged>,
    ) -> Option<RulingChange> {
        let limits = before
            .zip(after)
            .map(|(before, after)| (before.band, after.band));
        let limits = limits.filter(|(before, after)| before != after);
        let verdicts = [before, after].map(name);
        let (old, new) = (
            &self.plan.conditions().policy,
            &other.plan.conditions().policy,
        );
        let replaced = Holding::replacement(part, old) != Holding::replacement(part, new);
        if limits.is_none() && verdicts[0] == verdicts[1] && !replaced {
            return None;
        }
        let condition = self.plan.conditions().condition_of(part);
        let mut reasons = differences(part, condition, old, new);
        let rules = (self.plan.conditions().rule, other.plan.conditions().rule);
        if rules.0 != rules.1 && verdicts[0] != verdicts[1] {
            reasons.push(format!("decision rule: {} -> {}", rules.0, rules.1));
        }
        if reasons.is_empty() {
            reasons.push(
                "by another measurement of the same part or of what belongs to it".to_owned(),
            );
        }
        Some(RulingChange {
            designator: part.designator.clone(),
            step: part.step.to_string(),
            limits: limits.map(|(before, after)| {
                [before, after].map(|band| format_band(part.nominal.quantity(), band))
            }),
            verdicts,
            reasons,
        })
    }
}

fn name(judged: Option<Judged>) -> &'static str {
    judged.map_or("not judged", |judged| judged.verdict.name())
}

/// Change of one measurement under other rules.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RulingChange {
    #[serde(rename = "ref")]
    pub designator: String,
    pub step: String,
    /// Limits before and after in words, where they change.
    pub limits: Option<[String; 2]>,
    /// Names of the verdict before and after; `not judged` where there is none.
    pub verdicts: [&'static str; 2],
    /// Rules that make the difference, in words.
    pub reasons: Vec<String>,
}

impl RulingChange {
    /// Whether the verdict changes.
    pub fn changes_verdict(&self) -> bool {
        self.verdicts[0] != self.verdicts[1]
    }
}

impl fmt::Display for RulingChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [before, after] = self.verdicts;
        write!(f, "{} {}: ", self.designator, self.step)?;
        if self.changes_verdict() {
            write!(f, "{before} -> {after}")?;
        } else {
            write!(f, "still {after}")?;
        }
        if let Some([before, after]) = &self.limits {
            write!(f, "; limits {before} -> {after}")?;
        }
        self.reasons
            .iter()
            .try_for_each(|reason| write!(f, "\n    {reason}"))
    }
}

/// Number of measurements that changed, and in which way.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct RulingCounts {
    measurements: u64,
    changed: u64,
    /// By verdict before and after, with an arrow between.
    verdicts: BTreeMap<String, u64>,
}

impl RulingCounts {
    /// Counts a measurement, with its change if it has one.
    pub(super) fn count(&mut self, change: Option<&RulingChange>) {
        self.measurements += 1;
        let Some(change) = change else { return };
        self.changed += 1;
        if change.changes_verdict() {
            let pair = change.verdicts.join(" -> ");
            *self.verdicts.entry(pair).or_default() += 1;
        }
    }
}

impl fmt::Display for RulingCounts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let verdicts: u64 = self.verdicts.values().sum();
        write!(
            f,
            "{} of {} would change, {} of them the verdict",
            self.changed,
            counted(self.measurements, "measurement"),
            verdicts
        )?;
        let each = self
            .verdicts
            .iter()
            .map(|(verdicts, count)| format!("{count} {verdicts}"))
            .collect::<Vec<_>>();
        if each.is_empty() {
            return Ok(());
        }
        write!(f, ": {}", each.join(", "))
    }
}

/// The rule of a policy that holds for a measurement.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Holding {
    words: String,
    source: String,
}

impl Holding {
    /// The rule by which the part is replaced whatever it reads.
    pub(super) fn replacement(part: &Part, policy: &Policy) -> Option<Self> {
        let rule = policy.replaces(part)?;
        Some(Self {
            words: rule.reason.clone(),
            source: rule.source.clone(),
        })
    }

    /// The rule about its role.
    fn role(part: &Part, policy: &Policy) -> Option<Self> {
        let rule = policy.band_for(part).role_rule?;
        let change = match rule.change {
            WidenTo(tolerance) => format!("widened to {tolerance}"),
            NarrowTo(tolerance) => format!("narrowed to {tolerance}"),
        };
        let words = rule.words.words().join("`, `");
        Some(Self {
            words: format!("{change} for `{words}`, {}", rule.reason),
            source: rule.source.clone(),
        })
    }

    /// The insulation that a coupling capacitor at a grid needs.
    fn grid(part: &Part, policy: &Policy) -> Option<Self> {
        let rule = policy.grid_coupling();
        let holds = rule.fits(part);
        holds.then(|| Self {
            words: format!("at least {} MΩ", rule.least_ohm / 1e6),
            source: rule.source.clone(),
        })
    }
}

/// The rules of two policies that a measurement is under, where they differ, in words.
pub(super) fn differences(
    part: &Part,
    condition: Condition,
    old: &Policy,
    new: &Policy,
) -> Vec<String> {
    let both = |rule: fn(&Part, &Policy) -> Option<Holding>| (rule(part, old), rule(part, new));
    let mut said = vec![difference(
        "replaced whatever it reads",
        both(Holding::replacement),
    )];
    match part.step {
        Step::Value => said.push(difference("role", both(Holding::role))),
        Step::Leakage => {
            let forms = (old.leakage_form(condition), new.leakage_form(condition));
            let differs = forms.0 != forms.1;
            said.push(differs.then(|| format!("leakage: form `{}` -> `{}`", forms.0, forms.1)));
            said.push(difference("grid coupling", both(Holding::grid)));
        }
        _ => {}
    }
    said.into_iter().flatten().collect()
}

fn difference(what: &str, (before, after): (Option<Holding>, Option<Holding>)) -> Option<String> {
    if before == after {
        return None;
    }
    let none = || "no rule".to_owned();
    let before = before.map_or_else(none, |rule| rule.words);
    let after = after.map_or_else(none, |rule| format!("{} ({})", rule.words, rule.source));
    Some(format!("{what}: {before} -> {after}"))
}

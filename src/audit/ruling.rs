//! [`Ruling`]: the verdicts of a sitting by the rules it was judged by, beside those by others.

use std::collections::BTreeMap;
use std::fmt;

use serde::Serialize;

use super::ruling_change::RulingChange;
use super::tally::counted;
use crate::judge::capacitor::Condition;
use crate::judge::policy::BandChange::{NarrowTo, WidenTo};
use crate::judge::{Policy, Verdict};
use crate::parts::{Part, Step};
use crate::quantity::Band;
use crate::sitting::{Plan, Record};

/// What the last judgement of an entry came to.
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

/// How many measurements changed, and in which way.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct RulingCounts {
    measurements: u64,
    changed: u64,
    /// By verdict before and after, with an arrow between.
    verdicts: BTreeMap<String, u64>,
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
            verdict: record.judgement.verdict,
            band: record.judgement.band,
        });
    }

    /// What changes from this one to `other`, of the same recording, in the order of the list.
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
            counts.measurements += 1;
            let change = self.change(other, part, *before, after);
            if let Some(change) = change {
                counts.count(&change);
                changes.push(change);
            }
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
        let verdicts = (before.map(|one| one.verdict), after.map(|one| one.verdict));
        let (old, new) = (
            &self.plan.conditions().policy,
            &other.plan.conditions().policy,
        );
        let replaced = replacement(part, old) != replacement(part, new);
        if limits.is_none() && verdicts.0 == verdicts.1 && !replaced {
            return None;
        }
        let condition = self.plan.conditions().condition;
        let mut because = rules_of_policy(part, condition, old, new);
        let rules = (self.plan.conditions().rule, other.plan.conditions().rule);
        if rules.0 != rules.1 && verdicts.0 != verdicts.1 {
            because.push(format!("decision rule: {} -> {}", rules.0, rules.1));
        }
        if because.is_empty() {
            because.push(
                "by another measurement of the same part or of what belongs to it".to_owned(),
            );
        }
        Some(RulingChange {
            designator: part.designator.clone(),
            step: part.step.to_string(),
            limits: limits.map(|(before, after)| (part.nominal.quantity(), before, after)),
            verdicts,
            because,
        })
    }
}

/// The rules of two policies that a measurement is under, where they differ.
fn rules_of_policy(part: &Part, condition: Condition, old: &Policy, new: &Policy) -> Vec<String> {
    let form = |policy: &Policy| format!("form `{}`", policy.leakage_form(condition));
    let mut rules = vec![(
        "replaced whatever it reads",
        replacement(part, old),
        replacement(part, new),
    )];
    match part.step {
        Step::Value => rules.push(("role", role(part, old), role(part, new))),
        Step::Leakage => {
            rules.push(("leakage", form(old), form(new)));
            rules.push(("grid coupling", grid(part, old), grid(part, new)));
        }
        _ => {}
    }
    rules
        .into_iter()
        .filter(|(_, before, after)| before != after)
        .map(|(what, before, after)| format!("{what}: {before} -> {after}"))
        .collect()
}

const NONE: &str = "no rule";

fn replacement(part: &Part, policy: &Policy) -> String {
    let rule = policy.replaces(part);
    rule.map_or_else(
        || NONE.to_owned(),
        |rule| format!("{} ({})", rule.reason, rule.source),
    )
}

fn role(part: &Part, policy: &Policy) -> String {
    let Some(rule) = policy.band_for(part).role_rule else {
        return NONE.to_owned();
    };
    let change = match rule.change {
        WidenTo(tolerance) => format!("widened to {tolerance}"),
        NarrowTo(tolerance) => format!("narrowed to {tolerance}"),
    };
    format!(
        "{change} for `{}`, {} ({})",
        rule.words.words().join("`, `"),
        rule.reason,
        rule.source
    )
}

fn grid(part: &Part, policy: &Policy) -> String {
    let rule = policy.grid_coupling();
    if rule.fits(part) {
        let least = rule.least_ohm / 1e6;
        format!("at least {least} MΩ ({})", rule.source)
    } else {
        NONE.to_owned()
    }
}

impl RulingCounts {
    fn count(&mut self, change: &RulingChange) {
        self.changed += 1;
        if change.changes_verdict() {
            let name = |verdict: Option<Verdict>| verdict.map_or("not judged", Verdict::name);
            let pair = format!("{} -> {}", name(change.verdicts.0), name(change.verdicts.1));
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

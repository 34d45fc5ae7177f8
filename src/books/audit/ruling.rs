//! [`Ruling`]: the verdicts of a sitting by the rules it was judged by, beside those by others.

use super::holding::{Holding, differences};
use super::ruling_change::RulingChange;
use super::ruling_counts::RulingCounts;
use crate::engine::judge::Verdict;
use crate::engine::parts::Part;
use crate::engine::quantity::{Band, format_band};
use crate::engine::sitting::{Plan, Record};

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
        let mut because = differences(part, condition, old, new);
        let rules = (self.plan.conditions().rule, other.plan.conditions().rule);
        if rules.0 != rules.1 && verdicts[0] != verdicts[1] {
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
            limits: limits.map(|(before, after)| {
                [before, after].map(|band| format_band(part.nominal.quantity(), band))
            }),
            verdicts,
            because,
        })
    }
}

fn name(judged: Option<Judged>) -> &'static str {
    judged.map_or("not judged", |judged| judged.verdict.name())
}

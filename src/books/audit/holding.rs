//! [`Holding`]: the rule of a policy that holds for a measurement, in words.

use crate::engine::judge::Policy;
use crate::engine::judge::capacitor::Condition;
use crate::engine::judge::policy::BandChange::{NarrowTo, WidenTo};
use crate::engine::parts::{Part, Step};

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

//! What to type next.

use crate::books::ledger::{Account, Glance, Standing};

/// The commands that take the job further, the most urgent first, each with what it is for.
pub(super) fn next(glance: &Glance<'_>, job: &str) -> Vec<(String, &'static str)> {
    let first = |standing| glance.of(standing).next().map(name);
    let mut all = Vec::new();
    if glance
        .parts
        .iter()
        .all(|(_, one)| one.measurements.is_empty())
    {
        all.push((format!("probewright sit {job}"), "measure it"));
    } else if glance.to_measure().next().is_some() {
        all.push((
            format!("probewright sit {job} --open"),
            "measure what is to be measured",
        ));
    }
    if let Some(part) = first(Standing::Undecided) {
        all.push((
            format!("probewright why {job} {part}"),
            "see why a verdict is what it is",
        ));
        all.push((
            format!("probewright decide {job} {part} replace"),
            "or keep, order, fitted, accept; with --reason",
        ));
    }
    if let Some(part) = first(Standing::ToReplace) {
        all.push((format!("probewright order {job}"), "what is to be bought"));
        all.push((
            format!("probewright decide {job} {part} order"),
            "once the new one is on order",
        ));
    }
    if let Some(part) = first(Standing::OnOrder) {
        all.push((
            format!("probewright decide {job} {part} fitted"),
            "once the new one is in",
        ));
    }
    if all.is_empty() {
        all.push((format!("probewright compare {job}"), "what has changed"));
        all.push((
            format!("probewright report {job}"),
            "a record for the owner",
        ));
    }
    all
}

fn name<'a>(account: &Account<'a>) -> &'a str {
    &account.part.designator
}

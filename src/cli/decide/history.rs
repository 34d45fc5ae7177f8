//! What was measured of a part and what was decided about it, in the order of time.

use crate::engine::parts::Step;
use std::io::{self, Write};

use super::saying;
use crate::books::batch::Bags;
use crate::books::ledger::{Account, Decision, Row};
use crate::books::when::minute;
use crate::engine::parts::Part;
use crate::engine::quantity::{Tolerance, format_value};

/// Writes the history of a part, and where it stands.
pub(super) fn write(account: &Account<'_>, bags: &Bags, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{}", heading(account.part))?;
    let measured = account.measurements.iter();
    let decided = account.decisions.iter();
    let mut lines: Vec<_> = measured
        .map(|one| (one.time, measurement(one)))
        .chain(decided.map(|one| (one.time, decision(one, bags))))
        .collect();
    lines.sort_by_key(|(time, _)| *time);
    for (time, line) in &lines {
        writeln!(out, "  {:>17}  {line}", minute(*time))?;
    }
    if lines.is_empty() {
        writeln!(out, "  nothing was measured and nothing decided")?;
    }
    writeln!(out, "now: {}", standing(account))
}

/// `R4  resistor 4.7 kΩ ±10 %, anode load, HT2 to V1 anode`.
fn heading(part: &Part) -> String {
    let value = format_value(part.nominal.quantity(), part.nominal.value(), 4);
    let what = if part.tolerance == Tolerance::MAXIMUM {
        format!("{} at most {value}", part.kind)
    } else {
        format!("{} {value} {}", part.kind, part.tolerance)
    };
    let place = match (part.from.as_str(), part.to.as_str()) {
        ("", "") => String::new(),
        (from, "") => format!("at {from}"),
        ("", to) => format!("at {to}"),
        (from, to) => format!("{from} to {to}"),
    };
    let circuit = if part.in_circuit { "in circuit" } else { "" };
    let words = [&what, &part.role, &place, circuit].map(str::to_owned);
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    format!("{}  {}", part.designator, words.join(", "))
}

fn measurement(one: &Row) -> String {
    let step = if one.step == Step::Value {
        String::new()
    } else {
        format!("{} ", one.step)
    };
    let verdict = one.verdict.name().to_uppercase();
    format!(
        "{:<24} {verdict:<17} {}; sitting {}",
        step + &one.words(),
        one.comparison(),
        one.sitting
    )
}

/// What was decided; below it what was found of the bag that the part came from.
fn decision(one: &Decision, bags: &Bags) -> String {
    let words = format!("decided: {}", saying::words(one));
    match one.bag {
        Some(bag) => format!("{words}\n{:21}{}", "", bags.words(bag)),
        None => words,
    }
}

/// Where the part stands, and what of it was never measured.
fn standing(account: &Account<'_>) -> String {
    let mut words = account.standing().to_string();
    let missing = account.missing();
    if !missing.is_empty() && !account.latest().is_empty() {
        words = format!("{words}; not measured: {}", missing.join(", "));
    }
    if account.worse_since() {
        words.push_str("; measures worse since that was decided");
    }
    words
}

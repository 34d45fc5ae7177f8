//! What is not known, and what could be done about it.

use maud::{Markup, html};

use super::words;
use crate::books::ledger::{Account, Row};
use crate::engine::judge::Verdict;
use crate::views::report::owner::{Facts, StepRow};

/// The section.
pub(super) fn section(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let rows = || accounts.iter().flat_map(StepRow::of);
    let inconclusive: Vec<StepRow<'_, '_>> = rows()
        .filter(|row| current(row).is_some_and(|one| one.verdict == Verdict::Inconclusive))
        .collect();
    let near = rows()
        .filter(|row| {
            current(row).is_some_and(|one| {
                matches!(
                    one.verdict,
                    Verdict::ConditionalPass | Verdict::ConditionalFail
                )
            })
        })
        .count();
    let worse: Vec<&Account<'_>> = accounts.iter().filter(|one| one.worse_since()).collect();
    let strangers = facts.strangers();
    html! {
        section.unknown aria-labelledby="unknown" {
            h2 id="unknown" { "What is not known" }
            ul {
                (missing(accounts))
                @for row in &inconclusive { (proves_nothing(row)) }
                @if near > 0 {
                    li { (words::count(near, "value lies", "values lie")) " so near to a limit that the meter’s uncertainty reaches across it: the verdict is “conditional”, and a better meter could settle it." }
                }
                @if !worse.is_empty() {
                    li { "Measured worse after it was decided that they stay: " (words::designators(&worse)) ". That decision should be looked at again." }
                }
                @if strangers > 0 {
                    li { (words::count(strangers, "measurement is", "measurements are")) " of parts that are not, or no longer, on the list; the results have them." }
                }
                li { "Valves, wiring, solder joints, sockets and insulation were not part of this, nor how it sounds or what it does under power." }
                li { "A part that reads right today may fail tomorrow: a value is what it was on the day of its measurement." }
            }
        }
    }
}

/// What counts of a step: what is in now, or, if that was not measured, nothing.
fn current<'a>(row: &StepRow<'a, '_>) -> Option<&'a Row> {
    row.after
}

fn missing(accounts: &[Account<'_>]) -> Markup {
    let wholly: Vec<&Account<'_>> = accounts
        .iter()
        .filter(|one| one.latest().is_empty())
        .collect();
    let partly = accounts
        .iter()
        .filter(|one| !one.latest().is_empty() && !one.missing().is_empty());
    html! {
        @if !wholly.is_empty() {
            li { (if wholly.len() == accounts.len() { "Nothing of what is in it now was measured" } else { "Not measured, of what is in it now" }) ": " (words::designators(&wholly)) "." }
        }
        @for account in partly {
            li { "Of " b { (words::own(&account.part.designator)) } " the list asks for more than was measured; missing: " (account.missing().join(", ")) "." }
        }
    }
}

fn proves_nothing(row: &StepRow<'_, '_>) -> Markup {
    let Some(one) = row.after else {
        return html! {};
    };
    html! {
        li {
            b { (words::own(&row.title())) } " read " (words::found(one)) ", which proves nothing: " (words::own(&one.reason)) ". "
            @if one.in_circuit { "To know, unsolder one end of it and measure it again." }
            @else { "To know, measure it again." }
        }
    }
}

//! The summary in plain words: what was gone through, done, and is left; what to know before switching on; what is not known.

use maud::{Markup, html};

use super::replaced;
use super::words::{self, count};
use crate::books::ledger::{Account, Choice, Row, Standing};
use crate::engine::judge::Verdict;
use crate::views::report::owner::facts::Counts;
use crate::views::report::owner::{Facts, StepRow};

/// The section: what there is to say in two sentences and in five numbers.
pub(super) fn section(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    html! {
        section.summary aria-labelledby="summary" {
            h2.unseen id="summary" { "In short" }
            (opening(facts, &Counts::of(accounts)))
            (tiles(accounts))
        }
    }
}

/// The section: what was replaced, left, and is still to be done.
pub(super) fn done(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    html! {
        section.done aria-labelledby="done" {
            h2 id="done" { "What was done" }
            (replaced::tables(facts, accounts))
            (left(accounts))
            (to_do(accounts))
            (all_well(facts, accounts))
        }
    }
}

fn opening(facts: &Facts<'_>, counts: &Counts) -> Markup {
    let measurements = &facts.book.measurements;
    let first = measurements.iter().map(|one| one.time).min();
    let last = measurements.iter().map(|one| one.time).max();
    let sittings = facts
        .sittings
        .iter()
        .filter(|one| !one.of_new_parts)
        .count();
    html! {
        p.lead {
            @if counts.parts == 0 {
                "The parts list of this equipment is still empty, so there is nothing to tell yet."
            } @else {
                "The maker’s list has " (words::count(counts.parts, "part", "parts")) ". "
                @match (counts.measured, first, last) {
                    (0, ..) | (_, None, _) | (_, _, None) => { "None of them was measured yet." }
                    (measured, Some(first), Some(last)) => {
                        (if measured == counts.parts && measured > 1 { "All of them were".to_owned() } else { words::count(measured, "of them was", "of them were") })
                        " measured, "
                        @if words::day(first) == words::day(last) { "on " (words::day(first)) }
                        @else { "from " (words::day(first)) " to " (words::day(last)) }
                        @if sittings > 1 { ", in " (sittings) " sittings" }
                        ". "
                        (outcome(counts))
                    }
                }
            }
        }
    }
}

fn outcome(counts: &Counts) -> String {
    let replaced = match counts.replaced {
        0 => "Nothing was replaced so far".to_owned(),
        number => words::count(number, "part was replaced", "parts were replaced"),
    };
    let to_do = match counts.to_do {
        0 => "nothing is left to be done about a value".to_owned(),
        number => format!(
            "something is still to be done about {}",
            words::count(number, "part", "parts")
        ),
    };
    format!("{replaced}, and {to_do}.")
}

/// As many as the lists below have of each.
fn tiles(accounts: &[Account<'_>]) -> Markup {
    let count = |fits: fn(&&Account<'_>) -> bool| accounts.iter().filter(fits).count();
    let tiles = [
        (accounts.len(), "on the list"),
        (
            count(|one| one.standing() == Standing::Good),
            "good as found",
        ),
        (count(|one| one.fitted().is_some()), "replaced"),
        (count(|one| stays(one)), "left, knowingly"),
        (count(|one| one.standing().is_to_do()), "still to do"),
    ];
    html! {
        dl.tiles {
            @for (number, word) in tiles { div { dt { (word) } dd { (number) } } }
        }
    }
}

/// Whether it was decided that the part stays.
fn stays(account: &Account<'_>) -> bool {
    let decision = account.decision();
    decision.is_some_and(|one| matches!(one.choice, Choice::Keep | Choice::Accept))
}

/// Parts, each with what there is to be said about it.
fn told<'a>(
    accounts: &[Account<'a>],
    fits: impl Fn(&Account<'a>) -> bool,
    say: impl Fn(&Account<'a>) -> Markup,
) -> Markup {
    html! {
        ul.told {
            @for account in accounts.iter().filter(|account| fits(account)) {
                li {
                    p.part { b { (words::own(&account.part.designator)) } " " span.faint { (words::what(account.part))
                        @if !account.part.role.is_empty() { ", " (words::own(&account.part.role)) } } }
                    p { (say(account)) }
                }
            }
        }
    }
}

fn left(accounts: &[Account<'_>]) -> Markup {
    html! {
        @if accounts.iter().any(stays) {
            h3 { "What was knowingly left" }
            (told(accounts, stays, words::left))
        }
    }
}

fn to_do(accounts: &[Account<'_>]) -> Markup {
    let told_of = |account: &Account<'_>| {
        account.standing().is_to_do() && account.standing() != Standing::NotMeasured
    };
    let unmeasured: Vec<&Account<'_>> = accounts
        .iter()
        .filter(|account| account.standing() == Standing::NotMeasured)
        .collect();
    html! {
        @if accounts.iter().any(|account| account.standing().is_to_do()) {
            h3 { "What is still to do" }
            @if accounts.iter().any(told_of) { (told(accounts, told_of, words::to_do)) }
            @if !unmeasured.is_empty() {
                p { strong { "Not measured yet, or only in part: " } (words::designators(&unmeasured)) "." }
            }
        }
    }
}

/// Parts that nobody needed to say anything about.
fn all_well(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let good = accounts
        .iter()
        .filter(|one| one.standing() == Standing::Good);
    let (doubtful, good): (Vec<_>, Vec<_>) =
        good.partition(|one| facts.policy.replaces(one.part).is_some());
    html! {
        @if !good.is_empty() {
            p { (words::count(good.len(), "part reads as it should", "parts read as they should")) ", and nothing needed to be decided." }
        }
        @if !doubtful.is_empty() {
            p {
                (words::count(doubtful.len(), "part more reads as it should, but is", "parts more read as they should, but are"))
                " of a make that does not last, and " (if facts.own_policy { "the policy of this job" } else { "the usual policy" })
                " is to replace them whatever they read. Nothing was decided about them: "
                (words::designators(&doubtful)) "."
            }
        }
    }
}

/// The section.
pub(super) fn cautions(accounts: &[Account<'_>]) -> Markup {
    let to_do = accounts
        .iter()
        .filter(|one| one.standing().is_to_do())
        .count();
    html! {
        section.cautions aria-labelledby="cautions" {
            h2 id="cautions" { "Before it is switched on" }
            p.lead { "A verdict in this report is about a value, never about safety." }
            ul {
                @if to_do > 0 {
                    li { strong { "It is not finished." } " Something is still to be done about " (count(to_do, "part", "parts")) ", listed above. Until then it should not be switched on." }
                }
                li { strong { "Voltages in valve equipment kill." } " They are there while it is on, and its capacitors may hold them for long after it was unplugged. Leave it closed; leave work inside to someone who knows how to discharge it and verifies with a voltmeter that it stays discharged." }
                li { strong { "Its insulation is as old as it is." } " Wires, transformers, sockets and switches may look sound and not be. Nothing in this report has tested insulation, except the capacitors of which a leakage is listed." }
                li { strong { "Mains cord, plug, fuse and earth" } " decide whether it is safe to touch, and so do the capacitors between the mains and the chassis: those must be made and marked for that place (safety class X or Y, IEC 60384-14). Have them checked by someone who is qualified for it." }
                li { strong { "The first power-up" } " belongs to a person who knows this kind of equipment and is not alone: through a device that limits the current, the voltages watched from the first moment, one hand kept away, ready to switch off." }
                li { "Your local codes go before anything written here, and licensed work is for licensed people." }
            }
        }
    }
}

/// The section.
pub(super) fn unknown(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
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

/// Value of a step that counts: of what is in now, or, if that was not measured, nothing.
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

//! The summary: what was gone through, what was done, and what is left, in plain words.

use maud::{Markup, html};

use super::{sentence, words};
use crate::books::ledger::{Account, Choice, Standing};
use crate::views::report::owner::Facts;
use crate::views::report::owner::counts::Counts;

/// The section.
pub(super) fn section(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let counts = Counts::of(accounts);
    html! {
        section.summary aria-labelledby="summary" {
            h2 id="summary" { "In short" }
            (opening(facts, &counts))
            (tiles(&counts))
            (replaced(facts, accounts))
            (left(accounts))
            (open(accounts))
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
    let open = match counts.open {
        0 => "nothing is left to be done about a value".to_owned(),
        number => format!(
            "something is still to be done about {}",
            words::count(number, "part", "parts")
        ),
    };
    format!("{replaced}, and {open}.")
}

fn tiles(counts: &Counts) -> Markup {
    let tiles = [
        (counts.parts, "on the list"),
        (counts.measured, "measured"),
        (counts.replaced, "replaced"),
        (counts.accepted, "left as it is, knowingly"),
        (counts.open, "still open"),
    ];
    html! {
        dl.tiles {
            @for (number, word) in tiles { div { dt { (word) } dd { (number) } } }
        }
    }
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

fn replaced(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let was = |account: &Account<'_>| account.fitted().is_some();
    html! {
        @if accounts.iter().any(was) {
            h3 { "What was replaced, and why" }
            (told(accounts, was, |account| sentence::replaced(account, facts)))
        }
    }
}

fn left(accounts: &[Account<'_>]) -> Markup {
    let stays = |account: &Account<'_>| {
        let decision = account.decision();
        decision.is_some_and(|one| matches!(one.choice, Choice::Keep | Choice::Accept))
    };
    html! {
        @if accounts.iter().any(stays) {
            h3 { "What was knowingly left" }
            (told(accounts, stays, sentence::left))
        }
    }
}

fn open(accounts: &[Account<'_>]) -> Markup {
    let told_of = |account: &Account<'_>| {
        account.standing().is_open() && account.standing() != Standing::NotMeasured
    };
    let unmeasured: Vec<&Account<'_>> = accounts
        .iter()
        .filter(|account| account.standing() == Standing::NotMeasured)
        .collect();
    html! {
        @if accounts.iter().any(|account| account.standing().is_open()) {
            h3 { "What is still open" }
            @if accounts.iter().any(told_of) { (told(accounts, told_of, sentence::open)) }
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

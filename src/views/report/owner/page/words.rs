//! Parts and values as the report words them, and what was found and done about a part in sentences.

use maud::{Markup, html};

use super::mark;
use crate::books::ledger::{Account, Choice, Found, Row, Standing};
use crate::engine::judge::Verdict;
use crate::engine::parts::{Part, Step};
use crate::engine::quantity::{format_band, format_stated};
use crate::views::report::owner::StepRow;
use crate::views::report::owner::facts::Target;

pub(super) use crate::views::report::html::{
    capital, count, day, moment, own, quoted, short_day, shown, stamp, unbroken,
};

/// `R1, R2 and R3`.
pub(super) fn designators(accounts: &[&Account<'_>]) -> Markup {
    html! {
        @for (place, account) in accounts.iter().enumerate() {
            @if place > 0 { (if place + 1 == accounts.len() { " and " } else { ", " }) }
            (own(&account.part.designator))
        }
    }
}

/// Finding as the end of a sentence: `at 4.7120 kΩ ± 0.0041 kΩ`, `open`.
pub(super) fn found_at(one: &Row) -> String {
    match one.found {
        Found::Value => format!("at {}", found(one)),
        Found::Open | Found::BeyondRange => found(one),
    }
}

/// Value with its expanded uncertainty, or the word for a finding that has none.
pub(super) fn found(one: &Row) -> String {
    match one.found {
        Found::BeyondRange => "beyond the range of the meter".to_owned(),
        Found::Value | Found::Open => unbroken(&one.words()),
    }
}

/// Finding with its verdict, which needs no word where its shape is the plainest.
pub(super) fn judged(one: &Row) -> Markup {
    let found = found(one);
    let (value, uncertainty) = found.split_at(found.rfind('±').unwrap_or(0));
    let plain = matches!(one.verdict, Verdict::Pass | Verdict::Fail);
    html! {
        // The mark stays with the last number.
        span.value {
            (value)
            span.unbroken { (uncertainty) @if plain { " " (mark::shape(one.verdict)) } }
            @if !plain { " " span.block { (mark::verdict(one.verdict)) } }
        }
    }
}

/// `4.23 kΩ to 5.17 kΩ`, `up to 1 Ω`, `100 MΩ or more`; `None` without limits.
pub(super) fn limits(target: Target) -> Option<String> {
    let limits = target.band.limits().into_iter().flatten();
    (limits.count() > 0).then(|| unbroken(&format_band(target.quantity, target.band)))
}

/// `paper capacitor, 47 nF`.
pub(super) fn what(part: &Part) -> String {
    let material = part
        .material
        .map_or_else(String::new, |material| format!("{material} "));
    let value = if part.kind.conducts() {
        shown(&part.value_text)
    } else {
        unbroken(&format_stated(
            part.nominal.quantity(),
            part.nominal.value(),
        ))
    };
    let value = if value.is_empty() {
        value
    } else {
        format!(", {value}")
    };
    format!("{material}{}{value}", part.kind)
}

/// First finding.
pub(super) fn as_found(account: &Account<'_>) -> Markup {
    let rows = StepRow::of(account);
    let measured = rows.iter().filter_map(|row| Some((row, row.before?)));
    let Some((row, before)) = measured.max_by_key(|(_, one)| one.verdict.severity()) else {
        return html! { "It was not measured before. " };
    };
    let limits = row.target().and_then(limits);
    let step = match row.step {
        Step::Value => String::new(),
        step => format!("{step} "),
    };
    html! {
        "Found " (step) (found_at(before))
        @if let Some(limits) = limits { ", where " (limits) " is right" }
        " " (mark::in_brackets(before.verdict)) ". "
    }
}

/// Reading of the part that is in now.
fn as_it_is(account: &Account<'_>) -> Markup {
    let rows = StepRow::of(account);
    let measured = rows.iter().filter_map(|row| Some((row, row.after?)));
    let Some((row, worst)) = measured.max_by_key(|(_, one)| one.verdict.severity()) else {
        return html! { "It was not measured. " };
    };
    html! {
        "It reads " (found(worst))
        @if let Some(limits) = row.target().and_then(limits) { ", where " (limits) " is right" }
        " " (mark::in_brackets(worst.verdict)) ". "
    }
}

/// The person's own words about it.
fn in_their_words(reason: &str) -> Markup {
    html! {
        @if !reason.trim().is_empty() { "“" (own(reason)) "” " }
    }
}

/// A part that stays: how it reads, and why it stays.
pub(super) fn left(account: &Account<'_>) -> Markup {
    html! {
        (as_it_is(account))
        @if let Some(decision) = account.decision() {
            (said(decision.choice)) " on " (day(decision.time)) ". " (in_their_words(&decision.reason))
        }
        @if account.worse_since() { strong { "A later measurement was worse than the one that this was decided on." } }
    }
}

/// A part with something still to be done.
pub(super) fn to_do(account: &Account<'_>) -> Markup {
    let standing = account.standing();
    let decision = account.decision();
    html! {
        strong { (capital(standing.words())) } ". "
        @if standing != Standing::FittedNotMeasured { (as_found(account)) }
        @if standing == Standing::FittedNotMeasured {
            @if let Some(fitted) = account.fitted() { "Fitted on " (day(fitted.time)) ". Still to be measured: " (account.missing().join(", ")) "." }
        } @else if let Some(decision) = decision {
            (said(decision.choice)) " on " (day(decision.time))
            @if !decision.article.is_empty() { ": " (own(&decision.article)) }
            ". " (in_their_words(&decision.reason))
        }
    }
}

/// A choice as what was said.
const fn said(choice: Choice) -> &'static str {
    match choice {
        Choice::Keep => "Kept",
        Choice::Replace => "To be replaced, decided",
        Choice::Order => "Ordered",
        Choice::Fitted => "Fitted",
        Choice::Accept => "Accepted as it is",
    }
}

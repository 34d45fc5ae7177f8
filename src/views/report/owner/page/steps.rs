//! Everything that was measured and decided, part by part, for the next technician.

use maud::{Markup, html};

use super::{mark, words};
use crate::books::batch::bag_label;
use crate::books::ledger::{Account, Choice, Decision, Row, Standing};
use crate::engine::parts::{Kind, Step, ToleranceOrigin, by_group};
use crate::views::report::owner::{Facts, StepRow};

/// The section.
pub(super) fn section(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    if accounts.is_empty() {
        return html! {};
    }
    let settings = &facts.book.settings;
    html! {
        section.steps aria-labelledby="steps" {
            h2 id="steps" { "For the next technician" }
            p {
                "Values with their expanded uncertainty, U = 2 u. The decision rule of this job is " b { (settings.rule) } ", the policy " (if facts.own_policy { "its own (policy.toml)" } else { "the one that comes with the program" }) ". "
                "Conformity is the probability that the value itself, and not only its reading, conforms. Where a limit differs from the list, the line below the part says why."
                @if let Some(mains) = settings.mains { " Mains: " (mains.volts()) " V, " (mains.hertz()) " Hz." }
            }
            @for together in by_group(accounts, |account| &account.part.group) {
                @if !together[0].part.group.is_empty() { h3 { (words::own(&together[0].part.group)) } }
                @for (title, group) in groups(&together) { (table(title, &group, facts)) }
            }
        }
    }
}

/// The parts by kind, in the order of the kinds and of the list.
pub(super) fn groups<'a, 'b>(
    accounts: &[&'b Account<'a>],
) -> Vec<(&'static str, Vec<&'b Account<'a>>)> {
    let of = |kind: Kind| {
        let accounts = accounts.iter().copied();
        accounts
            .filter(|one| one.part.kind == kind)
            .collect::<Vec<_>>()
    };
    let groups = Kind::ALL.map(|kind| (title(kind), of(kind)));
    groups
        .into_iter()
        .filter(|(_, group)| !group.is_empty())
        .collect()
}

const fn title(kind: Kind) -> &'static str {
    match kind {
        Kind::Resistor => "Resistors",
        Kind::Capacitor => "Capacitors",
        Kind::Winding => "Windings",
        Kind::Potentiometer => "Potentiometers",
        Kind::Coil => "Coils",
        Kind::Switch => "Switches",
        Kind::Fuse => "Fuses",
        Kind::Lamp => "Lamps",
        Kind::Point => "Test points, measured under power",
        Kind::Ratio => "Ratios of turns",
    }
}

fn table(title: &str, group: &[&Account<'_>], facts: &Facts<'_>) -> Markup {
    html! {
        table.step-table role="table" {
            caption { (title) }
            thead role="rowgroup" { tr role="row" {
                @for name in ["Part", "Should be", "Found", "Now", "Decision", "Measured with"] {
                    th scope="col" role="columnheader" { (name) }
                }
            } }
            @for account in group { (body(account, facts)) }
        }
    }
}

fn body(account: &Account<'_>, facts: &Facts<'_>) -> Markup {
    let more = more(account, facts);
    html! {
        tbody role="rowgroup" {
            @for (place, row) in StepRow::of(account).iter().enumerate() { (step(row, place == 0, facts)) }
            @if !more.is_empty() {
                tr.more role="row" {
                    td colspan="6" role="cell" {
                        @for (word, text) in &more { p { span.faint { (word) ": " } (words::own(text)) } }
                    }
                }
            }
        }
    }
}

fn step(row: &StepRow<'_, '_>, first: bool, facts: &Facts<'_>) -> Markup {
    html! {
        tr role="row" {
            th scope="row" role="rowheader" { (words::own(&row.title())) @if first { (place(row)) } }
            td role="cell" data-label="Should be" { (should_be(row, first)) }
            td role="cell" data-label="Found" { (measured(row.before)) }
            td role="cell" data-label="Now" { (now(row)) }
            td role="cell" data-label="Decision" { @if first { (decisions(row.account, facts)) } }
            td role="cell" data-label="Measured with" { (meter(row, facts)) }
        }
    }
}

/// What the part is and where it sits.
fn place(row: &StepRow<'_, '_>) -> Markup {
    let part = row.part();
    html! {
        @if !part.role.is_empty() { span.block.small { (words::own(&part.role)) } }
        @if !part.from.is_empty() || !part.to.is_empty() {
            span.block.small.faint { (words::own(&part.from)) " – " (words::own(&part.to)) }
        }
        @if part.in_circuit { span.block.small { "in circuit" } }
    }
}

fn should_be(row: &StepRow<'_, '_>, first: bool) -> Markup {
    let part = row.part();
    let limits = row.target().and_then(words::limits);
    let origin = match part.tolerance_origin {
        ToleranceOrigin::Default => " (usual)",
        ToleranceOrigin::Stated | ToleranceOrigin::Marked | ToleranceOrigin::Rating => "",
    };
    html! {
        @if first {
            span.block { (words::what(part)) @if !part.kind.conducts() { " " (words::unbroken(&part.tolerance.to_string())) (origin) } }
            @if !part.rating.is_empty() { span.block.small { (part.rating) } }
        }
        @if let Some(limits) = limits { span.block.small.faint { (limits) } }
    }
}

fn measured(one: Option<&Row>) -> Markup {
    html! {
        @if let Some(one) = one {
            span.block.value { (words::found(one)) }
            (mark::verdict(one.verdict))
            span.block.small.faint { (words::short_day(one.time)) }
        } @else { span.faint { "not measured" } }
    }
}

fn now(row: &StepRow<'_, '_>) -> Markup {
    match (row.before, row.after) {
        (Some(_), Some(_)) if !row.measured_anew() => html! { span.faint { "as found" } },
        (_, after) => measured(after),
    }
}

fn decisions(account: &Account<'_>, facts: &Facts<'_>) -> Markup {
    let Some((last, earlier)) = account.decisions.split_last() else {
        let none_needed = account.standing() == Standing::Good;
        return html! { span.faint { @if none_needed { "none needed" } @else { (account.standing()) } } };
    };
    html! {
        span.block { b { (said(last.choice)) } ", " (words::short_day(last.time)) }
        @if !last.article.is_empty() { span.block { (words::own(&last.article)) } }
        @if let Some(number) = last.bag { span.block { (bag_label(number)) } }
        @if !last.reason.is_empty() { span.block.small { "“" (words::own(&last.reason)) "”" } }
        @for one in earlier { (before_that(one, facts)) }
        @if account.standing().is_open() { span.block.small { b { (account.standing()) } } }
    }
}

fn before_that(one: &Decision, facts: &Facts<'_>) -> Markup {
    html! {
        span.block.small.faint {
            "before: " (said(one.choice)) ", " (words::short_day(one.time))
            @if let Some(bag) = one.bag { ", " (facts.bags.words(bag)) }
            @if !one.reason.is_empty() { ", “" (words::own(&one.reason)) "”" }
        }
    }
}

/// A choice in a table.
const fn said(choice: Choice) -> &'static str {
    match choice {
        Choice::Keep => "keep",
        Choice::Replace => "replace",
        Choice::Order => "on order",
        Choice::Fitted => "fitted",
        Choice::Accept => "accepted",
    }
}

/// The meter, how much was read, and how sure the verdict is.
fn meter(row: &StepRow<'_, '_>, facts: &Facts<'_>) -> Markup {
    let Some(one) = row.after.or(row.before) else {
        return html! {};
    };
    html! {
        span.block { (words::own(facts.meter_of(one).unwrap_or("meter not known"))) }
        span.block.small.faint { (words::count(one.readings as usize, "reading", "readings"))  @if one.rule != facts.book.settings.rule { ", rule " (one.rule) } }
        @if let Some(probability) = one.probability {
            span.block.small.faint { "conformity " (percent(probability)) }
        }
    }
}

/// A probability; one that is nearly certain is not called certain.
fn percent(probability: f64) -> String {
    match 100.0 * probability {
        percent if percent > 99.9 => "> 99.9\u{a0}%".to_owned(),
        percent if percent < 0.1 => "< 0.1\u{a0}%".to_owned(),
        percent => format!("{percent:.1}\u{a0}%"),
    }
}

/// Reasons that say no more than the verdict does.
const PLAIN: [&str; 3] = ["inside its band", "above its band", "below its band"];

/// What does not fit into a cell: why, what else was looked at, remarks.
fn more(account: &Account<'_>, facts: &Facts<'_>) -> Vec<(&'static str, String)> {
    let mut more = Vec::new();
    for row in StepRow::of(account) {
        if let Some(before) = row.found_before() {
            remarks(
                &row,
                before,
                ["Why, as found", "Checked, as found"],
                &mut more,
            );
        }
        if let Some(after) = row.after {
            remarks(&row, after, ["Why", "Checked"], &mut more);
        }
    }
    if let Some(number) = account.fitted().and_then(|fitted| fitted.bag) {
        more.push(("Before it went in", facts.bags.words(number)));
    }
    if !account.part.note.is_empty() {
        more.push(("Note", account.part.note.clone()));
    }
    more
}

/// What is to be said about one measurement of a step, behind these words.
fn remarks(
    row: &StepRow<'_, '_>,
    one: &Row,
    [why, checked]: [&'static str; 2],
    into: &mut Vec<(&'static str, String)>,
) {
    let of_step = match row.step {
        Step::Value => String::new(),
        step => format!("{step}: "),
    };
    if !one.reason.is_empty() && !PLAIN.contains(&one.reason.as_str()) {
        into.push((why, format!("{of_step}{}", one.reason)));
    }
    if !one.checks.is_empty() {
        into.push((
            checked,
            format!("{of_step}{}", words::quoted(&one.checks_words())),
        ));
    }
}

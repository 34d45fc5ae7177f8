//! Everything that was measured and decided, part by part, for the next technician.

use maud::{Markup, html};

use super::words;
use crate::books::batch::bag_label;
use crate::books::ledger::{Account, Choice, Decision, Row, Standing};
use crate::engine::judge::{Aspect, Check, Verdict};
use crate::engine::parts::{Kind, Step, ToleranceOrigin, by_group};
use crate::engine::sitting::check_words;
use crate::views::report::owner::{Facts, StepRow};

/// The section. Parts of which there is no more to tell than that they are good are folded.
pub(super) fn section(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let settings = &facts.book.settings;
    let (plain, telling): (Vec<_>, Vec<_>) = accounts.iter().cloned().partition(is_plain);
    html! {
        @if !accounts.is_empty() {
            section.steps aria-labelledby="steps" {
                h2 id="steps" { "For the next technician" }
                p {
                    "Values with their expanded uncertainty, U = 2 u. The decision rule of this job is " b { (settings.rule) } ", the policy " (if facts.own_policy { "its own (policy.toml)" } else { "the one that comes with the program" }) ". "
                    "Conformity is the probability that the value itself, and not only its reading, conforms. Where a limit differs from the list, the line below the part says why."
                    @if let Some(mains) = settings.mains { " Mains: " (mains.volts()) " V, " (mains.hertz()) " Hz." }
                    @if let Some(meter) = only_meter(facts) { " All of it was measured with " b { (words::own(meter)) } "." }
                }
                (tables(&telling, facts))
                @if !plain.is_empty() {
                    details.folded {
                        summary { (words::count(plain.len(), "part more reads as it should", "parts more read as they should")) ", and nothing was decided: unfold to read or print their values" }
                        (tables(&plain, facts))
                    }
                }
            }
        }
    }
}

/// The tables of each group of the list, by kind.
fn tables(accounts: &[Account<'_>], facts: &Facts<'_>) -> Markup {
    html! {
        @for together in by_group(accounts, |account| &account.part.group) {
            @if !together[0].part.group.is_empty() { h3 { (words::own(&together[0].part.group)) } }
            @for (title, group) in groups(&together) { (table(title, &group, facts)) }
        }
    }
}

/// Whether all of it passed as it was found, and nothing was decided.
fn is_plain(account: &Account<'_>) -> bool {
    let mut rows = account.measurements.iter();
    account.standing() == Standing::Good && rows.all(|one| one.verdict == Verdict::Pass)
}

/// The meter that everything was measured with; `None` if there are several, or if it is not known of everything.
fn only_meter<'a>(facts: &Facts<'a>) -> Option<&'a str> {
    let mut meters = facts
        .book
        .measurements
        .iter()
        .map(|one| facts.meter_of(one));
    let first = meters.next()??;
    meters.all(|one| one == Some(first)).then_some(first)
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
        table.stacks.step-table role="table" {
            caption { (title) }
            thead role="rowgroup" { tr role="row" {
                @for name in ["Part", "Should be", "Found", "Now", "Decision"] {
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
                    td colspan="5" role="cell" {
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
            td role="cell" data-label="Found" { (measured(row.before, facts)) }
            td role="cell" data-label="Now" { (now(row, facts)) }
            td role="cell" data-label="Decision" { @if first { (decisions(row.account, facts)) } }
        }
    }
}

/// Part and its place.
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
    let rating = Some(part.rating.to_string()).filter(|rating| first && !rating.is_empty());
    let small: Vec<String> = rating.into_iter().chain(limits).collect();
    html! {
        @if first {
            span.block { (words::what(part)) @if !part.kind.conducts() { " " (words::unbroken(&part.tolerance.to_string())) (origin) } }
        }
        @if !small.is_empty() { span.block.small.faint { (small.join(", ")) } }
    }
}

/// The value and its verdict, when and with what it was measured, and how sure the verdict is.
fn measured(one: Option<&Row>, facts: &Facts<'_>) -> Markup {
    html! {
        @if let Some(one) = one {
            (words::judged(one))
            span.block.small.faint {
                (words::short_day(one.time)) ", " (words::count(one.readings as usize, "reading", "readings"))
                @if let Some(probability) = one.probability { ", conformity " (percent(probability)) }
                @if one.rule != facts.book.settings.rule { ", rule " (one.rule) }
                @if only_meter(facts).is_none() { ", " (words::own(facts.meter_of(one).unwrap_or("meter not known"))) }
            }
        } @else { span.faint { "not measured" } }
    }
}

fn now(row: &StepRow<'_, '_>, facts: &Facts<'_>) -> Markup {
    match (row.before, row.after) {
        (Some(_), Some(_)) if !row.measured_anew() => html! { span.faint { "as found" } },
        (_, after) => measured(after, facts),
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
        @if !earlier.is_empty() {
            span.block.small.faint { "before: " @for (place, one) in earlier.iter().enumerate() { @if place > 0 { "; " } (before_that(one, earlier.get(place + 1), facts)) } }
        }
        @if account.standing().is_to_do() { span.block.small { b { (account.standing()) } } }
    }
}

/// An earlier decision; a reason that was given for the next one too is told with that.
fn before_that(one: &Decision, next: Option<&&Decision>, facts: &Facts<'_>) -> Markup {
    let said_again = next.is_some_and(|next| next.reason == one.reason);
    html! {
        (said(one.choice)) ", " (words::short_day(one.time))
        @if let Some(bag) = one.bag { ", " (facts.bags.words(bag)) }
        @if !one.reason.is_empty() && !said_again { ", “" (words::own(&one.reason)) "”" }
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

/// Words that do not fit into a cell: the reason, further checks, remarks.
fn more(account: &Account<'_>, facts: &Facts<'_>) -> Vec<(&'static str, String)> {
    let mut more = Vec::new();
    for row in StepRow::of(account) {
        let now = row.after.map(|one| looked_at(account, one));
        if let Some(before) = row.found_before() {
            let mut found = looked_at(account, before);
            found.retain(|words| now.as_ref().is_none_or(|now| !now.contains(words)));
            remarks(
                &row,
                before,
                &found,
                ["Why, as found", "Checked, as found"],
                &mut more,
            );
        }
        if let Some((after, now)) = row.after.zip(now) {
            remarks(&row, after, &now, ["Why", "Checked"], &mut more);
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

/// Further checks. No news are that the policy replaces a part, once that is done, and that a fitted one is within
/// the limits of its article and of its place.
fn looked_at(account: &Account<'_>, one: &Row) -> Vec<String> {
    let is_news = |check: &&Check| match check.aspect {
        Aspect::Replacement => account.fitted().is_none(),
        Aspect::Article | Aspect::InPlace => check.verdict != Some(Verdict::Pass),
        _ => true,
    };
    let checks = one.checks.iter().filter(is_news);
    checks.map(check_words).collect()
}

/// Adds the reason and the checks of one measurement, behind these words.
fn remarks(
    row: &StepRow<'_, '_>,
    one: &Row,
    looked_at: &[String],
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
    if !looked_at.is_empty() {
        into.push((
            checked,
            format!("{of_step}{}", words::quoted(&looked_at.join("; "))),
        ));
    }
}

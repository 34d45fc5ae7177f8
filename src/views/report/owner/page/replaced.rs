//! Replaced parts: a line with its strip for each part, those that failed apart from those that the policy replaces.

use maud::{Markup, html};

use super::{mark, strips, words};
use crate::books::batch::bag_label;
use crate::books::ledger::{Account, Choice, Decision, Row};
use crate::engine::judge::Verdict;
use crate::views::report::owner::{Facts, StepRow};

/// Why a part was replaced, as its measurements and the policy tell.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ground {
    Failed,
    Policy,
    Other,
}

impl Ground {
    fn of(account: &Account<'_>, facts: &Facts<'_>) -> Self {
        let bad = |one: &&Row| matches!(one.verdict, Verdict::Fail | Verdict::ConditionalFail);
        if account.first().iter().any(bad) {
            Self::Failed
        } else if facts.policy.replaces(account.part).is_some() {
            Self::Policy
        } else {
            Self::Other
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Failed => "had failed",
            Self::Policy => "as a matter of policy, whatever they read",
            Self::Other => "for another reason",
        }
    }
}

/// The sections of the grounds that there are.
pub(super) fn tables(facts: &Facts<'_>, accounts: &[Account<'_>]) -> Markup {
    let fitted = || accounts.iter().filter(|one| one.fitted().is_some());
    let grounds = [Ground::Failed, Ground::Policy, Ground::Other];
    let groups = grounds.map(|ground| {
        let of_it = fitted().filter(|one| Ground::of(one, facts) == ground);
        (ground, of_it.collect::<Vec<_>>())
    });
    html! {
        @if fitted().next().is_some() {
            h3 { (words::count(fitted().count(), "part was replaced", "parts were replaced")) }
            table.stacks.replaced-table role="table" {
                thead role="rowgroup" { tr role="row" {
                    @for name in ["Part", "", "Found", "Now", "Put in"] { th scope="col" role="columnheader" { (name) } }
                } }
                @for (ground, group) in groups.iter().filter(|(_, group)| !group.is_empty()) {
                    tbody role="rowgroup" {
                        tr.ground role="row" { th scope="rowgroup" colspan="5" role="rowheader" { (group.len()) " " (ground.title()) } }
                        @for account in group { (line(account, facts)) }
                        (reasons(group, facts))
                    }
                }
            }
        }
    }
}

/// A part with its strip: what was found of it first, how the new one reads, and what it is. Of several measurements the one
/// that was worst.
fn line(account: &Account<'_>, facts: &Facts<'_>) -> Markup {
    let rows = StepRow::of(account);
    let worst = |row: &&StepRow<'_, '_>| {
        let severity = |one: Option<&Row>| one.map(|one| one.verdict.severity());
        (severity(row.before), severity(row.after))
    };
    let Some((row, fitted)) = rows.iter().max_by_key(worst).zip(account.fitted()) else {
        return html! {};
    };
    html! {
        tr role="row" {
            th scope="row" role="rowheader" {
                (words::own(&row.title())) " "
                span.block.small { (words::what(account.part)) @if !account.part.role.is_empty() { ", " (words::own(&account.part.role)) } }
            }
            td role="cell" { (strips::strip(row)) }
            td role="cell" data-label="Found" { (value(row.before, "not measured")) }
            td role="cell" data-label="Now" { (value(row.after, "not measured yet")) }
            td role="cell" data-label="Put in" {
                @if !fitted.article.is_empty() { span.block { (words::own(&fitted.article)) } }
                span.block.small.when { (words::short_day(fitted.time)) @if let Some(bag) = fitted.bag { ", from " (from_bag(bag, facts)) } }
            }
        }
    }
}

fn value(one: Option<&Row>, missing: &str) -> Markup {
    html! { @if let Some(one) = one { (words::judged(one)) } @else { span.faint { (missing) } } }
}

/// The bag, and what was found of it before its part went in.
fn from_bag(number: u32, facts: &Facts<'_>) -> Markup {
    html! {
        (bag_label(number))
        @match facts.bags.bag(number) {
            Some(bag) => {
                ", checked on " (words::short_day(bag.row.time)) ": "
                (words::unbroken(&bag.found())) " " (mark::in_brackets(bag.row.verdict))
            }
            None => ", of which no check is on record",
        }
    }
}

/// Each reason once, with the parts that it was given for: what the person said, else what the policy says.
fn reasons(group: &[&Account<'_>], facts: &Facts<'_>) -> Markup {
    let mut reasons: Vec<(String, Vec<&Account<'_>>)> = Vec::new();
    for account in group {
        let said = account.fitted().and_then(|fitted| why(account, fitted));
        let policy = || facts.policy.replaces(account.part);
        let said = said.map(|said| format!("“{said}”"));
        let Some(reason) = said.or_else(|| Some(words::capital(&policy()?.reason))) else {
            continue;
        };
        match reasons.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, accounts)) => accounts.push(account),
            None => reasons.push((reason, vec![account])),
        }
    }
    html! {
        @if !reasons.is_empty() {
            tr.reasons role="row" { td colspan="5" role="cell" {
                ul { @for (reason, accounts) in &reasons { li { (words::own(reason)) ": " (words::designators(accounts)) } } }
            } }
        }
    }
}

/// Why a part was replaced: the reason given when it was fitted, else the last one given before that.
fn why<'a>(account: &Account<'a>, fitted: &'a Decision) -> Option<&'a str> {
    let before = account.decisions.iter().rev().copied();
    let given = before
        .filter(|one| one.time <= fitted.time)
        .take_while(|one| std::ptr::eq(*one, fitted) || one.choice != Choice::Fitted)
        .map(|one| one.reason.trim());
    given.into_iter().find(|reason| !reason.is_empty())
}

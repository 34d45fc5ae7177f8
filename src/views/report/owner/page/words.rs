//! Parts and values as the report words them, beside what all pages share.

use maud::{Markup, html};

use crate::books::ledger::{Account, Found, Row};
use crate::engine::parts::Part;
use crate::engine::quantity::format_value;
pub(super) use crate::views::report::html::words::{
    capital, count, day, moment, own, quoted, short_day, shown, stamp, unbroken,
};
use crate::views::report::owner::step_row::Target;

/// `R1, R2 and R3`.
pub(super) fn designators(accounts: &[&Account<'_>]) -> Markup {
    html! {
        @for (place, account) in accounts.iter().enumerate() {
            @if place > 0 { (if place + 1 == accounts.len() { " and " } else { ", " }) }
            (own(&account.part.designator))
        }
    }
}

/// What was found, as the end of a sentence: `at 4.7120 kΩ ± 0.0041 kΩ`, `open`.
pub(super) fn found_at(one: &Row) -> String {
    match one.found {
        Found::Value => format!("at {}", found(one)),
        Found::Open | Found::BeyondRange => found(one),
    }
}

/// What was found: the value with its expanded uncertainty, or the word for what is none.
pub(super) fn found(one: &Row) -> String {
    match one.found {
        Found::BeyondRange => "beyond the range of the meter".to_owned(),
        Found::Value | Found::Open => unbroken(&one.words()),
    }
}

/// `4.23 kΩ to 5.17 kΩ`, `at most 1 Ω`, `at least 100 MΩ`; `None` without limits.
pub(super) fn limits(target: Target) -> Option<String> {
    let value = |limit| unbroken(&format_value(target.quantity, limit, 4));
    let [lower, upper] = target.band.limits();
    Some(match (lower, upper) {
        (Some(lower), Some(upper)) => format!("{} to {}", value(lower), value(upper)),
        (None, Some(upper)) => format!("at most {}", value(upper)),
        (Some(lower), None) => format!("at least {}", value(lower)),
        (None, None) => return None,
    })
}

/// `paper capacitor, 47 nF`.
pub(super) fn what(part: &Part) -> String {
    let material = part
        .material
        .map_or_else(String::new, |material| format!("{material} "));
    let value = if part.kind.conducts() {
        shown(&part.value_text)
    } else {
        unbroken(&format_value(
            part.nominal.quantity(),
            part.nominal.value(),
            6,
        ))
    };
    let value = if value.is_empty() {
        value
    } else {
        format!(", {value}")
    };
    format!("{material}{}{value}", part.kind)
}

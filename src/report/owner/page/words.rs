//! Texts, times and values as the report words them.

use chrono::{DateTime, FixedOffset, SecondsFormat};
use maud::{Markup, html};

use crate::ledger::{Account, Found, Measurement};
use crate::parts::Part;
use crate::quantity::{format_value, format_with_uncertainty};
use crate::report::owner::step_row::Target;

/// The longest text of a cell that is shown whole, in characters.
const LONGEST: usize = 600;

/// A text from a file as it can be shown: what HTML has no place for is replaced, and what is very long is cut.
pub(super) fn shown(text: &str) -> String {
    let mut shown: String = text
        .trim()
        .chars()
        .take(LONGEST)
        .map(|sign| match sign {
            '\n' | '\t' => ' ',
            sign if sign.is_control() => '\u{fffd}',
            sign => sign,
        })
        .collect();
    if text.trim().chars().nth(LONGEST).is_some() {
        shown.push_str(" … (cut here; the whole text is in the files of the job)");
    }
    shown
}

/// A text from a file, its direction of writing kept to itself.
pub(super) fn own(text: &str) -> Markup {
    html! { bdi { (shown(text)) } }
}

/// `25 November 2056`.
pub(super) fn day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %B %Y").to_string()
}

/// `25 Nov 2056`.
pub(super) fn short_day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %b %Y").to_string()
}

/// `25 November 2056, 19:25 (UTC +01:00)`.
pub(super) fn moment(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %B %Y, %H:%M (UTC %:z)").to_string()
}

/// As RFC 3339 has it, for programs.
pub(super) fn stamp(time: DateTime<FixedOffset>) -> String {
    time.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// `1 part`, `2 parts`.
pub(super) fn count(number: usize, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}

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
pub(super) fn found_at(one: &Measurement) -> String {
    match one.found {
        Found::Value => format!("at {}", found(one)),
        Found::Open | Found::BeyondRange => found(one),
    }
}

/// A value that breaks between lines before its uncertainty only.
pub(super) fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}").replace("\u{a0}±", " ±")
}

/// A text of the program, whose names in backticks get the quotation marks of a book.
pub(super) fn quoted(text: &str) -> String {
    let pieces = text.split('`').enumerate();
    let quoted = pieces.map(|(place, piece)| match place {
        0 => piece.to_owned(),
        place if place % 2 == 1 => format!("“{piece}"),
        _ => format!("”{piece}"),
    });
    quoted.collect()
}

/// With a capital at its beginning.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next();
    first.map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// What was found: the value with its expanded uncertainty, or the word for what is none.
pub(super) fn found(one: &Measurement) -> String {
    match (one.found, one.figures) {
        (Found::Open, _) => "open".to_owned(),
        (Found::BeyondRange, _) => "beyond the range of the meter".to_owned(),
        (Found::Value, Some(figures)) => figures.value.map_or_else(
            || "no value".to_owned(),
            |value| {
                let expanded = 2.0 * figures.uncertainty.unwrap_or(0.0);
                unbroken(&format_with_uncertainty(figures.quantity, value, expanded))
            },
        ),
        (Found::Value, None) => "no value".to_owned(),
    }
}

/// `4.23 kΩ to 5.17 kΩ`, `at most 1 Ω`, `at least 100 MΩ`; `None` without limits.
pub(super) fn limits(target: Target) -> Option<String> {
    let value = |limit| unbroken(&format_value(target.quantity, limit, 4));
    Some(match (target.lower, target.upper) {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_cut_and_loses_what_no_page_can_show() {
        assert_eq!(shown(" a\u{0}b\nc "), "a\u{fffd}b c");
        let long = shown(&"ä".repeat(700));
        assert!(long.starts_with(&"ä".repeat(600)) && long.contains("cut here"));
        assert_eq!(shown(&"ä".repeat(600)).chars().count(), 600);
    }

    #[test]
    fn what_is_written_cannot_become_markup() {
        let text = own("<script>\"'&").into_string();
        assert!(text.starts_with("<bdi>&lt;script&gt;&quot;"), "{text}");
    }
}

//! Texts and times as pages word them.

use chrono::{DateTime, FixedOffset, SecondsFormat};
use maud::{Markup, html};

/// The longest text of a cell that is shown whole, in characters.
const LONGEST: usize = 600;

/// A text from a file as it can be shown: what HTML has no place for is replaced, and what is very long is cut.
pub(in crate::views::report) fn shown(text: &str) -> String {
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
pub(in crate::views::report) fn own(text: &str) -> Markup {
    html! { bdi { (shown(text)) } }
}

/// `25 November 2056`.
pub(in crate::views::report) fn day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %B %Y").to_string()
}

/// `25 Nov 2056`.
pub(in crate::views::report) fn short_day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %b %Y").to_string()
}

/// `25 November 2056, 19:25 (UTC +01:00)`.
pub(in crate::views::report) fn moment(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %B %Y, %H:%M (UTC %:z)").to_string()
}

/// As RFC 3339 has it, for programs.
pub(in crate::views::report) fn stamp(time: DateTime<FixedOffset>) -> String {
    time.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// `1 part`, `2 parts`.
pub(in crate::views::report) fn count(number: usize, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}

/// A value that breaks between lines before its uncertainty only.
pub(in crate::views::report) fn unbroken(text: &str) -> String {
    text.replace(' ', "\u{a0}").replace("\u{a0}±", " ±")
}

/// A text of the program, whose names in backticks get the quotation marks of a book.
pub(in crate::views::report) fn quoted(text: &str) -> String {
    let pieces = text.split('`').enumerate();
    let quoted = pieces.map(|(place, piece)| match place {
        0 => piece.to_owned(),
        place if place % 2 == 1 => format!("“{piece}"),
        _ => format!("”{piece}"),
    });
    quoted.collect()
}

/// With a capital at its beginning.
pub(in crate::views::report) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next();
    first.map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
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

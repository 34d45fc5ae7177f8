//! Common parts of the pages that are made as one HTML file: the shell with its style, and how texts and times are worded.
//!
//! Everything that comes from a file is text: `maud` escapes it, [`own`] keeps its direction to itself.

use chrono::{DateTime, FixedOffset, SecondsFormat};
use maud::{DOCTYPE, Markup, PreEscaped, html};

pub(super) use crate::books::when::day as short_day;
use crate::engine::judge::Verdict;
use crate::engine::quantity::{kept_together, with_minus};

const STYLE: &str = concat!(
    include_str!("palette.css"),
    include_str!("marks.css"),
    include_str!("style.css")
);

/// Nothing may be fetched and nothing may run; the style and the pictures stand in the file itself.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// Frame around the sections of a page.
pub(super) struct Shell<'a> {
    /// The name of the page, for the browser.
    pub(super) title: &'a str,
    /// The line over the heading.
    pub(super) kicker: &'a str,
    pub(super) heading: Markup,
    /// When the page was made.
    pub(super) made: DateTime<FixedOffset>,
    /// Version of the program that made it.
    pub(super) program: &'a str,
    /// Head of the page, before everything that is shown.
    pub(super) before: Markup,
    /// Style of this page beside the one that all share.
    pub(super) own_style: &'static str,
    /// Last line of the page, behind how it was made.
    pub(super) last_word: &'a str,
}

impl Shell<'_> {
    /// The whole page.
    pub(super) fn around(&self, sections: &Markup) -> Markup {
        let made = self.made;
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    meta name="referrer" content="no-referrer";
                    meta name="generator" content={ "probewright " (self.program) };
                    title { (self.title) }
                    style { (PreEscaped(STYLE)) (PreEscaped(self.own_style)) }
                }
                body {
                    (self.before)
                    header {
                        p.kicker { (self.kicker) }
                        h1 { (self.heading) }
                        p.made { "Made on " time datetime=(stamp(made)) { (day(made)) } }
                    }
                    main { (sections) }
                    footer {
                        p { "Made with probewright " (self.program) " on " (moment(made)) "." (self.last_word) }
                    }
                }
            }
        }
    }
}

/// The shapes of the verdicts, each told by its outline alone; drawn once for the whole page.
const SHAPES: &str = r#"<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false">
<symbol id="m-pass" viewBox="0 0 48 48"><circle class="area" cx="24" cy="24" r="22"/><path class="cut" d="M12 25l9 9 16-19"/></symbol>
<symbol id="m-conditional-pass" viewBox="0 0 48 48"><circle class="edge" cx="24" cy="24" r="20"/><path class="line" d="M13 25l8 8 15-17"/></symbol>
<symbol id="m-conditional-fail" viewBox="0 0 48 48"><path class="edge" d="M24 5l21 38H3z"/><path class="line" d="M24 18v11M24 35v2"/></symbol>
<symbol id="m-fail" viewBox="0 0 48 48"><path class="area" d="M3 3h42v42H3z"/><path class="cut" d="M14 14l20 20M34 14L14 34"/></symbol>
<symbol id="m-inconclusive" viewBox="0 0 48 48"><path class="edge dashed" d="M24 3l21 21-21 21L3 24z"/><path class="line" d="M19 20q0-6 5-6t5 5q0 4-5 6v2M24 32v1"/></symbol>
</svg>"#;

/// Shapes that every mark points at.
pub(super) fn shapes() -> Markup {
    PreEscaped(SHAPES.to_owned())
}

/// The name of a verdict as one word.
pub(super) fn class(verdict: Verdict) -> String {
    verdict.name().replace(' ', "-")
}

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
    kept_together(&with_minus(&shown))
}

/// A text from a file, its direction of writing kept to itself.
pub(super) fn own(text: &str) -> Markup {
    html! { bdi { (shown(text)) } }
}

/// `25 November 2056`.
pub(super) fn day(time: DateTime<FixedOffset>) -> String {
    time.format("%-d %B %Y").to_string()
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

/// A value that breaks between lines before its uncertainty only.
pub(super) fn unbroken(text: &str) -> String {
    let text = with_minus(text);
    text.replace(' ', "\u{a0}").replace("\u{a0}±", " ±")
}

/// A text of the program, whose names in backticks get the quotation marks of a book.
pub(super) fn quoted(text: &str) -> String {
    let text = with_minus(text);
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

#[cfg(test)]
mod tests {
    use super::*;
    /// Relative luminance (WCAG 2.2, definition; from memory).
    fn luminance(colour: &str) -> f64 {
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                libm::pow((value + 0.055) / 1.055, 2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// Contrast ratio (WCAG 2.2, definition; from memory).
    fn contrast(one: &str, other: &str) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// The colours of the light page, of the dark one, and of paper.
    fn lights() -> [Vec<(&'static str, &'static str)>; 3] {
        let block = |beginning: &str| {
            let (_, behind) = STYLE.split_once(beginning).unwrap();
            let block = behind.split('}').next().unwrap();
            let set = block.split(';').filter_map(|one| one.split_once(": #"));
            let set = set.map(|(name, _)| name.trim());
            let value = |name: &str| {
                let (_, behind) = block.split_once(&format!("{name}: ")).unwrap();
                behind.split(';').next().unwrap()
            };
            set.map(|name| (name, value(name))).collect::<Vec<_>>()
        };
        let light = block(":root {");
        let over = |upper: Vec<(&'static str, &'static str)>| {
            let stays = light
                .iter()
                .filter(|(name, _)| !upper.iter().any(|(own, _)| own == name));
            stays
                .copied()
                .chain(upper.iter().copied())
                .collect::<Vec<_>>()
        };
        let dark = over(block("(prefers-color-scheme: dark) {\n  :root {"));
        let paper = over(block(
            "html { color-scheme: light; font-size: 9pt; }\n  :root {",
        ));
        [light, dark, paper]
    }

    #[test]
    fn contrast_is_that_of_the_definition() {
        // WCAG 2.2: black on white is 21:1, #767676 on white just over 4.5:1 (both from memory).
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
        assert!((4.5..4.6).contains(&contrast("#767676", "#ffffff")));
    }

    #[test]
    fn every_text_and_mark_stands_out_from_its_ground_in_every_light() {
        // WCAG 2.2, 1.4.3 (text, level AA) and 1.4.11 (parts of drawings); from memory.
        let texts = [
            ("--ink", "--paper"),
            ("--ink", "--sheet"),
            ("--ink", "--warn"),
            ("--soft", "--paper"),
            ("--soft", "--sheet"),
            ("--accent", "--paper"),
            ("--pass", "--paper"),
            ("--doubt", "--paper"),
            ("--fail", "--paper"),
            ("--open", "--paper"),
        ];
        let marks = [
            ("--ink", "--band"),
            ("--limit", "--paper"),
            ("--limit", "--band"),
            ("--accent", "--sheet"),
            ("--soft", "--sheet"),
        ];
        for light in lights() {
            let of = |name: &str| light.iter().find(|(known, _)| *known == name).unwrap().1;
            for ((upper, ground), least) in texts
                .map(|pair| (pair, 4.5))
                .into_iter()
                .chain(marks.map(|pair| (pair, 3.0)))
            {
                let found = contrast(of(upper), of(ground));
                assert!(found >= least, "{upper} on {ground}: {found:.2}");
            }
        }
    }

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

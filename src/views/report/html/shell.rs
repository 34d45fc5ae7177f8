//! [`Shell`]: what stands around every page that is made as one file.

use chrono::{DateTime, FixedOffset};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::words;

const STYLE: &str = include_str!("style.css");

/// Nothing may be fetched and nothing may run; the style and the pictures stand in the file itself.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// What stands around the sections of a page.
pub(in crate::views::report) struct Shell<'a> {
    /// The name of the page, for the browser.
    pub(in crate::views::report) title: &'a str,
    /// The line over the heading.
    pub(in crate::views::report) kicker: &'a str,
    /// The heading.
    pub(in crate::views::report) heading: Markup,
    /// When the page was made.
    pub(in crate::views::report) made: DateTime<FixedOffset>,
    /// Version of the program that made it.
    pub(in crate::views::report) program: &'a str,
    /// What stands before everything that is shown.
    pub(in crate::views::report) before: Markup,
    /// Style of this page beside the one that all share.
    pub(in crate::views::report) own_style: &'static str,
    /// What the last line of the page says behind how it was made.
    pub(in crate::views::report) last_word: &'a str,
}

impl Shell<'_> {
    /// The whole page.
    pub(in crate::views::report) fn around(&self, sections: &Markup) -> Markup {
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
                        p.made { "Made on " time datetime=(words::stamp(made)) { (words::day(made)) } }
                    }
                    main { (sections) }
                    footer {
                        p { "Made with probewright " (self.program) " on " (words::moment(made)) "." (self.last_word) }
                    }
                }
            }
        }
    }
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
            "html { color-scheme: light; font-size: 9.5pt; }\n  :root {",
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
}

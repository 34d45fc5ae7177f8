//! [`page`]: the report as one HTML file that needs nothing from elsewhere.
//!
//! Everything that comes from a file is text: `maud` escapes it, [`words::own`] keeps its direction to itself.
//! Colours only ever repeat what a word and a shape say already.

mod cautions;
mod guide;
mod mark;
mod photos;
mod proof;
mod scale;
mod sentence;
mod settling;
mod spread;
mod steps;
mod strips;
mod summary;
mod unknown;
mod words;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Facts;

const STYLE: &str = include_str!("style.css");

/// Nothing may be fetched and nothing may run; the style and the pictures stand in the file itself.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// The report as one HTML file.
pub fn page(facts: &Facts<'_>) -> String {
    let accounts = facts.accounts();
    let sections = html! {
        (summary::section(facts, &accounts))
        (cautions::section(&accounts))
        (photos::section(facts))
        (strips::section(&accounts))
        (spread::section(&accounts))
        @if let Some(touch) = facts.touch { (settling::section(touch)) }
        (steps::section(facts, &accounts))
        (unknown::section(facts, &accounts))
        (proof::section(facts))
        (guide::section(facts))
    };
    let mut text = document(facts, &sections).into_string();
    text.push('\n');
    text
}

fn document(facts: &Facts<'_>, sections: &Markup) -> Markup {
    let title = words::shown(facts.title);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="referrer" content="no-referrer";
                meta name="generator" content={ "probewright " (facts.program) };
                title { (title) " – report on its parts" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (mark::shapes())
                header {
                    p.kicker { "Report on the parts of" }
                    h1 { (words::own(facts.title)) }
                    p.made { "Made on " time datetime=(words::stamp(facts.made)) { (words::day(facts.made)) } }
                }
                main { (sections) }
                footer {
                    p { "Made with probewright " (facts.program) " on " (words::moment(facts.made)) ". A verdict is about a value, never about safety." }
                }
            }
        }
    }
}

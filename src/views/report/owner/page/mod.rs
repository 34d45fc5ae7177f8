//! [`page`]: the report as one HTML file that needs nothing from elsewhere; [`short_page`]: two sheets of it, for the owner.
//!
//! Everything that comes from a file is text: `maud` escapes it, [`words::own`] keeps its direction to itself.
//! Colours only ever repeat what a word and a shape say already.

mod circuit;
mod mark;
mod proof;
mod replaced;
mod scale;
mod settling;
mod spread;
mod steps;
mod strips;
mod summary;
mod words;

use maud::{Markup, html};

use super::Facts;
use crate::views::report::html::{Shell, shapes};

/// The report as one HTML file. Its first sheet is a picture of all parts.
pub fn page(facts: &Facts<'_>) -> String {
    let accounts = facts.accounts();
    document(
        facts,
        (
            include_str!("../../diagram/diagram.css"),
            " A verdict is about a value, never about safety.",
        ),
        &html! {
            (summary::section(facts, &accounts))
            (strips::section(&accounts))
            (summary::done(facts, &accounts))
            (summary::unknown(facts, &accounts))
            (summary::cautions(&accounts))
            (proof::photos(facts))
            (spread::section(&accounts))
            @if let Some(touch) = facts.touch { (settling::section(touch)) }
            @if let Some(circuit) = &facts.circuit { (circuit::section(circuit)) }
            (steps::section(facts, &accounts))
            (proof::section(facts))
            (mark::guide(facts))
        },
    )
}

/// The owner's form: the picture, what was done, and what to know before switching on.
pub fn short_page(facts: &Facts<'_>) -> String {
    let accounts = facts.accounts();
    document(
        facts,
        (
            include_str!("short.css"),
            " The full report has every value, and how it can be proven.",
        ),
        &html! {
            (summary::section(facts, &accounts))
            (strips::section(&accounts))
            (summary::done(facts, &accounts))
            (summary::cautions(&accounts))
        },
    )
}

fn document(
    facts: &Facts<'_>,
    (own_style, last_word): (&'static str, &str),
    sections: &Markup,
) -> String {
    let shell = Shell {
        title: &format!("{} – report on its parts", words::shown(facts.title)),
        kicker: "Report on the parts of",
        heading: words::own(facts.title),
        made: facts.made,
        program: facts.program,
        before: shapes(),
        own_style,
        last_word,
    };
    shell.around(sections).into_string() + "\n"
}

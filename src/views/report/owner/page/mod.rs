//! [`page`]: the report as one HTML file that needs nothing from elsewhere.
//!
//! Everything that comes from a file is text: `maud` escapes it, [`words::own`] keeps its direction to itself.
//! Colours only ever repeat what a word and a shape say already.

mod mark;
mod proof;
mod scale;
mod settling;
mod spread;
mod steps;
mod strips;
mod summary;
mod words;

use maud::{Markup, html};

use super::Facts;
use crate::views::report::html::Shell;

/// The report as one HTML file.
pub fn page(facts: &Facts<'_>) -> String {
    let accounts = facts.accounts();
    let sections = html! {
        (summary::section(facts, &accounts))
        (summary::cautions(&accounts))
        (proof::photos(facts))
        (strips::section(&accounts))
        (spread::section(&accounts))
        @if let Some(touch) = facts.touch { (settling::section(touch)) }
        (steps::section(facts, &accounts))
        (summary::unknown(facts, &accounts))
        (proof::section(facts))
        (mark::guide(facts))
    };
    let mut text = document(facts, &sections).into_string();
    text.push('\n');
    text
}

fn document(facts: &Facts<'_>, sections: &Markup) -> Markup {
    let shell = Shell {
        title: &format!("{} – report on its parts", words::shown(facts.title)),
        kicker: "Report on the parts of",
        heading: words::own(facts.title),
        made: facts.made,
        program: facts.program,
        before: mark::shapes(),
        own_style: "",
        last_word: " A verdict is about a value, never about safety.",
    };
    shell.around(sections)
}

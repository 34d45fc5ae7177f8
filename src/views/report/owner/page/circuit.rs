//! Readings with no lead unsoldered: the loops as drawings.

use maud::{Markup, html};

use super::words;
use crate::engine::judge::Loops;
use crate::views::report::diagram::{Diagram, SHARES};

/// The section; nothing if no loop was read and nothing is in doubt.
pub(super) fn section(loops: &Loops) -> Markup {
    if loops.is_empty() {
        return html! {};
    }
    let diagram = Diagram::of(loops);
    html! {
        section.circuit aria-labelledby="circuit" {
            h2 id="circuit" { "What was read where it sits" }
            p {
                "These parts were read with no lead unsoldered. They lie side by side or in loops, so that what is read across one of them is not its own value; that follows from all readings of its loop at once, and is what is written here. "
                (SHARES) " "
                "A part that is suspect reads otherwise than it should, which a reading in circuit does not prove: a lead of it has to be lifted. "
                @if let Some(words) = diagram.shows_a_part() { (words) }
            }
            @if let Some(words) = &loops.contradiction {
                p { "No part passes here: " (words::shown(words)) "." }
            }
            div.diagrams {
                @for drawing in &diagram.drawings { figure { (drawing.inline()) } }
            }
        }
    }
}

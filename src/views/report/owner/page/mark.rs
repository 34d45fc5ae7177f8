//! The verdicts with their shapes, and how they are meant.

use maud::{Markup, html};

use crate::engine::judge::{Rule, Verdict};
use crate::views::report::html::class;
use crate::views::report::owner::Facts;

/// The word of a verdict with its shape.
pub(super) fn verdict(verdict: Verdict) -> Markup {
    let class = class(verdict);
    html! { span class={ "verdict " (class) } { (outline(&class)) (verdict) } }
}

/// The shape alone; whoever listens is told the word.
pub(super) fn shape(verdict: Verdict) -> Markup {
    let class = class(verdict);
    html! { span class={ "verdict " (class) } title=(verdict) { (outline(&class)) span.unseen { (verdict) } } }
}

fn outline(class: &str) -> Markup {
    html! { svg.mark aria-hidden="true" focusable="false" { use href={ "#m-" (class) } {} } }
}

/// Marks it likewise, in brackets that stay with it.
pub(super) fn in_brackets(verdict: Verdict) -> Markup {
    html! { span.unbroken { "(" (self::verdict(verdict)) ")" } }
}

/// The section.
pub(super) fn guide(facts: &Facts<'_>) -> Markup {
    html! {
        section.guide aria-labelledby="guide" {
            h2 id="guide" { "How to read the verdicts" }
            dl {
                @for verdict in Verdict::ALL {
                    div { dt { (self::verdict(verdict)) } dd { (verdict.meaning(facts.book.settings.rule)) } }
                }
            }
            p.small {
                "The words are those of ILAC-G8:09/2019. An uncertainty that is given with ± is expanded: the value lies within it with a probability of about 95 %."
                @if facts.book.settings.rule == Rule::Simple { " This job was judged by simple acceptance: the limit itself decides, and near to it a verdict may be wrong in up to one of two cases." }
            }
        }
    }
}

//! The shapes of the verdicts, each told by its outline alone, and how the verdicts are meant.

use maud::{Markup, PreEscaped, html};

use crate::engine::judge::{Rule, Verdict};
use crate::views::report::owner::Facts;

/// The shapes, drawn once for the whole page.
const SHAPES: &str = r#"<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false">
<symbol id="m-pass" viewBox="0 0 48 48"><circle class="area" cx="24" cy="24" r="22"/><path class="cut" d="M12 25l9 9 16-19"/></symbol>
<symbol id="m-conditional-pass" viewBox="0 0 48 48"><circle class="edge" cx="24" cy="24" r="20"/><path class="line" d="M13 25l8 8 15-17"/></symbol>
<symbol id="m-conditional-fail" viewBox="0 0 48 48"><path class="edge" d="M24 5l21 38H3z"/><path class="line" d="M24 18v11M24 35v2"/></symbol>
<symbol id="m-fail" viewBox="0 0 48 48"><path class="area" d="M3 3h42v42H3z"/><path class="cut" d="M14 14l20 20M34 14L14 34"/></symbol>
<symbol id="m-inconclusive" viewBox="0 0 48 48"><path class="edge dashed" d="M24 3l21 21-21 21L3 24z"/><path class="line" d="M19 20q0-6 5-6t5 5q0 4-5 6v2M24 32v1"/></symbol>
</svg>"#;

/// What every mark points at.
pub(super) fn shapes() -> Markup {
    PreEscaped(SHAPES.to_owned())
}

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

/// The same in brackets that stay with it.
pub(super) fn in_brackets(verdict: Verdict) -> Markup {
    html! { span.unbroken { "(" (self::verdict(verdict)) ")" } }
}

/// The name of a verdict as one word.
pub(super) fn class(verdict: Verdict) -> String {
    verdict.name().replace(' ', "-")
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

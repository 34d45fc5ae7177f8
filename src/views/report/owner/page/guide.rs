//! How the words of the report are meant.

use maud::{Markup, html};

use super::mark;
use crate::engine::judge::{Rule, Verdict};
use crate::views::report::owner::Facts;

/// The section.
pub(super) fn section(facts: &Facts<'_>) -> Markup {
    html! {
        section.guide aria-labelledby="guide" {
            h2 id="guide" { "How to read the verdicts" }
            dl {
                @for verdict in Verdict::ALL {
                    div { dt { (mark::verdict(verdict)) } dd { (meaning(verdict, facts.book.settings.rule)) } }
                }
            }
            p.small {
                "The words are those of ILAC-G8:09/2019. An uncertainty that is given with ± is expanded: the value lies within it with a probability of about 95 %."
                @if facts.book.settings.rule == Rule::Simple { " This job was judged by simple acceptance: the limit itself decides, and near to it a verdict may be wrong in up to one of two cases." }
            }
        }
    }
}

const fn meaning(verdict: Verdict, rule: Rule) -> &'static str {
    match (verdict, rule) {
        (Verdict::Pass, Rule::GuardBand) => "within its limits, by more than the uncertainty",
        (Verdict::Pass, Rule::Simple) => "within its limits",
        (Verdict::ConditionalPass, _) => "within its limits, but not by more than the uncertainty",
        (Verdict::ConditionalFail, _) => "outside its limits, but not by more than the uncertainty",
        (Verdict::Fail, Rule::GuardBand) => {
            "outside its limits by more than the uncertainty, or open"
        }
        (Verdict::Fail, Rule::Simple) => "outside its limits, or open",
        (Verdict::Inconclusive, _) => "measured, but that proves nothing",
    }
}

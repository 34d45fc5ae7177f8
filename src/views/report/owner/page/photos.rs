//! The photos of the job.

use maud::{Markup, html};

use super::words;
use crate::views::report::owner::Facts;

/// The section; nothing if there are no photos and nothing was left out.
pub(super) fn section(facts: &Facts<'_>) -> Markup {
    if facts.photos.is_empty() && facts.left_out.is_empty() {
        return html! {};
    }
    html! {
        section.photos aria-labelledby="photos" {
            h2 id="photos" { "Photos" }
            @if !facts.photos.is_empty() {
                div.gallery {
                    @for photo in facts.photos {
                        figure {
                            img src=(photo.address()) alt=(words::shown(&photo.caption));
                            figcaption { (words::own(&photo.caption)) }
                        }
                    }
                }
            }
            @for sentence in facts.left_out { p.small { (words::own(sentence)) } }
        }
    }
}

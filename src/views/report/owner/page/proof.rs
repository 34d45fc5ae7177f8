//! The photos of the job, and how what the report says can be proven.

use maud::{Markup, html};

use super::words;
use crate::views::report::owner::{Facts, Proof, SittingFacts};

/// The section.
pub(super) fn section(facts: &Facts<'_>) -> Markup {
    html! {
        section.proof aria-labelledby="proof" {
            h2 id="proof" { "How this can be proven" }
            p {
                "Every byte that a meter sent was recorded before it was interpreted. From a recording every value and verdict of its sitting can be computed again, and a recording that was altered is told by its seal. "
                "Keep the digests below somewhere else than the files: whoever can alter both leaves no trace."
            }
            @if facts.sittings.is_empty() { p { "There was no sitting yet, so there is nothing to be proven." } }
            @else { (sittings(facts)) }
            @if !facts.files.is_empty() { (files(facts)) }
            h3 { "To check it yourself, in the folder of the job" }
            pre tabindex="0" { code {
                "sed '$d' sittings/NAME.rec | sha256sum; tail -n 1 sittings/NAME.rec\n"
                "probewright audit .\n"
                "sha256sum " (names(facts))
            } }
            p.small { "The first line shows twice the digest of a sitting, once computed and once as its seal has it. The second computes every sitting again and compares it with the results. The third shows whether the files are still those that this report was made from." }
        }
    }
}

/// The files that the report was made from, for a command line.
fn names(facts: &Facts<'_>) -> String {
    let names: Vec<&str> = facts.files.iter().map(|file| file.name.as_str()).collect();
    names.join(" ")
}

/// The sittings, and apart from them the batches of new parts, whose rows stand in a file of their own.
fn sittings(facts: &Facts<'_>) -> Markup {
    let (batches, sittings): (Vec<_>, Vec<_>) =
        facts.sittings.iter().partition(|one| one.of_new_parts);
    html! {
        @if !sittings.is_empty() { (recordings("Sittings", "results.csv", &sittings)) }
        @if !batches.is_empty() { (recordings("Batches of new parts, in incoming/", "incoming.csv", &batches)) }
    }
}

fn recordings(caption: &str, file: &str, those: &[&SittingFacts]) -> Markup {
    let rows = format!("Rows of {file}");
    html! {
        table.stacks.proof-table role="table" {
            caption { (caption) }
            thead role="rowgroup" { tr role="row" {
                @for name in ["Name", "Begun", "Meter", "Recording", rows.as_str()] { th scope="col" role="columnheader" { (name) } }
            } }
            @for one in those { (sitting_rows(one)) }
        }
    }
}

fn sitting_rows(sitting: &SittingFacts) -> Markup {
    html! {
        tbody role="rowgroup" {
            tr role="row" {
                th scope="row" role="rowheader" { (words::own(&sitting.name)) }
                td role="cell" data-label="Begun" {
                    @match sitting.begun {
                        Some(begun) => { time datetime=(words::stamp(begun)) { (words::moment(begun)) } }
                        None => "not known",
                    }
                    @if let Some(seconds) = sitting.lasted_s { span.small.faint { ", lasted " (lasted(seconds)) } }
                }
                td role="cell" data-label="Meter" {
                    @if sitting.meters.is_empty() { "not known" }
                    @for profile in sitting.profiles() { span.block { (words::own(profile)) } }
                }
                td role="cell" data-label="Recording" {
                    (state(&sitting.proof))
                    span.block.small.faint {
                        @if sitting.lines > 0 { (sitting.lines) " lines" }
                        @if let Some(program) = &sitting.program { " by probewright " (words::own(program)) }
                    }
                }
                td role="cell" data-label="Rows" { (sitting.rows) }
            }
            @if let Some(digest) = sitting.proof.digest() {
                tr.more role="row" { td colspan="5" role="cell" { p { span.faint { "SHA-256 in its seal: " } code.digest { (digest) } } } }
            }
        }
    }
}

fn state(proof: &Proof) -> Markup {
    match proof {
        Proof::Sealed { .. } => html! { "sealed, and as it was written" },
        Proof::Unsealed => {
            html! { b { "without a seal" } ": the sitting was not ended; its lines are as they were written" }
        }
        Proof::Damaged(why) => html! { b { "damaged" } ": " (words::own(why)) },
        Proof::Missing(why) => html! { b { "missing" } ": " (words::own(why)) },
    }
}

fn files(facts: &Facts<'_>) -> Markup {
    html! {
        table.stacks.proof-table.files role="table" {
            caption { "The files that this report was made from" }
            thead role="rowgroup" { tr role="row" {
                @for name in ["File", "Bytes", "SHA-256"] { th scope="col" role="columnheader" { (name) } }
            } }
            tbody role="rowgroup" {
                @for file in facts.files {
                    tr role="row" {
                        th scope="row" role="rowheader" { (words::own(&file.name)) }
                        td role="cell" data-label="Bytes" { (file.bytes) }
                        td role="cell" data-label="SHA-256" { code.digest { (words::shown(&file.digest)) } }
                    }
                }
            }
        }
    }
}

/// `1 h 12 min`, `3 min 5 s`.
fn lasted(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, 0, seconds) => format!("{seconds} s"),
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

/// The section; nothing if there are no photos and nothing was left out.
pub(super) fn photos(facts: &Facts<'_>) -> Markup {
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

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_time_is_told_in_two_units_at_most() {
        for (seconds, text) in [
            (0.4, "0 s"),
            (59.6, "1 min 0 s"),
            (185.0, "3 min 5 s"),
            (4320.0, "1 h 12 min"),
        ] {
            assert_eq!(lasted(seconds), text);
        }
    }
}

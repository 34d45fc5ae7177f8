//! Whether values go to the right part: `cargo bench --bench tagging`, with a number of sittings of its own where one is named.
//!
//! The limits are in `tests/tagging.rs`; here is what a thousand sittings come to.

#![allow(clippy::print_stdout, reason = "the table is the result")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on fails")]

mod sittings;

use std::time::Instant;

use sittings::{Hints, Tags};

fn main() {
    let mut words = std::env::args().skip(1);
    let count = words.find_map(|word| word.parse().ok()).unwrap_or(1000);
    let begun = Instant::now();
    let mut hints = Hints::default();
    (1..=count).for_each(|seed| hints.add(&Hints::of_sitting(seed)));
    let share = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
    println!("{count} sittings in {:.1?}", begun.elapsed());
    println!(
        "right values       {:6}, hints on them {} ({:.3} %), of these on passing ones {}",
        hints.right,
        hints.mistaken,
        share(hints.mistaken, hints.right),
        hints.on_passing
    );
    println!(
        "missed touches     {:6}, noticed at the next value {:.1} %, within three {:.1} %",
        hints.missed,
        share(hints.at_next, hints.missed),
        share(hints.within_three, hints.missed)
    );
    println!(
        "wrong part, 2 times {:5}, noticed at once {:.1} %",
        hints.other,
        share(hints.other_noticed, hints.other)
    );
    println!(
        "wrong part, 3 times {:5}, noticed at once {:.1} %, by its name {:.1} %",
        hints.wrong,
        share(hints.noticed, hints.wrong),
        share(hints.named, hints.wrong)
    );
    for sets in [false, true] {
        let mut tags = Tags::default();
        (1..=count).for_each(|seed| tags.add(&Tags::of_sitting(seed, sets)));
        println!(
            "values at places   {:6}, asked {:.1} %, written down for a set {:.1} %, wrong {} ({:.3} %)",
            tags.values,
            share(tags.asked, tags.values),
            share(tags.sets, tags.values),
            tags.wrong,
            share(tags.wrong, tags.values)
        );
    }
}

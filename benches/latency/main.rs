//! From a meter to a viewer: `cargo bench --bench latency`.
//!
//! A meter writes a line into a pseudo-terminal, the real program serves the sitting, four viewers are at its socket. What is
//! measured is the time from just before the line is written to the event in the hands of a viewer. The place of its limits:
//! median under 1 ms, 99th percentile under 5 ms, on two cores.

#![allow(clippy::print_stderr, reason = "the percentiles are the result")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on fails")]

mod bench;

use std::thread;
use std::time::Duration;

use divan::Bencher;

use crate::bench::{Bench, VIEWERS};

/// The most that the median may be.
const MEDIAN: Duration = Duration::from_millis(1);

/// The most that the 99th percentile may be.
const P99: Duration = Duration::from_millis(5);

const LINES: u32 = 2000;

fn main() {
    divan::main();
}

/// One line, until the last of the viewers has it.
#[divan::bench(sample_count = LINES, sample_size = 1)]
fn from_line_to_event(bencher: Bencher<'_, '_>) {
    let mut bench = Bench::begin();
    let mut times = Vec::with_capacity(LINES as usize * VIEWERS);
    let mut rng = fastrand::Rng::with_seed(1);
    bencher
        // No line comes at a time that anything could have got used to.
        .with_inputs(|| thread::sleep(Duration::from_micros(rng.u64(0..3000))))
        .bench_local_values(|()| times.extend(bench.send_a_line()));
    bench.end();
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    let (median, p99) = (at(0.5), at(0.99));
    eprintln!(
        "{} events: median {median:?}, 99th percentile {p99:?}, slowest {:?}",
        times.len(),
        at(1.0)
    );
    assert!(median < MEDIAN, "median {median:?}, at most {MEDIAN:?}");
    assert!(p99 < P99, "99th percentile {p99:?}, at most {P99:?}");
}

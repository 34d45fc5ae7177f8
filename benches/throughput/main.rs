//! Throughput of the way of a reading, in readings a second: `cargo bench`.
//!
//! `replay` is the whole way of a recording through the real program, and the place of its limits: 10 million readings
//! judged and written in under 5 s on two cores, in under 50 MB.

#![allow(clippy::print_stderr, reason = "the most memory is a result too")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on fails")]

mod network;
mod pairs;
mod readings;
mod recording;
mod replay;
mod settling;
mod workload;

fn main() {
    divan::main();
}

//! Bytes to readings.

use std::sync::Arc;

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use probewright::face::engine::meter::{Conversation, Heard};
use probewright::face::engine::quantity::{Quantity, Stamp};

use crate::workload::{Lines, profile};

const READINGS: usize = 1_000_000;

/// One stream of bytes, handed over in chunks of `chunk` bytes.
#[divan::bench(sample_count = 5, args = [16, 512, 4096])]
fn from_chunks_of(bencher: Bencher<'_, '_>, chunk: usize) {
    let mut lines = Lines::new();
    let mut bytes = Vec::new();
    for _ in 0..READINGS {
        bytes.extend_from_slice(lines.next());
    }
    let profile = Arc::new(profile());
    bencher.counter(ItemsCount::new(READINGS)).bench_local(|| {
        let mut conversation = Conversation::new(Arc::clone(&profile));
        conversation
            .measure(Quantity::Resistance, Stamp::ZERO)
            .unwrap();
        conversation.link_up(Stamp::ZERO);
        let mut readings = 0_usize;
        for (i, chunk) in bytes.chunks(chunk).enumerate() {
            let now = Stamp::from_micros(i as u64 * 1000);
            conversation.receive(chunk, now, &mut |heard| {
                readings += usize::from(matches!(black_box(heard), Heard::Reading(_)));
            });
        }
        // The first line is not taken: its beginning may have been missed.
        assert_eq!(readings, READINGS - 1);
    });
}

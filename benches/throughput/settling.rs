//! Readings to settled values.

use divan::Bencher;
use divan::counter::ItemsCount;
use probewright::face::engine::meter::{Reading, Shown};
use probewright::face::engine::probing::{OnFunction, Probed, Probes};
use probewright::face::engine::quantity::{Quantity, Stamp};

use crate::workload::profile;

const READINGS: u64 = 1_000_000;

/// Feeds readings a millisecond apart, counts settled values.
fn run(bencher: Bencher<'_, '_>, shown: impl Fn(u64) -> Shown, expected: impl Fn(u32) -> bool) {
    let profile = profile();
    let meter = OnFunction {
        profile: &profile,
        quantity: Quantity::Resistance,
    };
    bencher.counter(ItemsCount::new(READINGS)).bench_local(|| {
        let mut probes = Probes::new();
        let mut settled = 0;
        for i in 0..READINGS {
            let at = Stamp::from_micros(i * 1000);
            let reading = Reading {
                at,
                quantity: Quantity::Resistance,
                shown: shown(i),
                second: None,
            };
            probes.feed(&reading, &meter, |probed| {
                settled += u32::from(matches!(probed, Probed::Settled(_)));
            });
        }
        assert!(expected(settled), "{settled} settled values");
    });
}

/// A touch of 2.6 s and a second of air in turn.
#[divan::bench(sample_count = 5)]
fn touches(bencher: Bencher<'_, '_>) {
    let shown = |i| {
        if i % 3600 < 1000 {
            Shown::Overload
        } else {
            Shown::Value(4700.0 + (i % 3) as f64)
        }
    };
    run(bencher, shown, |settled| {
        u64::from(settled) == READINGS.div_ceil(3600)
    });
}

/// One touch that never settles: the dearest case, every reading may be tested.
#[divan::bench(sample_count = 5)]
fn one_restless_touch(bencher: Bencher<'_, '_>) {
    run(
        bencher,
        |i| Shown::Value(1000.0 + i as f64 * 0.5),
        |settled| settled == 0,
    );
}

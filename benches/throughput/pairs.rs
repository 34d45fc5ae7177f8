//! The search for pairs of values.

use divan::Bencher;
use probewright::face::books::substitute::{Combination, nearest_pairs};
use probewright::face::engine::quantity::{Band, Series};

const TARGET: f64 = 123_456.7;

/// The six nearest of the 903 840 pairs of E192 over seven decades: far below 100 ms.
#[divan::bench(args = [0.01, 0.2])]
fn pairs_of_e192(bencher: Bencher<'_, '_>, width: f64) {
    let values = Series::E192.between(1.0, 9.88e6);
    let within = Band::new(TARGET * (1.0 - width), TARGET * (1.0 + width)).unwrap();
    bencher.bench_local(|| {
        [Combination::Sum, Combination::Reciprocal]
            .map(|combination| nearest_pairs(&values, combination, TARGET, within, 6, |_, _| true))
    });
}

//! The exponential approach against handbook figures.

use probewright::face::engine::meter::{Reading, Shown};
use probewright::face::engine::probing::{Finding, Probed, Probes, Specification};
use probewright::face::engine::quantity::{Quantity, Stamp};

/// A meter of the same standard uncertainty everywhere, and five times finer counts.
struct Meter {
    u: f64,
}

impl Specification for Meter {
    fn is_idle(&self, shown: Shown) -> bool {
        shown == Shown::Overload
    }

    fn standard_uncertainty(&self, _value: f64) -> f64 {
        self.u
    }

    fn resolution(&self, _value: f64) -> f64 {
        self.u / 5.0
    }
}

/// When a value is given of an approach from zero to `to` with time constant 1 s, ten readings a second, s; and the value.
fn settled(to: f64, u: f64) -> (f64, f64) {
    let meter = Meter { u };
    let mut probes = Probes::new();
    (0..400)
        .map(|i| f64::from(i) / 10.0)
        .find_map(|time| {
            let exact = to * (1.0 - libm::exp(-time));
            let shown = (exact / meter.resolution(to)).round() * meter.resolution(to);
            let reading = Reading {
                at: Stamp::from_micros((time * 1e6) as u64),
                quantity: Quantity::Voltage,
                shown: Shown::Value(shown),
                second: None,
            };
            let mut given = None;
            probes.feed(&reading, &meter, |probed| {
                if let Probed::Settled(settled) = probed
                    && let Finding::Value(estimate) = settled.finding
                {
                    given = Some((time, estimate.value));
                }
            });
            given
        })
        .unwrap()
}

/// After 4.605170, 6.907755 and 9.210340 time constants 1, 0.1 and 0.01 % are left (natural logarithms of 100, 1000 and
/// 10000; any handbook). A value that is given before then is nearer to the end than the reading at that moment was.
#[test]
fn what_is_given_before_the_handbook_says_so_is_where_the_readings_are_going() {
    for (share, time_constants) in [
        (1e-2, 4.605_170_186),
        (1e-3, 6.907_755_279),
        (1e-4, 9.210_340_372),
    ] {
        let (time, value) = settled(1.0, share);
        assert!((value - 1.0).abs() <= share, "{share}: {value} at {time} s");
        assert!(
            time <= 1.5 * time_constants + 1.0,
            "{share}: only at {time} s"
        );
    }
}

/// A 10 MΩ meter on 0.1 µF has a time constant of 1 s (R C, by definition), and after 1 s shows 63.2 % of a voltage, after 2 s
/// 86.5 % (any handbook).
#[test]
fn the_meter_on_a_tenth_of_a_microfarad() {
    let (time, value) = settled(250.0, 0.25);
    assert!((value - 250.0).abs() <= 0.5, "{value} V at {time} s");
}

//! The exponential approach against handbook figures.

use probewright::face::engine::probing::{Cell, settled};

/// Readings of an approach from `from` to `to` with time constant 1 s, ten a second, of a meter of that resolution.
fn approach(from: f64, to: f64, resolution: f64, count: u32) -> Vec<Cell> {
    (1..=count)
        .map(|i| f64::from(i) / 10.0)
        .map(|time| Cell {
            time,
            value: ((to + (from - to) * libm::exp(-time)) / resolution).round() * resolution,
        })
        .collect()
}

fn time_of_settling(from: f64, to: f64, specification: f64) -> f64 {
    let resolution = specification / 5.0;
    let cells = approach(from, to, resolution, 400);
    let n = (1..=cells.len())
        .find(|&n| settled(&cells[..n], 0.0, specification, resolution).is_some())
        .unwrap();
    cells[n - 1].time
}

/// After 4.605170, 6.907755 and 9.210340 time constants 1, 0.1 and 0.01 % are left (natural logarithms of 100, 1000 and
/// 10000; any handbook). No approach of size 1 may count as settled within a meter's uncertainty of that share before then.
#[test]
fn nothing_settles_before_the_handbook_says_so() {
    for (share, time_constants) in [
        (1e-2, 4.605_170_186),
        (1e-3, 6.907_755_279),
        (1e-4, 9.210_340_372),
    ] {
        let took = time_of_settling(0.0, 1.0, share);
        assert!(
            took >= time_constants,
            "{share}: after {took} time constants"
        );
        assert!(
            took <= 1.5 * time_constants + 1.0,
            "{share}: only after {took} time constants"
        );
    }
}

/// A 10 MΩ meter on 0.1 µF has a time constant of 1 s and shows a steady value to 0.1 % after 6.9 s (R C, by definition).
#[test]
fn the_meter_on_a_tenth_of_a_microfarad() {
    assert!(time_of_settling(0.0, 250.0, 0.25) >= 6.9);
}

//! From a meter's specification to a standard uncertainty.
//!
//! Sources: the formula of JCGM 100:2008, 4.3.7 (rectangular distribution, a/√3) and its voltmeter example (figures from memory);
//! the table's figures were computed outside the project with a general-purpose library (mpmath, 30 digits).

use approx::assert_relative_eq;
use probewright::face::engine::meter::Range;

/// A range from what the table states: full scale, count, per cent of reading, per cent of range, counts.
fn range(
    up_to: f64,
    resolution: f64,
    percent_of_reading: f64,
    percent_of_range: f64,
    counts: f64,
) -> Range {
    Range {
        up_to,
        resolution,
        percent_of_reading,
        percent_of_range,
        counts,
    }
}

#[test]
fn limits_and_standard_uncertainties_agree_with_the_computed_table() {
    for (value, range, limit, uncertainty) in [
        (
            4700.0,
            range(10e3, 0.01, 0.010, 0.001, 0.0),
            0.57,
            0.329_089_65,
        ),
        (1.05e6, range(10e6, 1e3, 0.2, 0.0, 2.0), 4100.0, 2367.1361),
        (
            47.3e-9,
            range(100e-9, 0.1e-9, 1.0, 0.0, 3.0),
            0.773e-9,
            0.446_291_76e-9,
        ),
        (
            22.0e-6,
            range(100e-6, 0.01e-6, 2.0, 0.0, 5.0),
            0.49e-6,
            0.282_901_63e-6,
        ),
        (
            0.42,
            range(10.0, 1e-3, 0.5, 0.0, 10.0),
            0.0121,
            0.006_985_938_3,
        ),
    ] {
        let accuracy = range.accuracy(value);
        assert_relative_eq!(accuracy.limit, limit, max_relative = 1e-12);
        assert_relative_eq!(
            accuracy.standard_uncertainty(),
            uncertainty,
            max_relative = 2e-8
        );
    }
}

/// JCGM 100:2008, 4.3.7, example 2 (from memory): 14e-6 of the reading and 2e-6 of the 1 V range at 0.928571 V; printed 15 µV and 8.7 µV,
/// computed outside the project 14.999994 µV and 8.660251 µV.
#[test]
fn the_voltmeter_of_the_guide_comes_out_as_printed() {
    let accuracy = range(1.0, 1e-6, 14e-4, 2e-4, 0.0).accuracy(0.928_571);
    assert_relative_eq!(accuracy.limit, 14.999_994e-6, max_relative = 1e-12);
    assert_relative_eq!(
        accuracy.standard_uncertainty(),
        8.660_251e-6,
        max_relative = 1e-7
    );
}

/// JCGM 100:2008, 4.3.7 (from memory): a half-width of one gives 0.577 350 269 2 (by definition, 1/√3).
#[test]
fn a_rectangular_half_width_is_divided_by_the_root_of_three() {
    let accuracy = range(1.0, 1e-3, 100.0, 0.0, 0.0).accuracy(1.0);
    assert_relative_eq!(
        accuracy.standard_uncertainty(),
        0.577_350_269_2,
        max_relative = 1e-10
    );
}

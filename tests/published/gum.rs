//! Uncertainty against JCGM 100:2008 (GUM).

use approx::assert_relative_eq;
use probewright::face::engine::probing::Estimate;

/// The voltmeter of 4.3.7, example 2, and 5.1.5 (figures from memory, arithmetic with mpmath 1.3): mean 0.928571 V,
/// scatter of the mean 12 µV, 8.660251 µV from the specification; combined 15 µV.
#[test]
fn voltmeter_example() {
    let estimate = Estimate::combine(0.928_571, 12e-6, 8.660_251e-6, 0.0);
    assert_relative_eq!(
        estimate.standard_uncertainty,
        14.798_647e-6,
        max_relative = 1e-7
    );
    assert_eq!(format!("{:.0}", estimate.standard_uncertainty * 1e6), "15");
}

/// H.1, the end gauge: contributions of 25, 9.7, 2.9 and 16.6 nm combine to 31.671122 nm, printed as 32 nm (figures from
/// memory, arithmetic with mpmath 1.3).
#[test]
fn end_gauge_example() {
    let rest = libm::hypot(2.9, 16.6);
    let estimate = Estimate::combine(0.0, 25.0, 9.7, rest * 3f64.sqrt());
    assert_relative_eq!(
        estimate.standard_uncertainty,
        31.671_122,
        max_relative = 1e-7
    );
}

/// The half-width of what is left of an approach enters as a rectangular distribution, a/√3 (4.3.7, by definition).
#[test]
fn a_bound_enters_as_a_rectangle() {
    let estimate = Estimate::combine(0.0, 0.0, 0.0, 1.0);
    assert_relative_eq!(
        estimate.standard_uncertainty,
        0.577_350_269_2,
        max_relative = 1e-9
    );
}

//! Rounding of a value to its uncertainty: JCGM 100:2008 (GUM), 7.2.6, and example H.2.

use probewright::face::engine::quantity::{Quantity, format_with_uncertainty};

/// Example H.2 prints R = 127.732 Ω with u = 0.071 Ω, X = 219.847 Ω with 0.295 Ω and Z = 254.260 Ω with 0.236 Ω, from the
/// unrounded figures used here (the printed X and Z carry three figures of u, so only R can be compared as printed; the
/// column is from memory of the GUM, the unrounded figures from the public library GTC).
#[test]
fn the_resistance_of_example_h2_is_printed_as_the_guide_prints_it() {
    let printed = format_with_uncertainty(Quantity::Resistance, 127.732_169_928, 0.071_071_407_4);
    assert_eq!(printed, "127.732 Ω ± 0.071 Ω");
}

/// 7.2.6 rounds 10.05762 Ω with u = 27 mΩ to 10.058 Ω (from memory of the GUM).
#[test]
fn the_value_is_rounded_to_the_place_of_its_uncertainty() {
    assert_eq!(
        format_with_uncertainty(Quantity::Resistance, 10.057_62, 0.027),
        "10.058 Ω ± 0.027 Ω"
    );
}

//! Residual charge against figures from outside the project.
//!
//! Values of the defining formulas (t = RC ln(V0/V1), CV²/2, CV) were computed with mpmath 1.3 at 30
//! digits. The standards themselves were not at hand: each limit says where it was read.

use approx::assert_relative_eq;
use probewright::face::engine::judge::discharge::{DISCHARGED_VOLTS, StoredCharge};

fn charge(microfarads: f64, volts: f64) -> StoredCharge {
    StoredCharge::new(microfarads * 1e-6, volts).unwrap()
}

/// One row: capacitance in µF, resistance in Ω, from and to in V; then time constant and time in s, energy in J, charge in
/// µC. By mpmath.
const ROWS: [([f64; 4], [f64; 4]); 7] = [
    (
        [32.0, 220e3, 450.0, 60.0],
        [7.04, 14.184_917_26, 3.24, 14_400.0],
    ),
    (
        [16.0, 100e3, 350.0, 60.0],
        [1.6, 2.821_741_748, 0.98, 5_600.0],
    ),
    (
        [47.0, 220e3, 400.0, 50.0],
        [10.34, 21.501_425_54, 3.76, 18_800.0],
    ),
    (
        [16.0, 470e3, 350.0, 50.0],
        [7.52, 14.633_244_32, 0.98, 5_600.0],
    ),
    (
        [100.0, 10e3, 450.0, 60.0],
        [1.0, 2.014_903_021, 10.125, 45_000.0],
    ),
    (
        [0.1, 1e6, 325.0, 60.0],
        [0.1, 0.168_948_062, 0.005_281_25, 32.5],
    ),
    // The peak of 240 V.
    (
        [0.22, 1e6, 339.411_254_969_543, 60.0],
        [0.22, 0.381_230_949_3, 0.012_672, 74.670_476_093_3],
    ),
];

#[test]
fn time_energy_and_charge() {
    for ([microfarads, ohms, from, to], [constant, seconds, joules, microcoulombs]) in ROWS {
        let stored = charge(microfarads, from);
        assert_relative_eq!(
            stored.time_constant(ohms).unwrap(),
            constant,
            max_relative = 1e-12
        );
        assert_relative_eq!(
            stored.seconds_to(to, ohms).unwrap(),
            seconds,
            max_relative = 5e-9
        );
        assert_relative_eq!(stored.joules(), joules, max_relative = 5e-9);
        assert_relative_eq!(stored.coulombs() * 1e6, microcoulombs, max_relative = 1e-8);
    }
}

/// Harmless charge: up to 0.1 µF to 450 V, 45 µC to 15 kV, 350 mJ above (IEC 60335-1, 8.1.4, and IEC 60950-1; unverified).
#[test]
fn harmless_charge() {
    for (microfarads, volts, harmless) in [
        (0.1, 450.0, true),
        (0.101, 450.0, false),
        (0.09, 500.0, true),
        (0.091, 500.0, false),
        (0.003, 15_000.0, true),
        (0.003_01, 15_000.0, false),
        (0.001_7, 20_000.0, true),
        (0.001_8, 20_000.0, false),
        (10_000.0, 60.0, true),
    ] {
        assert_eq!(
            charge(microfarads, volts).is_harmless(),
            harmless,
            "{microfarads} µF {volts} V"
        );
    }
}

/// 60 V, the limit of energy class ES1 for direct voltage: IEC 62368-1, table 4 (from memory).
#[test]
fn the_voltage_that_counts_as_discharged() {
    assert_eq!(DISCHARGED_VOLTS, 60.0);
}

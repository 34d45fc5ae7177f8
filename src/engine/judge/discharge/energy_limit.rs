//! [`EnergyBand`]: the voltage limits of a charged capacitor by its capacitance.

use crate::engine::judge::BadFigure;
use crate::engine::judge::bad_figure::positive;

/// The voltages up to which a charged capacitor counts as energy class ES1 and ES2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnergyBand {
    /// Capacitance that the row of the table is for, in farad.
    pub farads: f64,
    /// Limit for ordinary persons, in volt.
    pub es1_volts: f64,
    /// Limit for instructed persons, in volt.
    pub es2_volts: f64,
}

/// IEC 62368-1, table 5 (from memory), the largest capacitance first.
const TABLE: [EnergyBand; 10] = [
    row(300e-9, 60.0),
    row(170e-9, 75.0),
    row(91e-9, 100.0),
    row(61e-9, 125.0),
    row(41e-9, 150.0),
    row(28e-9, 200.0),
    row(18e-9, 250.0),
    row(12e-9, 350.0),
    row(8e-9, 500.0),
    row(4e-9, 1000.0),
];

const fn row(farads: f64, es1_volts: f64) -> EnergyBand {
    EnergyBand {
        farads,
        es1_volts,
        es2_volts: 2.0 * es1_volts,
    }
}

/// The limits for a capacitance, IEC 62368-1, table 5 (from memory). Between two rows the larger capacitance of the two
/// counts, which is on the safe side.
///
/// # Errors
/// If `farads` is not a finite number above zero.
pub fn energy_band(farads: f64) -> Result<EnergyBand, BadFigure> {
    let farads = positive("the capacitance in farad", farads)?;
    let fitting = TABLE.iter().rev().find(|band| farads <= band.farads);
    Ok(*fitting.unwrap_or(&TABLE[0]))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn between_two_rows_the_lower_voltage_counts() {
        assert_eq!(energy_band(100e-9).map(|band| band.es1_volts), Ok(75.0));
        assert_eq!(energy_band(32e-6).map(|band| band.es1_volts), Ok(60.0));
        assert_eq!(energy_band(1e-9).map(|band| band.es1_volts), Ok(1000.0));
        assert!(energy_band(0.0).is_err());
    }

    proptest! {
        #[test]
        fn the_limit_never_rises_with_the_capacitance(farads in 1e-10..1e-5_f64, factor in 1.0..10.0_f64) {
            let volts = |farads| energy_band(farads).unwrap().es1_volts;
            prop_assert!(volts(farads * factor) <= volts(farads));
        }
    }
}

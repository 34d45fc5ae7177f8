//! [`StoredCharge`]: a capacitor with a voltage on it. Formulas from the definitions of charge, energy and time constant.

use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::{not_negative, positive};

/// A capacitor with a voltage on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoredCharge {
    farads: f64,
    volts: f64,
}

impl StoredCharge {
    /// A capacitance in farad, charged to a voltage in volt (its size without sign).
    ///
    /// # Errors
    /// If the capacitance is not above zero, the voltage below zero, or one of them not finite.
    pub fn new(farads: f64, volts: f64) -> Result<Self, BadFigure> {
        Ok(Self {
            farads: positive("the capacitance in farad", farads)?,
            volts: not_negative("the voltage in volt", volts)?,
        })
    }

    /// Capacitance, in farad.
    pub const fn farads(self) -> f64 {
        self.farads
    }

    /// Voltage, in volt.
    pub const fn volts(self) -> f64 {
        self.volts
    }

    /// Charge CV, in coulomb.
    pub fn coulombs(self) -> f64 {
        self.farads * self.volts
    }

    /// Energy CV²/2, in joule.
    pub fn joules(self) -> f64 {
        0.5 * self.farads * self.volts * self.volts
    }

    /// Time constant RC with a resistance across it, in second.
    ///
    /// # Errors
    /// If the resistance in `ohms` is not a finite number above zero.
    pub fn time_constant(self, ohms: f64) -> Result<f64, BadFigure> {
        Ok(positive("the resistance in ohm", ohms)? * self.farads)
    }

    /// Seconds until a resistance across it has brought it down to `volts`: RC ln(V0/V1); zero if it is there already.
    ///
    /// # Errors
    /// If `ohms` or `volts` is not a finite number above zero.
    pub fn seconds_to(self, volts: f64, ohms: f64) -> Result<f64, BadFigure> {
        let target = positive("the voltage to fall to in volt", volts)?;
        let constant = self.time_constant(ohms)?;
        if self.volts <= target {
            return Ok(0.0);
        }
        Ok(constant * libm::log(self.volts / target))
    }

    /// Whether a touch of it is counted as harmless: up to 0.1 µF at up to 450 V, 45 µC up to 15 kV, 350 mJ above, or a
    /// voltage up to 60 V. IEC 60335-1, 8.1.4, and the limited-current circuits of IEC 60950-1, both unverified, since they were
    /// read as quotations alone; the 60 V from memory (IEC 62368-1).
    pub fn is_harmless(self) -> bool {
        if self.volts <= super::DISCHARGED_VOLTS {
            true
        } else if self.volts <= 450.0 {
            self.farads <= 0.1e-6
        } else if self.volts <= 15e3 {
            self.coulombs() <= 45e-6
        } else {
            self.joules() <= 0.35
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(StoredCharge::new(0.0, 450.0).is_err());
        assert!(StoredCharge::new(32e-6, -1.0).is_err());
        let charge = StoredCharge::new(32e-6, 450.0).unwrap();
        assert!(charge.seconds_to(0.0, 1e3).is_err());
        assert!(charge.time_constant(0.0).is_err());
    }

    #[test]
    fn a_capacitor_that_is_down_needs_no_time() {
        let charge = StoredCharge::new(32e-6, 60.0).unwrap();
        assert_eq!(charge.seconds_to(60.0, 1e5), Ok(0.0));
    }

    proptest! {
        #[test]
        fn more_capacitance_or_voltage_takes_longer_and_is_never_more_harmless(
            farads in 1e-9..1e-3_f64, volts in 61.0..2000.0_f64, factor in 1.001..10.0_f64,
        ) {
            let base = StoredCharge::new(farads, volts).unwrap();
            let larger = StoredCharge::new(farads * factor, volts).unwrap();
            let higher = StoredCharge::new(farads, volts * factor).unwrap();
            let time = |charge: StoredCharge| charge.seconds_to(60.0, 1e5).unwrap();
            prop_assert!(time(larger) > time(base) && time(higher) > time(base));
            prop_assert!(larger.joules() > base.joules() && higher.coulombs() > base.coulombs());
            prop_assert!(base.is_harmless() || !larger.is_harmless());
        }
    }
}

//! [`Mains`]: the supply that the equipment is connected to.

use std::fmt;

use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::positive;

/// Voltage and frequency of the mains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mains {
    volts: f64,
    hertz: f64,
}

impl Mains {
    /// Mains of `volts` (nominal, root mean square) and `hertz`.
    ///
    /// # Errors
    /// If one of them is not a finite number above zero.
    pub fn new(volts: f64, hertz: f64) -> Result<Self, BadFigure> {
        Ok(Self {
            volts: positive("the mains voltage in volt", volts)?,
            hertz: positive("the mains frequency in hertz", hertz)?,
        })
    }

    /// Nominal voltage, root mean square, in volt.
    pub const fn volts(self) -> f64 {
        self.volts
    }

    /// Frequency, in hertz.
    pub const fn hertz(self) -> f64 {
        self.hertz
    }
}

impl fmt::Display for Mains {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} V {} Hz", self.volts, self.hertz)
    }
}

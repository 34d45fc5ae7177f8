//! [`SheetValue`]: a voltage as the service sheet states it.

use super::PointError;
use crate::judge::bad_figure::finite;

/// A voltage as the service sheet states it, with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetValue {
    volts: f64,
    minus_percent: f64,
    plus_percent: f64,
}

impl SheetValue {
    /// `volts` with a tolerance of so many percent, of the voltage's size, to either side.
    ///
    /// # Errors
    /// If the voltage is not finite, or the tolerance not from 0 to 100 %.
    pub fn new(volts: f64, percent: f64) -> Result<Self, PointError> {
        Self::asymmetric(volts, percent, percent)
    }

    /// `volts` with different tolerances toward zero (`minus_percent`) and away from it (`plus_percent`).
    ///
    /// # Errors
    /// If the voltage is not finite, `minus_percent` not from 0 to 100, or `plus_percent` not finite or below 0.
    pub fn asymmetric(
        volts: f64,
        minus_percent: f64,
        plus_percent: f64,
    ) -> Result<Self, PointError> {
        let plus_fits = plus_percent.is_finite() && plus_percent >= 0.0;
        if !((0.0..=100.0).contains(&minus_percent) && plus_fits) {
            return Err(PointError::Tolerance {
                minus_percent,
                plus_percent,
            });
        }
        Ok(Self {
            volts: finite("the voltage on the sheet in volt", volts)?,
            minus_percent,
            plus_percent,
        })
    }

    /// The voltage, in volt.
    pub const fn volts(self) -> f64 {
        self.volts
    }

    /// The least and the greatest voltage in tolerance, in volt; of a negative voltage the more negative one first.
    pub fn limits(self) -> (f64, f64) {
        let near = self.volts * (1.0 - self.minus_percent / 100.0);
        let far = self.volts * (1.0 + self.plus_percent / 100.0);
        (near.min(far), near.max(far))
    }
}

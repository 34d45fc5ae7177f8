//! [`SheetValue`]: a voltage as the service sheet states it.

use super::PointError;
use crate::engine::judge::BadFigure;
use crate::engine::judge::bad_figure::finite;
use crate::engine::quantity::Band;

/// A voltage as the service sheet states it, with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetValue {
    volts: f64,
    lower_volts: f64,
    upper_volts: f64,
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
        let volts = finite("the voltage on the sheet in volt", volts)?;
        let near = volts * (1.0 - minus_percent / 100.0);
        let far = volts * (1.0 + plus_percent / 100.0);
        Ok(Self {
            volts,
            lower_volts: near.min(far),
            upper_volts: near.max(far),
        })
    }

    /// `volts` with the band that it conforms in, in volt.
    ///
    /// # Errors
    /// If the voltage is not finite.
    pub fn in_band(volts: f64, band: Band) -> Result<Self, BadFigure> {
        Ok(Self {
            volts: finite("the voltage on the sheet in volt", volts)?,
            lower_volts: band.lower(),
            upper_volts: band.upper(),
        })
    }

    /// The voltage, in volt.
    pub const fn volts(self) -> f64 {
        self.volts
    }

    /// The least and the greatest voltage in tolerance, in volt; of a negative voltage the more negative one first.
    pub const fn limits(self) -> (f64, f64) {
        (self.lower_volts, self.upper_volts)
    }
}

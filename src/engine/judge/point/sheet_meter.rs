//! [`SheetMeter`]: the moving-coil meter that a service sheet was made with.

use crate::engine::judge::BadFigure;
use crate::engine::judge::bad_figure::positive;

/// The meter that a service sheet was made with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SheetMeter {
    ohms_per_volt: f64,
    range_volts: f64,
}

impl SheetMeter {
    /// A meter of `ohms_per_volt` (1000, 20 000 ...) on the range that ends at `range_volts`.
    ///
    /// # Errors
    /// If one of them is not a finite number above zero.
    pub fn new(ohms_per_volt: f64, range_volts: f64) -> Result<Self, BadFigure> {
        Ok(Self {
            ohms_per_volt: positive("the sensitivity in ohm per volt", ohms_per_volt)?,
            range_volts: positive("the end of the range in volt", range_volts)?,
        })
    }

    /// Its resistance on that range, in ohm: sensitivity times range.
    pub fn ohms(self) -> f64 {
        self.ohms_per_volt * self.range_volts
    }

    /// What would be at the point without the meter, in volt, where it reads `volts` at a source resistance of
    /// `source_ohms`: V (Rs + S R)/(S R).
    pub(super) fn unloaded_volts(self, volts: f64, source_ohms: f64) -> f64 {
        volts * (1.0 + source_ohms / self.ohms())
    }

    /// The largest source resistance, in ohm, with which a point that reads `volts` can be fed from `supply_volts`:
    /// without the meter it cannot stand above its supply. Both of the same sign; `None` if the reading is above the supply.
    pub(super) fn largest_source_ohms(self, volts: f64, supply_volts: f64) -> Option<f64> {
        let ratio = supply_volts / volts;
        (ratio >= 1.0).then(|| self.ohms() * (ratio - 1.0))
    }
}

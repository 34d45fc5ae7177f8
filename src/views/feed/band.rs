//! [`Limits`]: the band of a part as plain data.

use serde::{Deserialize, Serialize};

use crate::engine::quantity::{Band, Quantity, format_band};

/// The limits of what conforms, both inside, and the nominal value; in the SI unit of the quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// The lower limit; `None` where there is none.
    pub lower: Option<f64>,
    /// The nominal value; `None` where there is none.
    pub nominal: Option<f64>,
    /// The upper limit; `None` where there is none.
    pub upper: Option<f64>,
    /// The limits for people: `4.23 kΩ to 5.17 kΩ`.
    pub words: String,
}

impl Limits {
    /// Of that band.
    pub(super) fn of(quantity: Quantity, band: Band, nominal: Option<f64>) -> Self {
        let finite = |limit: f64| limit.is_finite().then_some(limit);
        Self {
            lower: finite(band.lower()),
            nominal,
            upper: finite(band.upper()),
            words: format_band(quantity, band),
        }
    }
}

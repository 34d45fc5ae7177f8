//! [`SettledValue`]: what a touch yields once the readings stopped moving.

use serde::{Deserialize, Serialize};

use crate::engine::quantity::{Quantity, Stamp};

/// A number with its standard uncertainty and where that comes from. All in the SI unit of the quantity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// Where the readings are going.
    pub value: f64,
    /// Combined standard uncertainty (k = 1).
    #[serde(rename = "uncertainty")]
    pub standard_uncertainty: f64,
    /// Component: scatter of the mean about the curve of the readings, standard uncertainty of type A.
    pub scatter: f64,
    /// Component: the meter's specification, standard uncertainty of type B.
    pub specification: f64,
    /// Half-width of what may still come, evenly likely: how well it is known where the readings are going.
    pub remaining: f64,
}

impl Estimate {
    /// Combines the components in quadrature (JCGM 100:2008, 5.1.2, sensitivity 1 each).
    pub fn combine(value: f64, scatter: f64, specification: f64, remaining: f64) -> Self {
        let approach = remaining / 3f64.sqrt();
        let variance = scatter * scatter + specification * specification + approach * approach;
        Self {
            value,
            standard_uncertainty: variance.sqrt(),
            scatter,
            specification,
            remaining,
        }
    }
}

/// The second value of an LCR meter: robust mean and scatter of the mean, in the unit of the profile's field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Second {
    /// Robust mean.
    pub value: f64,
    /// Scatter of the mean, standard uncertainty of type A.
    pub scatter: f64,
}

/// Finding of the touch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Finding {
    /// A value.
    Value(Estimate),
    /// Nothing conducts, although the person said that the probes are on the part.
    Open,
    /// The probes touch something that is steadily beyond the meter's range.
    #[serde(rename = "beyond range")]
    BeyondRange,
}

impl Finding {
    /// The value; `None` where there is none.
    pub const fn estimate(&self) -> Option<Estimate> {
        match self {
            Self::Value(estimate) => Some(*estimate),
            Self::Open | Self::BeyondRange => None,
        }
    }
}

/// Yield of a touch once the readings stopped moving.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SettledValue {
    /// Quantity that was measured.
    pub quantity: Quantity,
    /// When the probes made contact (for an open part: when the person said that they are on it).
    #[serde(rename = "contact_us")]
    pub contact: Stamp,
    /// When it settled.
    #[serde(rename = "at_us")]
    pub at: Stamp,
    /// How many readings it rests on.
    pub readings: u32,
    /// The finding.
    pub finding: Finding,
    /// The second value of an LCR meter over the same readings; the profile says what it is.
    pub second: Option<Second>,
}

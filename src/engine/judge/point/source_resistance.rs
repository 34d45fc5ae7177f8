//! [`SourceResistance`]: what is known of the resistance behind a point.

use super::{PointError, SheetMeter};
use crate::engine::judge::bad_figure::{finite, not_negative};

/// What is known of the resistance behind a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SourceResistance {
    /// So many ohm.
    Known {
        /// The resistance, in ohm, zero or above.
        ohms: f64,
    },
    /// Between two bounds.
    Between {
        /// The lower bound, in ohm.
        lowest: f64,
        /// The upper bound, in ohm.
        highest: f64,
    },
    /// Unknown, but the point is fed through resistors from a known supply and can never stand above it.
    FedFrom {
        /// The supply, in volt, with the sign of the point.
        supply_volts: f64,
    },
    /// Unknown altogether.
    Unknown,
}

impl SourceResistance {
    /// The bounds, in ohm; the upper one may be infinite.
    pub(super) fn bounds(self, volts: f64, meter: SheetMeter) -> Result<(f64, f64), PointError> {
        let checked = |ohms| not_negative("the source resistance in ohm", ohms);
        match self {
            Self::Known { ohms } => Ok((checked(ohms)?, ohms)),
            Self::Between { lowest, highest } if checked(lowest)? > checked(highest)? => {
                Err(PointError::CrossedBounds { lowest, highest })
            }
            Self::Between { lowest, highest } => Ok((lowest, highest)),
            Self::FedFrom { supply_volts } => {
                let supply_volts = finite("the supply in volt", supply_volts)?;
                let largest = meter.largest_source_ohms(volts, supply_volts);
                let above = PointError::AboveSupply {
                    volts,
                    supply_volts,
                };
                Ok((0.0, largest.ok_or(above)?))
            }
            Self::Unknown => Ok((0.0, f64::INFINITY)),
        }
    }
}

//! [`PointError`]: why no reading can be foretold for a point.

use thiserror::Error;

use crate::engine::judge::BadFigure;

/// Why no reading can be foretold for a point.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PointError {
    /// A figure that cannot be.
    #[error(transparent)]
    Figure(#[from] BadFigure),
    /// The bounds of the source resistance are crossed.
    #[error(
        "found source resistances from {lowest} Ω to {highest} Ω, expected the lower one first"
    )]
    CrossedBounds {
        /// The lower bound, in ohm.
        lowest: f64,
        /// The upper bound, in ohm.
        highest: f64,
    },
    /// The sheet's voltage is above the supply that is said to feed it.
    #[error(
        "found {volts} V at a point fed from {supply_volts} V, expected no more than the supply; check both on the sheet"
    )]
    AboveSupply {
        /// The voltage on the sheet, in volt.
        volts: f64,
        /// The supply, in volt.
        supply_volts: f64,
    },
    /// Plus and minus limits that are no tolerance.
    #[error(
        "found -{minus_percent} % / +{plus_percent} %, expected limits from 0 to 100 % below and of 0 % or more above"
    )]
    Tolerance {
        /// Downward, in percent.
        minus_percent: f64,
        /// Upward, in percent.
        plus_percent: f64,
    },
}

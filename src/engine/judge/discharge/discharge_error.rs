//! [`DischargeError`]: why a discharge check cannot take what it was told.

use thiserror::Error;

use crate::engine::judge::BadFigure;

/// Why a discharge check cannot take what it was told.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DischargeError {
    /// A figure that cannot be.
    #[error(transparent)]
    Figure(#[from] BadFigure),
    /// The capacitor is not one of those to be checked.
    #[error("found `{designator}`, expected one of the capacitors to be discharged: {expected}")]
    NotListed {
        /// What was named.
        designator: String,
        /// The designators on the list.
        expected: String,
    },
    /// An override without a word why.
    #[error("found no reason for going on with charge unchecked, expected one: say why it is safe")]
    NoReason,
    /// An override of a capacitor whose last reading was too high.
    #[error(
        "found {volts} V on `{designator}`, expected it below the limit: discharge it and measure again"
    )]
    Charged {
        /// The capacitor.
        designator: String,
        /// Its last reading, in volt, without sign.
        volts: f64,
    },
    /// A reading with an earlier stamp than the one before.
    #[error(
        "found a reading of `{designator}` from before the last one, expected readings in the order of time"
    )]
    OutOfOrder {
        /// The capacitor.
        designator: String,
    },
}

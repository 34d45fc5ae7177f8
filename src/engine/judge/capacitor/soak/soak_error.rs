//! [`SoakError`]: a reading that a soak cannot take.

use thiserror::Error;

/// A reading that a soak cannot take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SoakError {
    /// The current or its uncertainty is no number, or the uncertainty is negative.
    #[error(
        "found a current that is no number, expected amperes with an uncertainty of zero or more"
    )]
    NotANumber,
    /// Not later than the voltage.
    #[error("found a reading from before the voltage was applied, expected a later one")]
    BeforeVoltage,
    /// Not later than the reading before it.
    #[error("found a reading that is not later than the one before it, expected them in order")]
    OutOfOrder,
}

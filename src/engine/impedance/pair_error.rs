//! [`PairError`]: what can be wrong with a meter's pair of values.

use super::{CovarianceError, PairKind, Parameter};

/// A pair of values that means no impedance.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PairError {
    /// The meter sent nothing for a parameter.
    #[error(
        "`{parameter}` of the pair `{kind}` is missing, expected two values; check what the meter is set to send"
    )]
    Missing {
        /// The pair.
        kind: PairKind,
        /// What is missing.
        parameter: Parameter,
    },
    /// The test frequency is not known.
    #[error(
        "the test frequency of the pair `{kind}` is missing; give the frequency that the meter is set to"
    )]
    MissingFrequency {
        /// The pair.
        kind: PairKind,
    },
    /// The test frequency is zero, negative or not finite.
    #[error(
        "the test frequency of the pair `{kind}` is {found} Hz, expected more than 0; give the frequency that the meter is set to"
    )]
    Frequency {
        /// The pair.
        kind: PairKind,
        /// What was found, in hertz.
        found: f64,
    },
    /// A value is infinite or not a number.
    #[error(
        "`{parameter}` of the pair `{kind}` is {found}, expected a finite number; the reading is beyond the meter's range"
    )]
    NotFinite {
        /// The pair.
        kind: PairKind,
        /// Which value.
        parameter: Parameter,
        /// What was found.
        found: f64,
    },
    /// A value that no passive part can have.
    #[error(
        "`{parameter}` of the pair `{kind}` is {found}, expected {}; repeat the meter's open and short correction, and check that it is set to what the part is",
        parameter.range()
    )]
    OutOfRange {
        /// The pair.
        kind: PairKind,
        /// Which value.
        parameter: Parameter,
        /// What was found, in the parameter's unit.
        found: f64,
    },
    /// A standard uncertainty is negative or not finite.
    #[error(
        "the standard uncertainty of `{parameter}` of the pair `{kind}` is {found}, expected a finite number, 0 or more; check the accuracy in the device profile"
    )]
    Uncertainty {
        /// The pair.
        kind: PairKind,
        /// Of which value.
        parameter: Parameter,
        /// What was found.
        found: f64,
    },
    /// The correlation coefficient is beyond -1 to 1.
    #[error(
        "the correlation within the pair `{kind}` is {found}, expected -1 to 1; give 0 if it is not known"
    )]
    Correlation {
        /// The pair.
        kind: PairKind,
        /// What was found.
        found: f64,
    },
    /// The numbers are of impossible size.
    #[error("the uncertainties of the pair `{kind}` cannot be combined")]
    Covariance {
        /// The pair.
        kind: PairKind,
        /// Why.
        source: CovarianceError,
    },
}

//! [`BadFigure`]: the error of a formula that was given something that cannot be.

use thiserror::Error;

/// A number that has to be finite and above zero, or at least not below zero, and is not.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("found `{found}` for {what}, expected {expected}; check the figure that was entered")]
pub struct BadFigure {
    /// What the number stands for, with its unit: `the resistance in ohm`.
    pub what: &'static str,
    /// The number.
    pub found: f64,
    /// What it should have been.
    pub expected: &'static str,
}

/// `found`, if it is finite and above zero.
pub(super) fn positive(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() && found > 0.0 {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number above zero",
    })
}

/// `found`, if it is finite and not below zero.
pub(super) fn not_negative(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() && found >= 0.0 {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number, zero or above",
    })
}

/// `found`, if it is finite.
pub(super) fn finite(what: &'static str, found: f64) -> Result<f64, BadFigure> {
    if found.is_finite() {
        return Ok(found);
    }
    Err(BadFigure {
        what,
        found,
        expected: "a finite number",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_is_refused_with_words() {
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(positive("the resistance in ohm", wrong).is_err());
        }
        assert_eq!(positive("the resistance in ohm", 1e-3), Ok(1e-3));
        assert_eq!(not_negative("the current in ampere", 0.0), Ok(0.0));
        assert!(not_negative("the current in ampere", -0.1).is_err());
        assert!(finite("the voltage in volt", f64::NEG_INFINITY).is_err());
        assert_eq!(
            positive("the resistance in ohm", -3.0)
                .unwrap_err()
                .to_string(),
            "found `-3` for the resistance in ohm, expected a finite number above zero; check the figure that was entered"
        );
    }
}

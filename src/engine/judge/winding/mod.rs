//! Windings: resistance at 20 °C, turns and impedance ratio, balance of two halves, siblings.
//!
//! Pure formulas over [`Measured`] values with their standard uncertainties (first order, JCGM 100:2008, 5.1.2); no file,
//! port, clock or printing.

mod balance;
mod resistance;
mod sibling;
mod turns_ratio;

pub use balance::{Balance, HALVES_LIMIT_PERCENT, balance};
pub use resistance::{Temperature, TemperatureError, resistance_at_20};
pub use sibling::{other_half, sibling};
pub use turns_ratio::{impedance_ratio, reflected_load, turns_ratio};

use crate::engine::judge::BadFigure;
use crate::engine::judge::figure::{not_negative, positive};
use crate::engine::probing::Estimate;

/// A value with its standard uncertainty (k = 1), both in the same unit; which one is said where it is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Best estimate.
    pub value: f64,
    /// Its standard uncertainty, zero or above.
    pub standard_uncertainty: f64,
}

impl Measured {
    /// A value above zero with its standard uncertainty. Voltages and resistances of this room have no sign.
    ///
    /// # Errors
    /// If the value is not a finite number above zero, or the uncertainty not one of zero or above.
    pub fn new(value: f64, standard_uncertainty: f64) -> Result<Self, BadFigure> {
        Ok(Self {
            value: positive("the measured value", value)?,
            standard_uncertainty: not_negative("its uncertainty", standard_uncertainty)?,
        })
    }

    /// A value above zero that is taken as exact.
    ///
    /// # Errors
    /// If it is not a finite number above zero.
    pub fn exact(value: f64) -> Result<Self, BadFigure> {
        Self::new(value, 0.0)
    }

    /// Uncertainty over value.
    pub fn relative_uncertainty(self) -> f64 {
        self.standard_uncertainty / self.value.abs()
    }

    /// A result with independent contributions to its uncertainty: the root of the sum of their squares
    /// (JCGM 100:2008, 5.1.2, clause from memory).
    pub(super) fn from_contributions(value: f64, contributions: &[f64]) -> Self {
        let variance: f64 = contributions.iter().map(|one| one * one).sum();
        Self {
            value,
            standard_uncertainty: variance.sqrt(),
        }
    }
}

impl TryFrom<Estimate> for Measured {
    type Error = BadFigure;

    fn try_from(estimate: Estimate) -> Result<Self, BadFigure> {
        Self::new(estimate.value, estimate.standard_uncertainty)
    }
}

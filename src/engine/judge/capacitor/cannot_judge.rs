//! [`CannotJudge`]: a check that the parts list or a table does not support.

use std::fmt;

use thiserror::Error;

use super::Condition;
use crate::engine::parts::{Kind, Material};

/// A check of a capacitor beyond its capacitance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Check {
    /// Loss factor or equivalent series resistance.
    Loss,
    /// Leakage current at rated voltage.
    Leakage,
    /// Insulation resistance.
    Insulation,
}

impl fmt::Display for Check {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Loss => "loss",
            Self::Leakage => "leakage current",
            Self::Insulation => "insulation",
        })
    }
}

/// A check that has no limit, and why. It is an answer, not a failure: nothing is guessed in its place.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("cannot judge {check}: {missing}")]
pub struct CannotJudge {
    /// The check.
    pub check: Check,
    /// What it lacks.
    pub missing: Missing,
}

impl CannotJudge {
    /// There is no limit for the leakage.
    pub(crate) const fn leakage(missing: Missing) -> Self {
        Self::new(Check::Leakage, missing)
    }

    pub(super) const fn new(check: Check, missing: Missing) -> Self {
        Self { check, missing }
    }
}

/// What a check lacks.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Missing {
    /// The part is something else.
    #[error("found a {kind}, expected a capacitor")]
    NotACapacitor {
        /// What it is.
        kind: Kind,
    },
    /// The nominal value is no capacitance above zero.
    #[error("no capacitance above zero in the list")]
    Capacitance,
    /// The list does not say what it is made of.
    #[error("no material in the list")]
    Material,
    /// The list states no rated direct voltage, or none above zero.
    #[error("no rated voltage in the list")]
    RatedVoltage,
    /// Only electrolytics are judged by their leakage current.
    #[error("{material} is judged by its insulation instead")]
    NotElectrolytic {
        /// What it is made of.
        material: Material,
    },
    /// Electrolytics are not judged by their insulation.
    #[error("an electrolytic is judged by its leakage current instead")]
    Electrolytic,
    /// The table says nothing about such a part.
    #[error("the table has no row for {material}, {condition}")]
    NoRow {
        /// What it is made of.
        material: Material,
        /// New or in service.
        condition: Condition,
    },
    /// The form of the leakage limit ends below the rated voltage.
    #[error("the form `{form}` has no row for this rated voltage: choose another in the policy")]
    NoLeakageRow {
        /// The form.
        form: String,
    },
    /// The policy names a form that the table does not have.
    #[error("found the form `{form}` in the policy, expected one of {known}")]
    NoForm {
        /// What the policy names.
        form: String,
        /// The forms of the table.
        known: String,
    },
}

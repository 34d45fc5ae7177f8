//! [`Subject`]: what the tables ask about a part, checked once, and [`CannotJudge`]: what they find missing.

use std::fmt;

use serde::Deserialize;
use strum::{Display, IntoStaticStr, VariantArray};
use thiserror::Error;

use crate::engine::parts::{Kind, Material, Part};

/// A capacitor with a usable value and a known material.
#[derive(Clone, Copy)]
pub(super) struct Subject {
    /// Nominal capacitance, above zero.
    pub(super) capacitance_farad: f64,
    pub(super) material: Material,
    /// Rated direct voltage, above zero; `None` if not stated.
    pub(super) rated_volts: Option<f64>,
    /// Whether it is of a safety class.
    pub(super) safety_class: bool,
}

impl Subject {
    /// Facts of the list about `part`, or the first one that is missing.
    pub(super) fn of(part: &Part) -> Result<Self, Missing> {
        if part.kind != Kind::Capacitor {
            return Err(Missing::NotACapacitor { kind: part.kind });
        }
        let capacitance_farad = part.nominal.value();
        if capacitance_farad <= 0.0 {
            return Err(Missing::Capacitance);
        }
        Ok(Self {
            capacitance_farad,
            material: part.material.ok_or(Missing::Material)?,
            rated_volts: part
                .rating
                .dc_volts
                .filter(|volts| volts.is_finite() && *volts > 0.0),
            safety_class: !part.rating.classes.is_empty(),
        })
    }

    /// The rated voltage, which this check cannot do without.
    pub(super) fn rated_volts(self) -> Result<f64, Missing> {
        self.rated_volts.ok_or(Missing::RatedVoltage)
    }
}

/// A check of a capacitor beyond its capacitance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CapacitorCheck {
    /// Loss factor or equivalent series resistance.
    Loss,
    /// Leakage current at rated voltage.
    Leakage,
    /// Insulation resistance.
    Insulation,
}

impl fmt::Display for CapacitorCheck {
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
    pub check: CapacitorCheck,
    /// Fact that it lacks.
    pub missing: Missing,
}

impl CannotJudge {
    /// There is no limit for the leakage.
    pub(crate) const fn leakage(missing: Missing) -> Self {
        Self::new(CapacitorCheck::Leakage, missing)
    }

    pub(super) const fn new(check: CapacitorCheck, missing: Missing) -> Self {
        Self { check, missing }
    }
}

/// Facts that a check lacks.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Missing {
    /// The part is something else.
    #[error("found a {kind}, expected a capacitor")]
    NotACapacitor { kind: Kind },
    /// The nominal value is no capacitance above zero.
    #[error("no capacitance above zero in the list")]
    Capacitance,
    /// The list does not say what it is made of.
    #[error("no material in the list, expected one in `material`, such as `paper`")]
    Material,
    /// The list states no rated direct voltage, or none above zero.
    #[error("no rated voltage in the list, expected one in `rating`, such as `400V`")]
    RatedVoltage,
    /// Only electrolytics are judged by their leakage current.
    #[error("{material} is judged by its insulation instead")]
    NotElectrolytic { material: Material },
    /// Electrolytics are not judged by their insulation.
    #[error("an electrolytic is judged by its leakage current instead")]
    Electrolytic,
    /// The table says nothing about such a part.
    #[error("the table has no row for {material}, {condition}")]
    NoRow {
        material: Material,
        /// New or in service.
        condition: Condition,
    },
    /// The form of the leakage limit ends below the rated voltage.
    #[error("the form `{form}` has no row for this rated voltage: choose another in the policy")]
    NoLeakageRow { form: String },
    /// The policy names a form that the table does not have.
    #[error("found the form `{form}` in the policy, expected one of {known}")]
    NoForm {
        /// Name in the policy.
        form: String,
        /// The forms of the table.
        known: String,
    },
}

/// Stage of a capacitor's life; limits differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[derive(Display, IntoStaticStr, VariantArray)]
#[strum(serialize_all = "kebab-case")]
pub enum Condition {
    /// Bought for this job and never used.
    New,
    /// Found in the equipment, or unused stock of its age.
    #[default]
    InService,
}

words!(Condition: ALL, name, named);

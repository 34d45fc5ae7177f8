//! [`Subject`]: what the tables ask about a part, checked once.

use super::cannot_judge::Missing;
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
    /// What the list says about `part`, or the first thing that it does not say.
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

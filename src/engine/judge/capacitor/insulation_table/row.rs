//! A row of the insulation table.

use toml::Spanned;

use super::file;
use crate::engine::judge::capacitor::subject::Subject;
use crate::engine::judge::capacitor::{Condition, InsulationForm, InsulationLimit, material};
use crate::engine::parts::Material;
use crate::engine::source::{TextError, TomlText};

/// A row of the table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) material: Material,
    pub(super) condition: Condition,
    pub(super) up_to_volts: Option<f64>,
    pub(super) resistance_ohm: f64,
    pub(super) product_s: Option<f64>,
    pub(super) test_volts: f64,
    pub(super) by_default: bool,
    pub(super) safety_class: bool,
    pub(super) source: String,
}

impl Row {
    /// The limit for a capacitance above zero. Up to `product_above_farad` it is the resistance.
    pub(super) fn limit(
        &self,
        capacitance_farad: f64,
        product_above_farad: f64,
    ) -> InsulationLimit {
        let product = self
            .product_s
            .filter(|_| capacitance_farad > product_above_farad);
        InsulationLimit {
            resistance_ohm: product.map_or(self.resistance_ohm, |s| s / capacitance_farad),
            form: product.map_or(InsulationForm::Resistance, InsulationForm::ProductSeconds),
            test_volts: self.test_volts,
            row: self.name.clone(),
            source: self.source.clone(),
        }
    }

    /// Whether the row is taken without being named. `None`: that hangs on a rated voltage which is not stated.
    pub(super) fn fits(&self, subject: Subject, condition: Condition) -> Option<bool> {
        if self.material != subject.material || self.condition != condition {
            return Some(false);
        }
        if subject.safety_class || self.safety_class {
            return Some(subject.safety_class && self.safety_class);
        }
        match (self.by_default, self.up_to_volts) {
            (false, _) => Some(false),
            (true, None) => Some(true),
            (true, Some(up_to)) => subject.rated_volts.map(|volts| volts <= up_to),
        }
    }

    pub(super) fn check(source: TomlText<'_>, row: &file::Row) -> Result<Self, TextError> {
        let optional = |key, number: &Option<Spanned<f64>>| {
            number
                .as_ref()
                .map(|number| source.positive(key, number))
                .transpose()
        };
        Ok(Self {
            name: source.words("name", &row.name)?,
            material: material::read(source, &row.material)?,
            condition: row.condition,
            up_to_volts: optional("up_to_volts", &row.up_to_volts)?,
            resistance_ohm: source.positive("resistance_mohm", &row.resistance_mohm)? * 1e6,
            product_s: optional("product_s", &row.product_s)?,
            test_volts: source.positive("test_volts", &row.test_volts)?,
            by_default: row.by_default,
            safety_class: row.safety_class,
            source: source.words("source", &row.source)?,
        })
    }
}

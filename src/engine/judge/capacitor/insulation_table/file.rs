//! The insulation table as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

use crate::engine::judge::capacitor::Condition;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) product_above_uf: Spanned<f64>,
    pub(super) row: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) name: Spanned<String>,
    pub(super) material: Spanned<String>,
    pub(super) condition: Condition,
    pub(super) up_to_volts: Option<Spanned<f64>>,
    pub(super) resistance_mohm: Spanned<f64>,
    pub(super) product_s: Option<Spanned<f64>>,
    pub(super) test_volts: Spanned<f64>,
    #[serde(default)]
    pub(super) by_default: bool,
    #[serde(default)]
    pub(super) safety_class: bool,
    pub(super) source: Spanned<String>,
}

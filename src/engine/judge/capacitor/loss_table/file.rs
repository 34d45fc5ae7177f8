//! The loss table as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

use crate::engine::judge::capacitor::Condition;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) electrolytic: Electrolytic,
    #[serde(default)]
    pub(super) material: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Electrolytic {
    pub(super) frequencies_hz: Spanned<Vec<Spanned<f64>>>,
    pub(super) extra_from_uf: Spanned<f64>,
    pub(super) extra_per_1000_uf: Spanned<f64>,
    pub(super) in_service_factor: Spanned<f64>,
    pub(super) condemned_from: Spanned<f64>,
    pub(super) rows: Spanned<Vec<VoltageRow>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VoltageRow {
    pub(super) rated_volts: Spanned<f64>,
    pub(super) tan_delta: Spanned<f64>,
    pub(super) source: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) material: Spanned<String>,
    pub(super) condition: Condition,
    pub(super) up_to_nf: Option<Spanned<f64>>,
    pub(super) frequency_hz: Spanned<f64>,
    pub(super) tan_delta: Spanned<f64>,
    pub(super) source: Spanned<String>,
}

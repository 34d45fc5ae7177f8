//! The leakage table as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) form: Vec<Form>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Form {
    pub(super) name: Spanned<String>,
    pub(super) rows: Spanned<Vec<Row>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) up_to_cv: Option<Spanned<f64>>,
    pub(super) up_to_volts: Option<Spanned<f64>>,
    pub(super) after_minutes: Spanned<i64>,
    pub(super) ua_per_cv: Option<Spanned<f64>>,
    pub(super) ua_per_uf: Option<Spanned<f64>>,
    pub(super) plus_ua: Option<Spanned<f64>>,
    pub(super) at_least_ua: Option<Spanned<f64>>,
    pub(super) source: Spanned<String>,
}

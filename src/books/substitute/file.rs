//! The table of goods as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    #[serde(default)]
    pub(super) goods: Vec<Row>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) name: Spanned<String>,
    pub(super) kind: Spanned<String>,
    pub(super) material: Spanned<String>,
    pub(super) from: Spanned<String>,
    pub(super) to: Spanned<String>,
    pub(super) series: Spanned<String>,
    pub(super) tolerance: Spanned<String>,
    pub(super) ratings: Spanned<Vec<Spanned<String>>>,
    #[serde(default)]
    pub(super) stable: bool,
    #[serde(default)]
    pub(super) inductive: bool,
    pub(super) source: Spanned<String>,
}

//! The policy as it is written. The only place that knows its keys.

use serde::Deserialize;
use toml::Spanned;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    #[serde(default)]
    pub(super) replace: Vec<Replace>,
    #[serde(default)]
    pub(super) role: Vec<Role>,
    #[serde(default)]
    pub(super) largest: Vec<Largest>,
    pub(super) leakage: Option<Leakage>,
    pub(super) grid_coupling: Option<GridCoupling>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Replace {
    pub(super) kind: Option<Spanned<String>>,
    pub(super) material: Option<Spanned<String>>,
    pub(super) words: Option<Vec<Spanned<String>>>,
    pub(super) reason: Spanned<String>,
    pub(super) source: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Role {
    pub(super) words: Spanned<Vec<Spanned<String>>>,
    pub(super) kind: Option<Spanned<String>>,
    pub(super) widen_to_percent: Option<Spanned<f64>>,
    pub(super) narrow_to_percent: Option<Spanned<f64>>,
    pub(super) reason: Spanned<String>,
    pub(super) source: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Largest {
    pub(super) words: Spanned<Vec<Spanned<String>>>,
    pub(super) value: Option<Spanned<String>>,
    pub(super) factor: Option<Spanned<f64>>,
    pub(super) reason: Spanned<String>,
    pub(super) source: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Leakage {
    pub(super) new: Spanned<String>,
    pub(super) in_service: Spanned<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GridCoupling {
    pub(super) words: Spanned<Vec<Spanned<String>>>,
    pub(super) least_mohm: Spanned<f64>,
    pub(super) better_mohm: Spanned<f64>,
    pub(super) source: Spanned<String>,
}

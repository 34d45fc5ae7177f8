//! [`Charge`]: what a capacitor may hold before work begins, as plain data.

use serde::{Deserialize, Serialize};

use crate::engine::judge::discharge::{ChargedPart, StoredCharge};

/// What a capacitor of the list may hold when a sitting begins. The times are those until it has fallen below 60 V.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Charge {
    /// Reference designator.
    pub designator: String,
    /// The voltage at its rating, V; `None` if none is stated.
    pub volts: Option<f64>,
    /// The charge there, C.
    pub coulombs: Option<f64>,
    /// The energy there, J.
    pub joules: Option<f64>,
    /// How long its bleeders take with nominal values, s; `None` without a bleeder in the list.
    pub bleed_s: Option<f64>,
    /// The same with all values at the upper limits of their tolerances, s.
    pub slowest_bleed_s: Option<f64>,
    /// All of it for people.
    pub words: String,
}

impl Charge {
    /// That of `capacitor`.
    pub(super) fn of(capacitor: &ChargedPart) -> Self {
        Self {
            designator: capacitor.designator.clone(),
            volts: capacitor.charge.map(StoredCharge::volts),
            coulombs: capacitor.charge.map(StoredCharge::coulombs),
            joules: capacitor.charge.map(StoredCharge::joules),
            bleed_s: capacitor.bleed.map(|bleed| bleed.seconds),
            slowest_bleed_s: capacitor.bleed.map(|bleed| bleed.slowest_seconds),
            words: capacitor.to_string(),
        }
    }
}

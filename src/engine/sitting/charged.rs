//! [`Charged`]: the parts that may have to be seen discharged; [`Charge`]: what one may hold, as plain data.

use serde::{Deserialize, Serialize};

use super::entries::Entries;
use crate::engine::judge::discharge::{ChargedPart, Harm, StoredCharge};
use crate::engine::parts::{Material, Part};

/// Parts across which a voltage may stand: those that are seen discharged before work first, then those that get their rated
/// voltage, then all that read below zero if there is one.
#[derive(Debug, Clone)]
pub(super) struct Charged {
    parts: Vec<Part>,
    reservoirs: usize,
}

impl Charged {
    /// Capacitors that must be seen discharged before work, each a part of `list`, and of the entries first those whose leakage is
    /// measured. `earlier` asks for those alone that were asked for before edition 1.2.
    pub(super) fn of(
        list: &[Part],
        before_work: &[ChargedPart],
        earlier: bool,
        entries: &Entries,
    ) -> Self {
        let in_list = |one: &ChargedPart| {
            let mut list = list.iter();
            let part = list.find(|part| part.designator == one.designator);
            part.filter(|part| !earlier || was_asked_for(one, part))
        };
        let before_work = before_work.iter().filter_map(in_list);
        let mut parts: Vec<Part> = before_work.cloned().collect();
        let reservoirs = parts.len();
        let (soaked, others): (Vec<usize>, Vec<usize>) =
            (0..entries.parts().len()).partition(|entry| entries.leakage(*entry).is_some());
        for entry in soaked.into_iter().chain(others) {
            let head = &entries.parts()[entries.heads()[entry]];
            if parts.iter().all(|part| part.designator != head.designator) {
                parts.push(head.clone());
            }
        }
        Self { parts, reservoirs }
    }

    pub(super) fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// Capacitors that must be seen discharged before any work.
    pub(super) fn before_work(&self) -> Vec<usize> {
        (0..self.reservoirs).collect()
    }

    /// The one of that designator.
    pub(super) fn named(&self, designator: &str) -> Vec<usize> {
        let named = |place: &usize| self.parts[*place].designator == designator;
        (0..self.parts.len()).filter(named).collect()
    }
}

/// Whether a capacitor was to be seen discharged before edition 1.2: one that may harm a person, and holds a supply or is a
/// rated electrolytic.
fn was_asked_for(charged: &ChargedPart, part: &Part) -> bool {
    const SUPPLY_ROLES: [&str; 6] = [
        "reservoir",
        "smoothing",
        "filter",
        "decoupling",
        "supply",
        "multiplier",
    ];
    let role = part.role.to_lowercase();
    let holds_supply = SUPPLY_ROLES.iter().any(|word| role.contains(word))
        && (charged.charge.is_some() || part.nominal.value() > 0.1e-6);
    let electrolytic = charged.charge.is_some() && part.material == Some(Material::Electrolytic);
    charged.harm == Harm::Person && (holds_supply || electrolytic)
}

/// Charge that a capacitor of the list may hold when a sitting begins. The times are those until it has fallen below 60 V.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Charge {
    #[serde(rename = "ref")]
    pub designator: String,
    /// The voltage at its rating, V; `None` if none is stated.
    pub volts: Option<f64>,
    /// The charge there, C.
    pub coulombs: Option<f64>,
    /// The energy there, J.
    pub joules: Option<f64>,
    /// Time that its bleeders take with nominal values, s; `None` without a bleeder in the list.
    pub bleed_s: Option<f64>,
    /// Time that they take with all values at the upper limits of their tolerances, s.
    pub slowest_bleed_s: Option<f64>,
    /// All of it for people.
    pub words: String,
}

impl Charge {
    /// The charge of `capacitor`.
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

//! [`Charged`]: the parts that may have to be seen discharged; [`Charge`]: what one may hold, as plain data.

use serde::{Deserialize, Serialize};

use super::entries::Entries;
use crate::engine::judge::discharge::{ChargedPart, StoredCharge, WhyListed};
use crate::engine::parts::Part;

/// Parts across which a voltage may stand: those that hold a supply first, then those that get their rated voltage, then all
/// that read below zero if there is one.
#[derive(Debug, Clone)]
pub(super) struct Charged {
    parts: Vec<Part>,
    reservoirs: usize,
}

impl Charged {
    /// Of the whole list those that hold a supply and electrolytics rated over 60 V (others that may hold a charge are left
    /// to the person's care), and of the entries first those whose leakage is measured.
    pub(super) fn of(list: &[Part], entries: &Entries) -> Self {
        let holds_supply = |part: &&Part| {
            matches!(
                WhyListed::of(part),
                Some(WhyListed::Role | WhyListed::RatedElectrolytic)
            )
        };
        let mut parts: Vec<Part> = list.iter().filter(holds_supply).cloned().collect();
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

    /// Those that must be seen discharged before any work.
    pub(super) fn before_work(&self) -> Vec<usize> {
        (0..self.reservoirs).collect()
    }

    /// The one of that designator.
    pub(super) fn named(&self, designator: &str) -> Vec<usize> {
        let named = |place: &usize| self.parts[*place].designator == designator;
        (0..self.parts.len()).filter(named).collect()
    }
}

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

//! [`Charged`]: the capacitors that may have to be seen discharged.

use super::entries::Entries;
use crate::engine::judge::discharge::WhyListed;
use crate::engine::parts::Part;

/// Capacitors that may hold a charge: those that hold a supply first, then those that get their rated voltage.
#[derive(Debug, Clone)]
pub(super) struct Charged {
    parts: Vec<Part>,
    reservoirs: usize,
}

impl Charged {
    /// Of the whole list those that hold a supply and electrolytics rated over 60 V (others that may hold a charge are left
    /// to the person's care), and of the entries those whose leakage is measured.
    pub(super) fn of(list: &[Part], entries: &Entries) -> Self {
        let holds_supply = |part: &&Part| {
            matches!(
                WhyListed::of(part),
                Some(WhyListed::Role | WhyListed::RatedElectrolytic)
            )
        };
        let mut parts: Vec<Part> = list.iter().filter(holds_supply).cloned().collect();
        let reservoirs = parts.len();
        let heads = (0..entries.parts().len())
            .filter(|entry| entries.leakage(*entry).is_some())
            .map(|entry| &entries.parts()[entries.heads()[entry]]);
        for soaked in heads {
            if parts
                .iter()
                .all(|part| part.designator != soaked.designator)
            {
                parts.push(soaked.clone());
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

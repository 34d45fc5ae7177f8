//! [`Outlook`]: what a sitting over a whole list will measure and hold each part to, before there is a meter.

use std::sync::Arc;

use super::entries::{Entries, LeftOut};
use super::plan::{PlanError, conditions};
use super::setup::Setup;
use crate::engine::judge::{Conditions, stated_loss};
use crate::engine::parts::{Kind, Part, PartsList, Step};
use crate::engine::quantity::{format_band, format_stated};

/// Outlook of a sitting over a whole list: its measurements and their limits.
#[derive(Debug, Clone)]
pub struct Outlook {
    entries: Entries,
    conditions: Conditions,
}

impl Outlook {
    /// Of `list`, with the other files and the settings of `setup`; no meter is needed.
    ///
    /// # Errors
    /// If a file or a setting cannot be used.
    pub fn of(setup: &Setup, list: &PartsList) -> Result<Self, PlanError> {
        let mut conditions = conditions(setup, &setup.job()?, list)?;
        let fitted = setup.fitted()?;
        let put_in = |part| fitted.put_in(part, &conditions.places);
        let parts: Vec<Part> = list.parts.iter().map(put_in).collect();
        conditions.fitted = Arc::new(fitted);
        let entries = Entries::of(&parts, &conditions);
        Ok(Self {
            entries,
            conditions,
        })
    }

    /// Measurements that the list asks for and no rule can judge.
    pub fn left_out(&self) -> &[LeftOut] {
        self.entries.left_out()
    }

    /// Facts to know before work about each capacitor that is at the mains, or might be, as it is fitted now.
    pub fn at_mains(&self) -> Vec<String> {
        let parts = self.entries.parts().iter();
        let values = parts.filter(|part| part.step == Step::Value);
        let words = |part| self.conditions.places.words(part);
        values.filter_map(words).collect()
    }

    /// The limits of the part of that designator as sentences, one for each measurement and each further check; none if the
    /// list has no such part.
    pub fn limits(&self, designator: &str) -> Vec<String> {
        let places = 0..self.entries.parts().len();
        let of_it = |place: &usize| {
            let part = &self.entries.parts()[*place];
            part.designator.eq_ignore_ascii_case(designator)
        };
        let places: Vec<usize> = places.filter(of_it).collect();
        let mut all: Vec<String> = places.iter().map(|place| self.limit(*place)).collect();
        if let Some(first) = places.first() {
            all.extend(self.further(&self.entries.parts()[*first]));
        }
        let left_out = self.left_out().iter();
        let of_it = left_out.filter(|one| one.designator.eq_ignore_ascii_case(designator));
        all.extend(of_it.map(|one| format!("{one}.")));
        all
    }

    fn limit(&self, place: usize) -> String {
        let part = &self.entries.parts()[place];
        let title = part.title();
        if let Some(test) = self.entries.leakage(place) {
            return format!("{title}: {}.", test.words());
        }
        let quantity = part.nominal.quantity();
        let held = self.conditions.policy.band_for(part);
        let band = format_band(quantity, held.allowed);
        let nominal = format_stated(quantity, part.nominal.value());
        let from = match held.role_rule {
            Some(rule) if held.allowed != held.listed => format!(" in its role: {}", rule.reason),
            _ if part.step == Step::Value => {
                format!(" ({} {})", part.tolerance, part.tolerance_origin)
            }
            _ => String::new(),
        };
        format!("{title}: {} {nominal}, {band} conforms{from}.", part.kind)
    }

    /// Check beside the value.
    fn further(&self, part: &Part) -> Vec<String> {
        let Conditions { policy, places, .. } = &self.conditions;
        let mut all = Vec::new();
        if part.kind == Kind::Capacitor {
            let condition = self.conditions.condition_of(part);
            let limits = self
                .conditions
                .tables
                .limits(part, condition, policy, stated_loss(part));
            all.push(match limits.loss {
                Ok(limit) => {
                    let at: Vec<String> = limit
                        .frequencies_hz
                        .iter()
                        .map(|hertz| format!("{hertz} Hz"))
                        .collect();
                    format!(
                        "Loss: tan δ at most {} at {} ({}).",
                        limit.tan_delta,
                        at.join(" or "),
                        limit.source
                    )
                }
                Err(why) => format!("Loss: {why}."),
            });
        }
        all.extend(places.words(part).map(|words| format!("Mains: {words}.")));
        if let Some(rule) = policy.replaces(part) {
            all.push(format!(
                "Policy: replaced whatever it reads: {}.",
                rule.reason
            ));
        }
        all
    }
}

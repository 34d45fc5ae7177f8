//! [`RulingCounts`]: how many measurements would change under other rules.

use std::collections::BTreeMap;
use std::fmt;

use serde::Serialize;

use super::ruling_change::RulingChange;
use super::tally::counted;

/// How many measurements changed, and in which way.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct RulingCounts {
    measurements: u64,
    changed: u64,
    /// By verdict before and after, with an arrow between.
    verdicts: BTreeMap<String, u64>,
}

impl RulingCounts {
    /// Counts a measurement, with its change if it has one.
    pub(super) fn count(&mut self, change: Option<&RulingChange>) {
        self.measurements += 1;
        let Some(change) = change else { return };
        self.changed += 1;
        if change.changes_verdict() {
            let pair = change.verdicts.join(" -> ");
            *self.verdicts.entry(pair).or_default() += 1;
        }
    }
}

impl fmt::Display for RulingCounts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let verdicts: u64 = self.verdicts.values().sum();
        write!(
            f,
            "{} of {} would change, {} of them the verdict",
            self.changed,
            counted(self.measurements, "measurement"),
            verdicts
        )?;
        let each = self
            .verdicts
            .iter()
            .map(|(verdicts, count)| format!("{count} {verdicts}"))
            .collect::<Vec<_>>();
        if each.is_empty() {
            return Ok(());
        }
        write!(f, ": {}", each.join(", "))
    }
}

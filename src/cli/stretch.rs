//! [`Stretch`]: some entries of a plan that follow each other, and the events that concern them.

use super::status::BadInput;
use crate::engine::judge::Verdict;
use crate::engine::sitting::{Event, Plan, What};

/// The entries of a plan from one part to another, in the order of the list.
pub(crate) struct Stretch {
    first: usize,
    last: usize,
    in_hand: Option<usize>,
    /// The last verdict on each of them.
    verdicts: Vec<Option<Verdict>>,
    plan: Plan,
}

impl Stretch {
    /// From the first entry of the part `from` (or of the list) to the last entry of the part `to` (or of the list).
    ///
    /// # Errors
    /// If the plan has no such part, or `from` comes behind `to`.
    pub(crate) fn of(plan: &Plan, from: Option<&str>, to: Option<&str>) -> Result<Self, BadInput> {
        let mut last = plan.parts().len() - 1;
        let mut first = 0;
        if let Some(from) = from {
            (first, _) = place(plan, from)?;
        }
        if let Some(to) = to {
            (_, last) = place(plan, to)?;
        }
        if first > last {
            let (from, to) = (from.unwrap_or_default(), to.unwrap_or_default());
            return Err(BadInput(format!(
                "`{from}` comes behind `{to}` in the list: give them in the order of the list"
            )));
        }
        Ok(Self {
            first,
            last,
            in_hand: None,
            verdicts: vec![None; last - first + 1],
            plan: plan.clone(),
        })
    }

    /// Whether an event, the next of the sitting, concerns one of the entries.
    pub(crate) fn hear(&mut self, event: &Event) -> bool {
        match &event.what {
            What::InHand { entry, .. } => self.in_hand = Some(entry.index - 1),
            What::ToSoak(soak) => self.in_hand = Some(soak.entry.index - 1),
            What::NothingLeft | What::ToDischarge { .. } => self.in_hand = None,
            _ => {}
        }
        let entry = match &event.what {
            What::Judged(record) => Some(record.part),
            What::MayBeCharged(charge) => return self.has_part(&charge.designator),
            What::ToDischarge { entry } => return self.has_part(&entry.designator),
            // It is a part and none of its further measurements, so its title is its designator.
            What::AcrossCapacitor { title, .. } => return self.has_part(title),
            What::Ended(_) => None,
            _ => self.in_hand,
        };
        let place = entry.and_then(|entry| self.place_of(entry));
        if let (What::Judged(record), Some(place)) = (&event.what, place) {
            self.verdicts[place] = Some(record.row.verdict);
        }
        place.is_some()
    }

    /// Whether each of the entries passed.
    pub(crate) fn all_passed(&self) -> bool {
        let passed = |verdict: &Option<Verdict>| *verdict == Some(Verdict::Pass);
        self.verdicts.iter().all(passed)
    }

    fn place_of(&self, entry: usize) -> Option<usize> {
        (self.first..=self.last)
            .contains(&entry)
            .then(|| entry - self.first)
    }

    fn has_part(&self, designator: &str) -> bool {
        self.plan.parts()[self.first..=self.last]
            .iter()
            .any(|part| part.designator == designator)
    }
}

/// The first and the last entry of a part.
fn place(plan: &Plan, designator: &str) -> Result<(usize, usize), BadInput> {
    let parts = plan.parts();
    let is_it =
        |part: &crate::engine::parts::Part| part.designator.eq_ignore_ascii_case(designator);
    let first = parts.iter().position(is_it);
    let last = parts.iter().rposition(is_it);
    first.zip(last).ok_or_else(|| {
        let mut known: Vec<&str> = parts.iter().map(|part| part.designator.as_str()).collect();
        known.dedup();
        BadInput(format!(
            "no part `{designator}` in this recording, expected one of {}",
            known.join(", ")
        ))
    })
}

//! [`chosen_parts`]: the parts of a list that somebody names on the command line.
//!
//! [`WhichParts`]: the parts of a job that a sitting is to measure.
//!
//! [`Stretch`]: some entries of a plan that follow each other, and the events that concern them.

use std::collections::HashSet;

use anyhow::Result;

use super::status::BadInput;
use crate::books::ledger::{Book, Glance};
use crate::engine::judge::Verdict;
use crate::engine::parts::{Part, PartsList, Selection};
use crate::engine::sitting::{Event, Plan, What};

/// Most designators that are offered instead of one that is not there.
const NEAR: usize = 3;

/// Letters that may differ.
const FAR: usize = 2;

/// The parts that designators or patterns, parted by commas, name; each once, in the order of the list.
///
/// # Errors
/// If one of them fits no part.
pub(crate) fn chosen_parts<'a>(list: &'a PartsList, text: &str) -> Result<Vec<&'a Part>> {
    for piece in text.split(',') {
        let selection = selection(piece)?;
        if !list
            .parts
            .iter()
            .any(|part| selection.matches(&part.designator))
        {
            return Err(BadInput(no_such_part(list, piece.trim())).into());
        }
    }
    let selection = selection(text)?;
    let parts = list.parts.iter();
    Ok(parts
        .filter(|part| selection.matches(&part.designator))
        .collect())
}

fn selection(text: &str) -> Result<Selection> {
    Ok(Selection::parse(text).map_err(|error| BadInput(error.to_string()))?)
}

fn no_such_part(list: &PartsList, wanted: &str) -> String {
    let offered = near(list, wanted);
    let what = if wanted.contains(['*', '?']) {
        format!("no part of parts.csv fits `{wanted}`")
    } else {
        format!("parts.csv has no part `{wanted}`")
    };
    match offered.split_last() {
        None => format!("{what}; `probewright parts check` shows its parts"),
        Some((one, [])) => format!("{what}; did you mean {one}?"),
        Some((one, others)) => format!("{what}; did you mean {} or {one}?", others.join(", ")),
    }
}

/// Designators that are written much like that, the nearest first.
fn near<'a>(list: &'a PartsList, wanted: &str) -> Vec<&'a str> {
    let wanted = wanted.to_lowercase();
    let distance = |part: &&'a Part| {
        let designator = part.designator.to_lowercase();
        let distance = strsim::osa_distance(&designator, &wanted);
        // Two letters of two are all of it.
        let most = FAR.min(designator.chars().count() / 2);
        (distance <= most).then_some((distance, part.designator.as_str()))
    };
    let mut near: Vec<_> = list
        .parts
        .iter()
        .filter_map(|part| distance(&part))
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    near.truncate(NEAR);
    near.into_iter().map(|(_, designator)| designator).collect()
}

/// Choice of the parts to measure.
#[derive(Debug, clap::Args)]
pub(crate) struct WhichParts {
    /// Only these parts: designators with * and ?, and places such as `at V2`, separated by commas.
    #[arg(long, default_value = "", value_name = "R*,C4")]
    only: String,
    /// Only parts still to be measured: never measured, or fitted and not measured since.
    #[arg(long)]
    todo: bool,
}

impl WhichParts {
    /// Whether the ledger of the job must be there for it.
    pub(crate) const fn need_the_ledger(&self) -> bool {
        self.todo
    }

    /// The selection, empty for all parts; `None` if what is to do is wanted and nothing is.
    ///
    /// # Errors
    /// If the selection cannot be read.
    pub(crate) fn selection(&self, book: Option<&Book>) -> Result<Option<String>> {
        let Some(book) = book.filter(|_| self.todo) else {
            return Ok(Some(self.only.clone()));
        };
        let glance = Glance::at(book);
        let all = glance.to_measure().map(|one| one.part.designator.as_str());
        let wanted: Vec<&str> = if self.only.is_empty() {
            all.collect()
        } else {
            let chosen = selection(&self.only)?.among(&book.list.parts).into_iter();
            let chosen: HashSet<&str> = chosen.map(|part| part.designator.as_str()).collect();
            all.filter(|designator| chosen.contains(designator))
                .collect()
        };
        Ok((!wanted.is_empty()).then(|| wanted.join(",")))
    }
}

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
    /// From the first entry of one part (or of the list) to the last entry of another (or of the list).
    ///
    /// # Errors
    /// If the plan has no such part, or the first comes after the last.
    pub(crate) fn of(
        plan: &Plan,
        first_part: Option<&str>,
        last_part: Option<&str>,
    ) -> Result<Self, BadInput> {
        let mut last = plan.parts().len() - 1;
        let mut first = 0;
        if let Some(part) = first_part {
            (first, _) = place(plan, part)?;
        }
        if let Some(part) = last_part {
            (_, last) = place(plan, part)?;
        }
        if first > last {
            let parts = [first_part, last_part].map(Option::unwrap_or_default);
            return Err(BadInput(format!(
                "`{}` comes after `{}` in the list: give them in the order of the list",
                parts[0], parts[1]
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::parts::ListSettings;

    fn chosen(text: &str) -> Result<Vec<String>> {
        let list =
            "ref,kind,value\nR1,resistor,1k\nR12,resistor,1k\nC1,capacitor,1n\nT1.pri,winding,18\n";
        let list = crate::engine::parts::read(list.as_bytes(), &ListSettings::default()).unwrap();
        let parts = chosen_parts(&list, text)?.into_iter();
        Ok(parts.map(|part| part.designator.clone()).collect())
    }

    #[test]
    fn parts_are_chosen_by_designator_and_by_pattern_each_once() {
        assert_eq!(chosen("r12").unwrap(), ["R12"]);
        assert_eq!(chosen("C1, R*,R1").unwrap(), ["R1", "R12", "C1"]);
    }

    #[test]
    fn a_part_that_is_not_there_is_named_with_near_ones() {
        for (text, said) in [
            (
                "R1,R13",
                "parts.csv has no part `R13`; did you mean R1 or R12?",
            ),
            ("T1.prj", "did you mean T1.pri?"),
            (
                "L*",
                "no part of parts.csv fits `L*`; `probewright parts check`",
            ),
            ("R1,,C1", "found an empty pattern"),
        ] {
            let error = chosen(text).unwrap_err().to_string();
            assert!(error.contains(said), "{error}");
        }
    }
}

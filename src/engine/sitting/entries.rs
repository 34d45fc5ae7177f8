//! [`Entries`]: the parts of a plan, each with its further measurements.

use super::plan::PlanError;
use crate::engine::judge::{Conditions, LeakageTest, further_entry, turns_entries};
use crate::engine::parts::{Part, Step};

/// What is measured in a sitting, one after the other.
#[derive(Debug, Clone)]
pub(super) struct Entries {
    parts: Vec<Part>,
    /// The entry with which the part of an entry begins.
    heads: Vec<usize>,
    leakages: Vec<Option<LeakageTest>>,
}

impl Entries {
    /// Each row of `rows`, and behind it what else of it is to be measured.
    ///
    /// # Errors
    /// If a row lacks something that a further measurement of it needs.
    pub(super) fn of(rows: &[Part], conditions: &Conditions) -> Result<Self, PlanError> {
        let mut entries = Self {
            parts: Vec::with_capacity(rows.len()),
            heads: Vec::with_capacity(rows.len()),
            leakages: Vec::with_capacity(rows.len()),
        };
        for row in rows {
            let head = entries.parts.len();
            match turns_entries(row) {
                Some(two) => two
                    .into_iter()
                    .for_each(|part| entries.add(head, part, None)),
                None => entries.add(head, row.clone(), None),
            }
            for step in &row.also {
                entries.further(head, row, *step, conditions)?;
            }
        }
        Ok(entries)
    }

    fn add(&mut self, head: usize, part: Part, leakage: Option<LeakageTest>) {
        self.parts.push(part);
        self.heads.push(head);
        self.leakages.push(leakage);
    }

    fn further(
        &mut self,
        head: usize,
        row: &Part,
        step: Step,
        conditions: &Conditions,
    ) -> Result<(), PlanError> {
        match step {
            // Every part begins with these.
            Step::Value | Step::Primary | Step::Secondary => {}
            Step::Stop | Step::Middle | Step::Sweep | Step::Make { .. } => {
                if let Some(entry) = further_entry(row, step) {
                    self.add(head, entry, None);
                }
            }
            Step::Leakage => {
                let test = LeakageTest::of(row, conditions).map_err(|why| PlanError::NoTest {
                    designator: row.designator.clone(),
                    row: row.row,
                    why,
                })?;
                if let Some(entry) = test.entry(row) {
                    self.add(head, entry, Some(test));
                }
            }
        }
        Ok(())
    }

    pub(super) fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The entry with which the part of each entry begins.
    pub(super) fn heads(&self) -> &[usize] {
        &self.heads
    }

    /// How many parts there are.
    pub(super) fn rows(&self) -> usize {
        self.heads.chunk_by(|one, other| one == other).count()
    }

    pub(super) fn leakage(&self, entry: usize) -> Option<&LeakageTest> {
        self.leakages[entry].as_ref()
    }
}

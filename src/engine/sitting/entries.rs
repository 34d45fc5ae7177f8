//! [`Entries`]: the parts of a plan, each with its further measurements; and [`LeftOut`], those that no rule can judge.

use std::fmt;

use crate::engine::judge::capacitor::CannotJudge;
use crate::engine::judge::{Conditions, LeakageTest, further_entry, turns_entries};
use crate::engine::parts::{Part, Step, Title};

/// Measurements of a sitting, one after the other.
#[derive(Debug, Clone)]
pub(super) struct Entries {
    parts: Vec<Part>,
    /// The entry with which the part of an entry begins.
    heads: Vec<usize>,
    leakages: Vec<Option<LeakageTest>>,
    left_out: Vec<LeftOut>,
    /// From here on entries wait for a lead to be lifted.
    waiting_from: usize,
}

/// A measurement that the list asks for, and that no rule can judge: the part stays, the measurement is left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Designator of the part.
    pub designator: String,
    /// Step of the measurement.
    pub step: Step,
    /// The line of the list.
    pub row: usize,
    /// Fact that is lacking.
    pub why: CannotJudge,
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            designator,
            step,
            row,
            why,
        } = self;
        let title = Title::of(designator, *step);
        write!(
            f,
            "{title}, row {row}, is left out, and all else is measured: {why}"
        )
    }
}

impl LeftOut {
    /// Whether that part is meant.
    pub fn is_of(&self, part: &Part) -> bool {
        self.designator.eq_ignore_ascii_case(&part.designator)
    }
}

impl Entries {
    /// Each row of `rows`, and behind it what else of it is to be measured.
    pub(super) fn of(rows: &[Part], conditions: &Conditions) -> Self {
        let mut entries = Self {
            parts: Vec::with_capacity(rows.len()),
            heads: Vec::with_capacity(rows.len()),
            leakages: Vec::with_capacity(rows.len()),
            left_out: Vec::new(),
            waiting_from: usize::MAX,
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
                entries.further(head, row, *step, conditions);
            }
        }
        entries
    }

    /// Pairs of places, and behind them parts, each of which waits until a lead of it is lifted.
    pub(super) fn in_circuit(pairs: Vec<Part>, parts: Vec<Part>) -> Self {
        let waiting_from = pairs.len();
        let all: Vec<Part> = pairs.into_iter().chain(parts).collect();
        Self {
            heads: (0..all.len()).collect(),
            leakages: vec![None; all.len()],
            left_out: Vec::new(),
            waiting_from,
            parts: all,
        }
    }

    /// From which entry on they wait for a lead to be lifted; beyond all of them where none does.
    pub(super) const fn waiting_from(&self) -> usize {
        self.waiting_from
    }

    fn add(&mut self, head: usize, part: Part, leakage: Option<LeakageTest>) {
        self.parts.push(part);
        self.heads.push(head);
        self.leakages.push(leakage);
    }

    fn further(&mut self, head: usize, row: &Part, step: Step, conditions: &Conditions) {
        match step {
            // Every part begins with these.
            Step::Value | Step::Primary | Step::Secondary | Step::Between | Step::Own => {}
            Step::Stop | Step::Middle | Step::Sweep | Step::Make { .. } => {
                if let Some(entry) = further_entry(row, step) {
                    self.add(head, entry, None);
                }
            }
            Step::Leakage => match LeakageTest::of(row, conditions) {
                Ok(test) => {
                    if let Some(entry) = test.entry(row) {
                        self.add(head, entry, Some(test));
                    }
                }
                Err(why) => self.left_out.push(LeftOut {
                    designator: row.designator.clone(),
                    step,
                    row: row.row,
                    why,
                }),
            },
        }
    }

    /// Measurements that no rule can judge.
    pub(super) fn left_out(&self) -> &[LeftOut] {
        &self.left_out
    }

    pub(super) fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The entry with which the part of each entry begins.
    pub(super) fn heads(&self) -> &[usize] {
        &self.heads
    }

    /// Number of parts, each counted once.
    pub(super) fn rows(&self) -> usize {
        let heads = &self.heads[..self.waiting_from.min(self.heads.len())];
        heads.chunk_by(|one, other| one == other).count()
    }

    pub(super) fn leakage(&self, entry: usize) -> Option<&LeakageTest> {
        self.leakages[entry].as_ref()
    }
}

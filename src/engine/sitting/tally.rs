//! [`Tally`]: what became of each entry of a plan, followed from the events alone.

use super::event::What;
use super::plan::Plan;
use super::progress::Progress;
use super::summary::Summary;

/// What became of each entry so far, by the events that were heard. It counts as the engine does.
#[derive(Debug, Clone)]
pub struct Tally {
    progress: Progress,
    entries: usize,
}

impl Tally {
    /// At the start of a sitting by that plan.
    pub fn of(plan: &Plan) -> Self {
        Self {
            progress: Progress::new(plan.entries().heads()),
            entries: plan.parts().len(),
        }
    }

    /// Takes in what happened; whether it changes anything.
    pub fn hear(&mut self, what: &What) -> bool {
        match what {
            What::Judged(record) => {
                self.progress.judged(record.part, record.row.verdict);
            }
            What::Skipped(part) => self.progress.skip(*part),
            What::Unsettled { part, .. } => self.progress.unsettled(*part),
            _ => return false,
        }
        true
    }

    /// How the parts stand now.
    pub fn summary(&self) -> Summary {
        self.progress.summary()
    }

    /// The entries still to be measured but this one: those behind it, then those from the top of the list.
    pub fn following(&self, entry: usize) -> impl Iterator<Item = usize> + '_ {
        (entry + 1..self.entries)
            .chain(0..entry.min(self.entries))
            .filter(|entry| self.progress.standing(*entry).open())
    }
}

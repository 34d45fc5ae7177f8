//! [`Summary`]: what became of the parts of a sitting.

use crate::engine::judge::Verdict;

/// How many parts ended in which way. Each part of the plan is counted once, by its last attempt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Summary {
    /// Parts in the plan.
    pub parts: usize,
    /// Parts by verdict, in the order of [`Verdict::ALL`].
    pub verdicts: [usize; Verdict::ALL.len()],
    /// Parts that were touched but never settled.
    pub unsettled: usize,
    /// Parts left out on command, untouched.
    pub skipped: usize,
    /// Parts never reached.
    pub not_reached: usize,
}

impl Summary {
    /// Parts with that verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        Verdict::ALL
            .iter()
            .position(|&v| v == verdict)
            .map_or(0, |i| self.verdicts[i])
    }

    /// Counts one part with that verdict.
    pub(super) fn add(&mut self, verdict: Verdict) {
        if let Some(i) = Verdict::ALL.iter().position(|&v| v == verdict) {
            self.verdicts[i] += 1;
        }
    }

    /// Parts with any verdict.
    pub fn judged(&self) -> usize {
        self.verdicts.iter().sum()
    }
}

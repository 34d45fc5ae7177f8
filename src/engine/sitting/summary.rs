//! [`Summary`]: what became of the parts of a sitting, and how long it takes.

use serde::{Deserialize, Serialize};

use crate::engine::judge::Verdict;

/// Advance of a sitting. Each part of the plan counts once, by its last attempt.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Summary {
    /// Parts in the plan.
    pub parts: usize,
    /// Parts judged or skipped.
    pub done: usize,
    /// Fate of them.
    pub counts: Counts,
    /// Pairs of places are read, so that `parts` and `done` count readings, and `counts` the parts that they tell of.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub in_circuit: bool,
    /// Mean time per part, s: from the first part in hand to the last verdict, pauses included, over the parts judged.
    /// `None` before the first verdict.
    pub mean_s: Option<f64>,
    /// Estimate of the time left, s: the mean for each part that is not done.
    pub left_s: Option<f64>,
}

/// Parts by what became of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Counts {
    pub pass: usize,
    #[serde(rename = "conditional pass")]
    pub conditional_pass: usize,
    #[serde(rename = "conditional fail")]
    pub conditional_fail: usize,
    pub fail: usize,
    /// The measurement supports no verdict.
    pub inconclusive: usize,
    /// Touched, but never settled.
    pub unsettled: usize,
    /// Left out on command, untouched.
    pub skipped: usize,
    /// Never reached.
    pub not_reached: usize,
}

impl Summary {
    /// Parts with that verdict.
    pub const fn count(&self, verdict: Verdict) -> usize {
        let counts = &self.counts;
        match verdict {
            Verdict::Pass => counts.pass,
            Verdict::ConditionalPass => counts.conditional_pass,
            Verdict::ConditionalFail => counts.conditional_fail,
            Verdict::Fail => counts.fail,
            Verdict::Inconclusive => counts.inconclusive,
        }
    }

    /// Parts with any verdict.
    pub fn judged(&self) -> usize {
        Verdict::ALL
            .iter()
            .map(|verdict| self.count(*verdict))
            .sum()
    }

    /// Counts of the parts that were reached by their outcome, each with its word, where there are any.
    pub fn named(&self) -> impl Iterator<Item = (usize, &'static str)> + use<> {
        let Counts {
            unsettled, skipped, ..
        } = self.counts;
        let verdicts = Verdict::ALL.map(|verdict| (self.count(verdict), verdict.name()));
        let others = [(unsettled, "did not settle"), (skipped, "skipped")];
        let all = verdicts.into_iter().chain(others);
        all.filter(|(count, _)| *count > 0)
    }

    /// Adds the times that follow when it took so many seconds from the first part in hand to the last verdict.
    #[must_use]
    pub(super) fn taking(mut self, seconds: Option<f64>) -> Self {
        let judged = self.done - self.counts.skipped;
        let left = self.parts.saturating_sub(self.done) as f64;
        self.mean_s = seconds
            .filter(|_| judged > 0)
            .map(|seconds| seconds / judged as f64);
        self.left_s = self.mean_s.map(|mean| mean * left);
        self
    }
}

impl Counts {
    /// Counts one part with that verdict.
    pub(super) const fn add(&mut self, verdict: Verdict) {
        let count = match verdict {
            Verdict::Pass => &mut self.pass,
            Verdict::ConditionalPass => &mut self.conditional_pass,
            Verdict::ConditionalFail => &mut self.conditional_fail,
            Verdict::Fail => &mut self.fail,
            Verdict::Inconclusive => &mut self.inconclusive,
        };
        *count += 1;
    }
}

//! [`Progress`]: how far the sitting is.

use serde::{Deserialize, Serialize};

use crate::engine::judge::Verdict;
use crate::engine::sitting::Summary;

/// How far the sitting is. Each part counts once, by its last attempt.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Progress {
    /// Parts of the plan.
    pub parts: usize,
    /// Parts judged or left out.
    pub done: usize,
    /// What became of them.
    pub counts: Counts,
    /// Mean time per part, s: from the first part in hand to the last verdict, pauses included, over the parts judged.
    /// `None` before the first verdict.
    pub mean_s: Option<f64>,
    /// Estimate of the time left, s: the mean for each part that is not done.
    pub left_s: Option<f64>,
}

/// Parts by what became of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Counts {
    /// Passed.
    pub pass: usize,
    /// Passed conditionally.
    pub conditional_pass: usize,
    /// Failed conditionally.
    pub conditional_fail: usize,
    /// Failed.
    pub fail: usize,
    /// The measurement supports no verdict.
    pub inconclusive: usize,
    /// Touched, but never settled.
    pub unsettled: usize,
    /// Left out on command.
    pub skipped: usize,
    /// Not reached yet.
    pub not_reached: usize,
}

impl Progress {
    /// By that summary, and so many seconds from the first part in hand to the last verdict.
    pub(super) fn of(summary: &Summary, seconds: Option<f64>) -> Self {
        let judged = summary.judged();
        let done = judged + summary.skipped;
        let mean_s = seconds
            .filter(|_| judged > 0)
            .map(|seconds| seconds / judged as f64);
        Self {
            parts: summary.parts,
            done,
            counts: Counts::of(summary),
            mean_s,
            left_s: mean_s.map(|mean| mean * summary.parts.saturating_sub(done) as f64),
        }
    }
}

impl Counts {
    fn of(summary: &Summary) -> Self {
        Self {
            pass: summary.count(Verdict::Pass),
            conditional_pass: summary.count(Verdict::ConditionalPass),
            conditional_fail: summary.count(Verdict::ConditionalFail),
            fail: summary.count(Verdict::Fail),
            inconclusive: summary.count(Verdict::Inconclusive),
            unsettled: summary.unsettled,
            skipped: summary.skipped,
            not_reached: summary.not_reached,
        }
    }
}

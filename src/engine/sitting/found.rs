//! [`Found`]: the values that were found in the sitting, for measurements that are judged beside one another.

use super::plan::Plan;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::Judgement;
use crate::engine::judge::wiper::{TrackValue, steepest};
use crate::engine::parts::Step;
use crate::engine::probing::{Estimate, Finding, SettledValue, Track};

/// What the last settled value of each entry was; nothing where none was found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    estimates: Vec<Option<Estimate>>,
    judged: Vec<Option<Uncertain>>,
}

impl Found {
    /// Nothing yet, of so many entries.
    pub(super) fn new(entries: usize) -> Self {
        Self {
            estimates: vec![None; entries],
            judged: vec![None; entries],
        }
    }

    pub(super) fn note(&mut self, entry: usize, settled: &SettledValue, judgement: &Judgement) {
        self.judged[entry] = judgement.judged;
        self.estimates[entry] = match settled.finding {
            Finding::Value(estimate) => Some(estimate),
            Finding::Open | Finding::BeyondRange => None,
        };
    }

    /// The track of the potentiometer that an entry is a further measurement of; `None` for any other.
    pub(super) fn track(&self, plan: &Plan, entry: usize) -> Option<TrackValue> {
        let of_wiper = matches!(
            plan.parts()[entry].step,
            Step::Stop | Step::Middle | Step::Sweep
        );
        let head = of_wiper.then(|| plan.entries().heads()[entry])?;
        let measured = self.judged[head].filter(|ohms| ohms.value > 0.0);
        let nominal = || TrackValue::nominal(&plan.parts()[head]);
        Some(measured.map_or_else(nominal, TrackValue::measured))
    }

    /// The track that is to be swept if the entry is a sweep.
    pub(super) fn to_sweep(&self, plan: &Plan, entry: usize) -> Option<Track> {
        let part = &plan.parts()[entry];
        let track = self
            .track(plan, entry)
            .filter(|_| part.step == Step::Sweep)?;
        Some(Track {
            ohms: track.ohms.value,
            steepest: steepest(part.law),
        })
    }

    /// The makes of a contact before this entry.
    pub(super) fn makes(&self, plan: &Plan, entry: usize) -> &[Option<Estimate>] {
        match plan.parts()[entry].step {
            Step::Make { .. } => &self.estimates[plan.entries().heads()[entry]..entry],
            _ => &[],
        }
    }
}

//! [`LatestValues`]: the values that were found in the sitting, for measurements that are judged beside one another.

use super::plan::Plan;
use super::row::Row;
use crate::engine::impedance::Uncertain;
use crate::engine::judge::wiper::{TrackValue, steepest};
use crate::engine::parts::Step;
use crate::engine::probing::{Estimate, SettledValue, Track};

/// Last settled value of each entry, and its row; nothing where none was found.
#[derive(Debug, Clone)]
pub(super) struct LatestValues {
    estimates: Vec<Option<Estimate>>,
    judged: Vec<Option<(u32, Uncertain)>>,
    /// Everything that counts, in the order of its making.
    all: Vec<Noted>,
}

#[derive(Debug, Clone, Copy)]
struct Noted {
    row: u32,
    entry: usize,
    estimate: Option<Estimate>,
    judged: Option<Uncertain>,
}

impl LatestValues {
    /// Nothing yet, of so many entries.
    pub(super) fn new(entries: usize) -> Self {
        Self {
            estimates: vec![None; entries],
            judged: vec![None; entries],
            all: Vec::new(),
        }
    }

    pub(super) fn note(&mut self, entry: usize, row: &Row, settled: &SettledValue) {
        self.all.push(Noted {
            row: row.row,
            entry,
            estimate: settled.finding.estimate(),
            judged: row.value,
        });
        self.show(entry);
    }

    /// Forgets rows that were taken back.
    pub(super) fn withdraw(&mut self, rows: &[u32]) {
        self.all.retain(|one| !rows.contains(&one.row));
        (0..self.judged.len()).for_each(|entry| self.show(entry));
    }

    /// Takes the last of an entry for what was found there.
    fn show(&mut self, entry: usize) {
        let mut latest_first = self.all.iter().rev();
        let last = latest_first.find(|one| one.entry == entry);
        self.estimates[entry] = last.and_then(|one| one.estimate);
        self.judged[entry] = last.and_then(|one| Some((one.row, one.judged?)));
    }

    /// Last judgement on an entry.
    pub(super) fn value_of(&self, entry: usize) -> Option<Uncertain> {
        self.judged[entry].map(|(_, value)| value)
    }

    /// The rows whose numbers go into a judgement of the entry: the track of a middle or a sweep, the makes before the last.
    pub(super) fn rests_on(&self, plan: &Plan, entry: usize) -> Vec<u32> {
        let head = plan.entries().heads()[entry];
        match plan.parts()[entry].step {
            Step::Middle | Step::Sweep => self
                .track_row(head)
                .map(|(row, _)| row)
                .into_iter()
                .collect(),
            Step::Make { number, of } if number == of => {
                let earlier = self.judged[head..entry].iter().flatten();
                earlier.map(|(row, _)| *row).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The track of the potentiometer that an entry is a further measurement of; `None` for any other.
    pub(super) fn track(&self, plan: &Plan, entry: usize) -> Option<TrackValue> {
        let of_wiper = matches!(
            plan.parts()[entry].step,
            Step::Stop | Step::Middle | Step::Sweep
        );
        let head = of_wiper.then(|| plan.entries().heads()[entry])?;
        let measured = self.track_row(head).map(|(_, ohms)| ohms);
        let nominal = || TrackValue::nominal(&plan.parts()[head]);
        Some(measured.map_or_else(nominal, TrackValue::measured))
    }

    /// The row and the value of a track that was measured.
    fn track_row(&self, head: usize) -> Option<(u32, Uncertain)> {
        self.judged[head].filter(|(_, ohms)| ohms.value > 0.0)
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

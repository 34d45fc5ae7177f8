//! [`Facts`]: all that a report draws on.

use chrono::{DateTime, FixedOffset};

use super::{Photo, SittingFacts, StepRow, Touch};
use crate::books::batch::Bags;
use crate::books::ledger::{Account, Book};
use crate::engine::judge::policy::Policy;

/// All that a report draws on.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// What the equipment is called.
    pub title: &'a str,
    /// When the report was made.
    pub made: DateTime<FixedOffset>,
    /// Version of the program that made it.
    pub program: &'a str,
    /// The ledger of the job.
    pub book: &'a Book,
    /// What was found of each bag before its part went in.
    pub bags: &'a Bags,
    /// The policy of the job as it is today.
    pub policy: &'a Policy,
    /// Whether that is the job's own; otherwise the one that comes with the program.
    pub own_policy: bool,
    /// The sittings and, behind them, the batches of new parts, each the oldest first.
    pub sittings: &'a [SittingFacts],
    /// The files of the job that the report was made from.
    pub files: &'a [FileFacts],
    /// Photos, in the order in which they are shown.
    pub photos: &'a [Photo],
    /// What lies with the photos and was left out, each as a sentence.
    pub left_out: &'a [String],
    /// The readings of one touch, to show what settling looks like.
    pub touch: Option<&'a Touch>,
}

/// A file that the report was made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileFacts {
    /// Its name in the folder of the job.
    pub name: String,
    /// How many bytes it has.
    pub bytes: u64,
    /// Its SHA-256, 64 hexadecimal digits.
    pub digest: String,
}

impl<'a> Facts<'a> {
    /// The account of every part, in the order of the list.
    pub(super) fn accounts(&self) -> Vec<Account<'a>> {
        self.book.accounts()
    }

    /// The name of the profile of the meter that a measurement was made with; `None` if its recording does not tell.
    pub(super) fn meter_of(&self, measurement: &crate::books::ledger::Row) -> Option<&'a str> {
        let sitting = self
            .sittings
            .iter()
            .find(|one| !one.of_new_parts && one.name == measurement.sitting)?;
        sitting.meter_of(measurement)
    }

    /// The measurements of parts that the list does not have (any more).
    pub(super) fn strangers(&self) -> usize {
        let known = |designator: &str| {
            let mut parts = self.book.list.parts.iter();
            parts.any(|part| part.designator.eq_ignore_ascii_case(designator))
        };
        let measurements = self.book.measurements.iter();
        measurements.filter(|one| !known(&one.designator)).count()
    }
}

/// The steps of every part, in the order of the list.
pub(super) fn step_rows<'a, 'b>(accounts: &'b [Account<'a>]) -> Vec<StepRow<'a, 'b>> {
    accounts.iter().flat_map(StepRow::of).collect()
}

//! [`LastSitting`]: the newest sitting of a job.

use chrono::{DateTime, FixedOffset};

use crate::bench::recorded::Recorded;
use crate::bench::recorded::sitting_name;
use crate::books::job::{Folder, JobError};
use crate::books::ledger::Book;

/// The newest sitting of a job.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LastSitting {
    /// Name of its recording.
    pub(super) name: String,
    /// When it began, if its recording can be read.
    pub(super) began: Option<DateTime<FixedOffset>>,
    /// Rows of the results that it made.
    pub(super) values: usize,
}

impl LastSitting {
    /// That of the newest recording; `None` if there is none.
    ///
    /// # Errors
    /// If the recordings cannot be listed.
    pub(super) fn of(folder: &Folder, book: &Book) -> Result<Option<Self>, JobError> {
        let recordings = folder.recordings()?;
        Ok(recordings.last().map(|file| {
            let name = sitting_name(file);
            let began = Recorded::open(file).and_then(|recorded| recorded.begun());
            let of_it = book.measurements.iter().filter(|one| one.sitting == name);
            Self {
                values: of_it.count(),
                began: began.ok(),
                name,
            }
        }))
    }
}

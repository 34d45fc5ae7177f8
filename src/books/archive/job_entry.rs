//! [`JobEntry`]: what the archive keeps of a job.

use std::path::Path;

use thiserror::Error;

use super::SittingEntry;
use crate::bench::recording::ReadError;
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Book, Row, read_incoming};
use crate::engine::source::TextError;

/// What the archive keeps of a job.
#[derive(Debug)]
pub struct JobEntry {
    /// Its folder, as seen from the folder that all are in; `.` for that one itself.
    pub folder: String,
    /// Its settings, list, measurements and decisions.
    pub book: Book,
    /// What was measured of new parts before they went in.
    pub incoming: Vec<Row>,
    /// Its sittings and, behind them, its batches of new parts, each the oldest first.
    pub sittings: Vec<SittingEntry>,
    /// What of it could not be read, while the rest could.
    pub troubles: Vec<EntryError>,
}

/// A job, or a part of it, cannot be read.
#[derive(Debug, Error)]
pub enum EntryError {
    /// A file of it cannot be read.
    #[error(transparent)]
    Job(#[from] JobError),
    /// It was made in a year that is still to come.
    #[error(transparent)]
    Text(#[from] TextError),
    /// What was measured of new parts cannot be read.
    #[error("what was measured of new parts was left out: {0}")]
    Incoming(JobError),
    /// A recording is damaged, or cannot be read.
    #[error("a sitting is damaged: {0}")]
    Sitting(ReadError),
}

impl JobEntry {
    /// Reads the job in `root`, which is called `folder`. `this_year` bounds the year in which it can have been made.
    ///
    /// # Errors
    /// If its settings, its list, its results or its decisions cannot be read. What else cannot is among its troubles.
    pub fn read(root: &Path, folder: String, this_year: i32) -> Result<Self, EntryError> {
        let files = Folder::open(root)?;
        let book = Book::open(&files)?;
        book.settings.check_made(this_year)?;
        let mut troubles = Vec::new();
        let incoming = incoming(&files).unwrap_or_else(|error| {
            troubles.push(EntryError::Incoming(error));
            Vec::new()
        });
        let mut sittings = Vec::new();
        for (recordings, of_new_parts) in [(files.recordings()?, false), (files.batches()?, true)] {
            for file in recordings {
                let (sitting, flaw) = SittingEntry::read(&file, of_new_parts);
                sittings.push(sitting);
                troubles.extend(flaw.map(EntryError::Sitting));
            }
        }
        Ok(Self {
            folder,
            book,
            incoming,
            sittings,
            troubles,
        })
    }
}

fn incoming(files: &Folder) -> Result<Vec<Row>, JobError> {
    Ok(read_incoming(&files.read_incoming()?)?)
}

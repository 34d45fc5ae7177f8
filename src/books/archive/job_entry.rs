//! [`JobEntry`]: what the archive keeps of a job.
//!
//! [`SittingEntry`]: what the archive keeps of a recording.

use std::path::Path;

use chrono::{DateTime, FixedOffset};
use strum::IntoStaticStr;
use thiserror::Error;

use crate::bench::recording::{Ending, Event, ReadError, Reader};
use crate::books::job::{Folder, JobError};
use crate::books::ledger::{Book, Row, read_incoming};
use crate::engine::source::TextError;

/// Contents of a job in the archive.
#[derive(Debug)]
pub struct JobEntry {
    /// Its folder, as seen from the folder that all are in; `.` for that one itself.
    pub folder: String,
    /// Its settings, list, measurements and decisions.
    pub book: Book,
    /// Measurements of new parts before they went in.
    pub incoming: Vec<Row>,
    /// Its sittings and, behind them, its batches of new parts, each the oldest first.
    pub sittings: Vec<SittingEntry>,
    /// Faults in parts of it that could not be read, while the rest could.
    pub troubles: Vec<EntryError>,
}

/// A job, or a part of it, cannot be read.
#[derive(Debug, Error)]
pub enum EntryError {
    /// A file of it cannot be read.
    #[error(transparent)]
    Job(#[from] JobError),
    /// Made in a year that is still to come.
    #[error(transparent)]
    Text(#[from] TextError),
    /// Measurements of new parts that cannot be read.
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

/// State in which a recording was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum SittingState {
    /// Whole, from its first line to its seal.
    Sealed,
    /// Good, but without a seal: the sitting was not ended.
    #[strum(serialize = "not ended")]
    NotEnded,
    /// Ends within a line.
    Torn,
    /// A line is not as it was written, or the file is no recording.
    Damaged,
}

words!(SittingState: name);

/// Facts of a recording in the archive.
#[derive(Debug, Clone, PartialEq)]
pub struct SittingEntry {
    /// Whether it is a batch of new parts.
    pub of_new_parts: bool,
    /// Name of the recording, without its ending.
    pub name: String,
    /// When it began; `None` where that was not readable.
    pub began: Option<DateTime<FixedOffset>>,
    /// Name and version of the program that wrote it; empty where that was not readable.
    pub program: String,
    /// Number, name and profile of each meter.
    pub meters: Vec<(u16, String, String)>,
    /// The state it was found in.
    pub state: SittingState,
    /// Lines of it, or those that are good before the damage.
    pub lines: u64,
    /// The digest of its seal, in hexadecimal digits.
    pub digest: Option<String>,
    /// Length in seconds, if it is sealed.
    pub lasted_s: Option<f64>,
}

impl SittingEntry {
    /// Reads the whole recording and checks every line of it; what is wrong is given beside the entry.
    pub fn read(file: &Path, of_new_parts: bool) -> (Self, Option<ReadError>) {
        let name = file.file_stem().unwrap_or_default();
        let mut entry = Self {
            of_new_parts,
            name: name.to_string_lossy().into_owned(),
            began: None,
            program: String::new(),
            meters: Vec::new(),
            state: SittingState::Damaged,
            lines: 0,
            digest: None,
            lasted_s: None,
        };
        let flaw = entry.fill(file).err();
        (entry, flaw)
    }

    fn fill(&mut self, file: &Path) -> Result<(), ReadError> {
        let mut reader = Reader::open(file)?;
        while let Some(line) = reader.next_entry()? {
            self.take(&line.event);
            self.lines = line.line;
        }
        match reader.ending() {
            Some(Ending::Sealed(seal)) => {
                self.state = SittingState::Sealed;
                self.lines = seal.lines + 1;
                self.digest = Some(seal.digest.to_string());
                self.lasted_s = Some(seal.at.micros() as f64 / 1e6);
            }
            Some(Ending::Unsealed { lines }) => {
                self.state = SittingState::NotEnded;
                self.lines = *lines;
            }
            Some(Ending::Torn { lines, .. }) => {
                self.state = SittingState::Torn;
                self.lines = *lines;
            }
            None => {}
        }
        Ok(())
    }

    fn take(&mut self, event: &Event<'_>) {
        match *event {
            Event::Program { name, version } => self.program = format!("{name} {version}"),
            Event::Begun { wall } => self.began = Some(wall),
            Event::Meter {
                number,
                name,
                profile,
                ..
            } => self
                .meters
                .push((number, name.to_owned(), profile.to_owned())),
            _ => {}
        }
    }
}

//! [`SittingEntry`]: what the archive keeps of a recording.

use std::path::Path;

use chrono::{DateTime, FixedOffset};

use crate::bench::recording::{Ending, Event, ReadError, Reader};

/// How a recording was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SittingState {
    /// Whole, from its first line to its seal.
    Sealed,
    /// Good, but without a seal: the sitting was not ended.
    NotEnded,
    /// It ends within a line.
    Torn,
    /// A line is not as it was written, or the file is no recording.
    Damaged,
}

impl SittingState {
    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sealed => "sealed",
            Self::NotEnded => "not ended",
            Self::Torn => "torn",
            Self::Damaged => "damaged",
        }
    }
}

/// What the archive keeps of a recording.
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
    /// How it was found.
    pub state: SittingState,
    /// How many lines it has, or how many are good before the damage.
    pub lines: u64,
    /// The digest of its seal, in hexadecimal digits.
    pub digest: Option<String>,
    /// How long it lasted, in seconds, if it is sealed.
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

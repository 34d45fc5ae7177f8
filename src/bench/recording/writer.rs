//! [`Writer`]: writes a recording so that whatever has been written reads back, whatever happens next.

use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use sha2::{Digest as _, Sha256};

use super::block::{Digest, Tag};
use super::event::{Event, Seal, Word};
use super::problem::Version;
use super::syncer::Syncer;
use super::{LONGEST_LINE, MAGIC};
use crate::engine::quantity::Stamp;
use crate::platform::{LastingFile, sync_name};

/// Beginning of a recording, all of it at time 0.
#[derive(Debug, Clone, Copy)]
pub struct Header<'a> {
    /// The name of the program that records.
    pub program: &'a str,
    /// Version of the program that records.
    pub version: &'a str,
    /// The wall clock at time 0.
    pub begun: DateTime<FixedOffset>,
    /// Files, settings and meters: all that is needed to compute the sitting again.
    pub setup: &'a [Event<'a>],
}

/// Writes one recording.
///
/// [`Writer::record`] hands one whole line to the system in one call before it returns, so a crash of the program loses nothing that was
/// recorded, and at worst leaves the line that was being written torn. A thread brings the lines to the disk: at once after the header, after
/// a link came up or was lost and when [`Writer::request_sync`] asks; otherwise at most one second after they were written. Power failing
/// loses at most what had not got there. [`Writer::seal`] and dropping the writer wait for the disk.
pub struct Writer<W: Write> {
    out: W,
    syncer: Syncer,
    file: PathBuf,
    /// The tag of the line before with its newline, then the line being made.
    line: Vec<u8>,
    /// Bytes of `line` that belong to the line before.
    lead: usize,
    /// All lines so far.
    hasher: Sha256,
    lines: u64,
    last: Stamp,
    poisoned: bool,
}

impl Writer<LastingFile> {
    /// Begins a recording in a new file.
    ///
    /// # Errors
    /// [`WriteError::Create`] if the file exists already or cannot be made; the errors of [`Writer::record`] for the header.
    pub fn create(file: impl Into<PathBuf>, header: &Header<'_>) -> Result<Self, WriteError> {
        let file = file.into();
        match OpenOptions::new().append(true).create_new(true).open(&file) {
            Ok(out) => Self::into_file(out, file.clone(), header).inspect_err(|_| {
                // Nothing was recorded in it yet.
                let _ = std::fs::remove_file(&file);
            }),
            Err(source) => Err(WriteError::Create { file, source }),
        }
    }

    /// Begins a recording in `folder` under the first free name for its start: [`super::name_for`], then `…_02.rec` and so on.
    ///
    /// # Errors
    /// As [`Writer::create`].
    pub fn create_in(folder: &Path, header: &Header<'_>) -> Result<Self, WriteError> {
        let mut taken = 0;
        loop {
            match Self::create(folder.join(name_after(header.begun, taken)), header) {
                Err(WriteError::Create { source, .. })
                    if source.kind() == io::ErrorKind::AlreadyExists && taken < 99 =>
                {
                    taken += 1;
                }
                outcome => return outcome,
            }
        }
    }

    fn into_file(out: File, file: PathBuf, header: &Header<'_>) -> Result<Self, WriteError> {
        let disk = match out.try_clone() {
            Ok(disk) => disk,
            Err(source) => return Err(WriteError::Create { file, source }),
        };
        let mut name = Some(file.clone());
        let sync = move || {
            if let Some(file) = name.take() {
                sync_name(&file);
            }
            disk.sync_data()
        };
        Self::onto(LastingFile(out), sync, file, header)
    }
}

impl<W: Write> Writer<W> {
    /// Begins a recording on anything that takes bytes. `sync` runs on a thread of its own and makes lasting what `out` has taken;
    /// `file` is the name in messages.
    ///
    /// # Errors
    /// As [`Writer::create`].
    pub fn onto(
        out: W,
        sync: impl FnMut() -> io::Result<()> + Send + 'static,
        file: impl Into<PathBuf>,
        header: &Header<'_>,
    ) -> Result<Self, WriteError> {
        let file = file.into();
        let syncer = match Syncer::start(sync) {
            Ok(syncer) => syncer,
            Err(source) => return Err(WriteError::Create { file, source }),
        };
        let (line, hasher) = (Vec::with_capacity(4096), Sha256::new());
        let mut writer = Self {
            out,
            syncer,
            file,
            line,
            lead: 0,
            hasher,
            lines: 0,
            last: Stamp::ZERO,
            poisoned: false,
        };
        writer.begin(header)?;
        Ok(writer)
    }

    fn begin(&mut self, header: &Header<'_>) -> Result<(), WriteError> {
        self.push(format_args!("{MAGIC}\t{}", Version::CURRENT));
        self.finish_line(MAGIC)?;
        self.record(
            Stamp::ZERO,
            &Event::Program {
                name: header.program,
                version: header.version,
            },
        )?;
        self.record(Stamp::ZERO, &Event::Begun { wall: header.begun })?;
        for event in header.setup {
            self.record(Stamp::ZERO, event)?;
        }
        self.request_sync();
        Ok(())
    }

    /// The file's name.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Lines of the file.
    pub fn lines(&self) -> u64 {
        self.lines
    }

    /// Records `event`, which happened at `at`. Interpret it only after this returned `Ok`.
    ///
    /// # Errors
    /// [`WriteError::Write`] and [`WriteError::Sync`] close the recording: every later call gives [`WriteError::Poisoned`].
    /// [`WriteError::Backwards`] and [`WriteError::TooLong`] refuse this event only.
    pub fn record(&mut self, at: Stamp, event: &Event<'_>) -> Result<(), WriteError> {
        self.begin_line(at, event.word())?;
        event.push_fields(&mut self.line);
        self.finish_line(event.word())?;
        self.last = at;
        if matches!(event, Event::Link { .. }) {
            self.request_sync();
        }
        Ok(())
    }

    /// Asks for everything recorded so far to be brought to the disk now; does not wait for it.
    pub fn request_sync(&self) {
        self.syncer.request();
    }

    /// Ends the recording: writes the seal and waits until all of it is on the disk.
    ///
    /// # Errors
    /// As [`Writer::record`].
    pub fn seal(mut self, at: Stamp, reason: &str) -> Result<Seal, WriteError> {
        const SEALED: &str = Word::Sealed.name();
        let seal = Seal {
            at,
            reason: reason.to_owned(),
            lines: self.lines,
            digest: Digest::so_far(&self.hasher),
        };
        self.begin_line(at, SEALED)?;
        seal.push_fields(&mut self.line);
        self.finish_line(SEALED)?;
        match self.syncer.settle() {
            Ok(()) => Ok(seal),
            Err(source) => Err(WriteError::Sync {
                file: self.file.clone(),
                source,
            }),
        }
    }

    fn begin_line(&mut self, at: Stamp, what: &'static str) -> Result<(), WriteError> {
        if self.poisoned {
            return Err(WriteError::Poisoned {
                file: self.file.clone(),
            });
        }
        if at < self.last {
            return Err(WriteError::Backwards {
                what,
                at,
                before: self.last,
            });
        }
        self.push(format_args!("{}\t{what}", at.micros()));
        Ok(())
    }

    fn push(&mut self, text: std::fmt::Arguments<'_>) {
        self.line
            .write_fmt(text)
            .unwrap_or_else(|_| unreachable!("a vector takes every byte"));
    }

    /// Tags the line, hands it to the system and makes ready for the next one.
    fn finish_line(&mut self, what: &'static str) -> Result<(), WriteError> {
        self.line.push(b'\t');
        let bytes = self.line.len() - self.lead + Tag::LENGTH + 1;
        if bytes > LONGEST_LINE {
            self.line.truncate(self.lead);
            return Err(WriteError::TooLong { what, bytes });
        }
        let tag = Tag::of(&self.line);
        self.line.extend_from_slice(tag.digits());
        self.line.push(b'\n');
        self.write_line(what)?;
        self.line.clear();
        self.line.extend_from_slice(tag.digits());
        self.line.push(b'\n');
        self.lead = self.line.len();
        Ok(())
    }

    fn write_line(&mut self, what: &'static str) -> Result<(), WriteError> {
        let line = &self.line[self.lead..];
        // One call takes the whole line, unless the system takes a part only; then asking for the rest tells why.
        if let Err(source) = self.out.write_all(line) {
            self.poisoned = true;
            return Err(WriteError::Write {
                file: self.file.clone(),
                what,
                line: self.lines + 1,
                source,
            });
        }
        self.lines += 1;
        self.hasher.update(line);
        if let Err(source) = self.syncer.wrote() {
            self.poisoned = true;
            return Err(WriteError::Sync {
                file: self.file.clone(),
                source,
            });
        }
        Ok(())
    }
}

/// Reason why something could not be recorded.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The file could not be made; it may exist already.
    #[error("cannot begin the recording `{}`", file.display())]
    Create {
        /// Path of the recording.
        file: PathBuf,
        /// Answer of the system.
        source: io::Error,
    },
    /// A line did not get into the file. The writer takes nothing more.
    #[error("line {line} (`{what}`) could not be written to `{}`; what comes before it is safe; make room and begin a new sitting", file.display())]
    Write {
        /// Path of the recording.
        file: PathBuf,
        /// The word of the line.
        what: &'static str,
        /// The number of the line, from 1.
        line: u64,
        /// Answer of the system.
        source: io::Error,
    },
    /// The disk refused lines that the system had already taken. The writer takes nothing more.
    #[error("the disk did not keep what was written to `{}`; `audit` tells which lines are there", file.display())]
    Sync {
        /// Path of the recording.
        file: PathBuf,
        /// Answer of the system.
        source: io::Error,
    },
    /// An earlier error closed this recording.
    #[error("`{}` takes nothing more, for it failed before; begin a new sitting", file.display())]
    Poisoned {
        /// Path of the recording.
        file: PathBuf,
    },
    /// The event is earlier than the one before it. Nothing was written; the writer goes on.
    #[error("a `{what}` at {} µs cannot be recorded behind {} µs; times may not run backwards", at.micros(), before.micros())]
    Backwards {
        /// The word of the line.
        what: &'static str,
        /// Its time.
        at: Stamp,
        /// The time of the line before.
        before: Stamp,
    },
    /// The event is too long for a line. Nothing was written; the writer goes on.
    #[error("a `{what}` of {bytes} bytes cannot be recorded; a line may have {LONGEST_LINE}")]
    TooLong {
        /// The word of the line.
        what: &'static str,
        /// The length of the line.
        bytes: usize,
    },
}

/// The file name for a sitting that began at `start`: local date and time of day to the second in the basic format of ISO 8601, so that
/// names sort by time and hold no colon.
///
/// ```
/// let start = chrono::DateTime::parse_from_rfc3339("2056-11-03T19:25:30.5+01:00").unwrap();
/// assert_eq!(probewright::face::bench::recording::name_for(start), "20561103T192530.rec");
/// ```
pub fn name_for(start: DateTime<FixedOffset>) -> String {
    format!("{}.rec", start.format("%Y%m%dT%H%M%S"))
}

/// The name to try when `taken` others exist: `…_02.rec` after the first, which sorts behind it.
pub(super) fn name_after(start: DateTime<FixedOffset>, taken: u32) -> String {
    if taken == 0 {
        name_for(start)
    } else {
        format!("{}_{:02}.rec", start.format("%Y%m%dT%H%M%S"), taken + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn names_sort_in_the_order_of_time_and_of_attempts() {
        let start = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
        let later = DateTime::parse_from_rfc3339("2056-11-03T19:25:31+01:00").unwrap();
        let names = [
            name_for(start),
            name_after(start, 1),
            name_after(start, 2),
            name_for(later),
        ];
        assert_eq!(names[1], "20561103T192530_02.rec");
        assert!(names.is_sorted());
    }
}

//! [`WriteError`]: why something could not be recorded.

use super::LONGEST_LINE;
use crate::engine::quantity::Stamp;
use std::io;
use std::path::PathBuf;

/// Why something could not be recorded.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The file could not be made; it may exist already.
    #[error("cannot begin the recording `{}`", file.display())]
    Create {
        /// The file.
        file: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A line did not get into the file. The writer takes nothing more.
    #[error("line {line} (`{what}`) could not be written to `{}`; what stands before it is safe; make room and begin a new sitting", file.display())]
    Write {
        /// The file.
        file: PathBuf,
        /// The word of the line.
        what: &'static str,
        /// The number of the line, from 1.
        line: u64,
        /// What the system says.
        source: io::Error,
    },
    /// The disk refused lines that the system had already taken. The writer takes nothing more.
    #[error("the disk did not keep what was written to `{}`; `audit` tells which lines are there", file.display())]
    Sync {
        /// The file.
        file: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// An earlier error closed this recording.
    #[error("`{}` takes nothing more, for it failed before; begin a new sitting", file.display())]
    Poisoned {
        /// The file.
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

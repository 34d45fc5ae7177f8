//! [`ArchiveError`]: the database cannot be made or asked. Each message holds its reason, so that none has a source that would say it again.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

/// The database cannot be made or asked. What was there is as it was.
#[derive(Debug, Error)]
pub enum ArchiveError {
    /// The name belongs to something that this program has not made.
    #[error(
        "`{file}` exists and is no archive of this program, nothing was changed; give another --database, or --force to replace it",
        file = file.display()
    )]
    NotOurs {
        /// The file.
        file: PathBuf,
    },
    /// The name belongs to a folder or a device.
    #[error("`{file}` is no file, expected the name of a database", file = file.display())]
    NoFile {
        /// What has the name.
        file: PathBuf,
    },
    /// Another program has work in it that it has not finished.
    #[error(
        "`{file}` is there: another program is at work in the archive; end that, or delete both if it is gone",
        file = file.display()
    )]
    InUse {
        /// The journal of that work.
        file: PathBuf,
    },
    /// The operating system refuses.
    #[error("cannot write `{file}`, what was there is as it was: {reason}", file = file.display())]
    Io {
        /// The file.
        file: PathBuf,
        /// Its reason.
        reason: io::Error,
    },
    /// SQLite cannot write, such as on a full disk.
    #[error("cannot write `{file}`, what was there is as it was: {reason}", file = file.display())]
    Write {
        /// The file.
        file: PathBuf,
        /// Its reason.
        reason: rusqlite::Error,
    },
    /// There is no database yet.
    #[error("there is no `{file}`: make it with `probewright archive`, without --query", file = file.display())]
    None {
        /// The file.
        file: PathBuf,
    },
    /// It has the tables of another version of the program.
    #[error(
        "`{file}` was made by another version of the program: make it anew with `probewright archive`, without --query",
        file = file.display()
    )]
    OtherVersion {
        /// The file.
        file: PathBuf,
    },
    /// The database cannot be read.
    #[error("cannot read `{file}`: {reason}", file = file.display())]
    Read {
        /// The file.
        file: PathBuf,
        /// SQLite's reason.
        reason: rusqlite::Error,
    },
    /// The question is no SQL that can be answered.
    #[error("--query: {reason}")]
    Question {
        /// SQLite's reason.
        reason: rusqlite::Error,
    },
    /// The question would change something.
    #[error(
        "--query: found a statement that changes something or has no answer, expected one question such as `select * from open_work`; change the files of the jobs and make the archive anew"
    )]
    NoQuestion,
}

impl ArchiveError {
    /// Whether what was asked for is at fault, and not the machine.
    pub const fn is_bad_input(&self) -> bool {
        !matches!(
            self,
            Self::Io { .. } | Self::Write { .. } | Self::Read { .. }
        )
    }
}

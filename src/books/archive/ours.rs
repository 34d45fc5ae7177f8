//! Whether a file is an archive of this program, by the header of the SQLite file format.

use std::fs::{self, File};
use std::io::{ErrorKind, Read as _};
use std::path::{Path, PathBuf};

use super::{APPLICATION_ID, ArchiveError};

/// What a file of SQLite begins with, and where its header has the two numbers (SQLite, Database File Format, 1.3).
const MAGIC: &[u8; 16] = b"SQLite format 3\0";
const USER_VERSION: usize = 60;
const APPLICATION: usize = 68;
const HEADER: usize = 100;

/// The version of the tables of the archive in `path`; `None` if that is no archive of ours.
pub(super) fn version(path: &Path) -> Option<i32> {
    let mut header = [0; HEADER];
    File::open(path).ok()?.read_exact(&mut header).ok()?;
    let number = |at: usize| {
        let bytes = header[at..at + 4].first_chunk::<4>();
        bytes.map(|bytes| i32::from_be_bytes(*bytes))
    };
    let ours = header.starts_with(MAGIC) && number(APPLICATION) == Some(APPLICATION_ID);
    number(USER_VERSION).filter(|_| ours)
}

/// Checks that a new archive may take that name.
pub(super) fn may_take(path: &Path, force: bool) -> Result<(), ArchiveError> {
    let file = path.to_owned();
    match fs::metadata(path) {
        Err(reason) if reason.kind() == ErrorKind::NotFound => return Ok(()),
        Err(reason) => return Err(ArchiveError::Io { file, reason }),
        Ok(found) if !found.is_file() => return Err(ArchiveError::NoFile { file }),
        Ok(_) => {}
    }
    if !force && version(path).is_none() {
        return Err(ArchiveError::NotOurs { file });
    }
    // A journal that another program left would be taken for one of the new file.
    let journals = ["-wal", "-journal"].map(|ending| {
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    });
    let holds_work = |journal: &PathBuf| fs::metadata(journal).is_ok_and(|found| found.len() > 0);
    match journals.into_iter().find(holds_work) {
        Some(file) => Err(ArchiveError::InUse { file }),
        None => Ok(()),
    }
}

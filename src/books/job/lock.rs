//! [`SittingLock`]: that a job has one sitting at a time.

use std::fs::File;
use std::io::{self, Read as _, Write as _};
use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};

use super::folder::Folder;
use crate::books::when::minute;
use crate::platform::{Held, is_held, try_hold};

/// Name of the file in the folder of a job. It stays there; what counts is whether somebody holds it.
const NAME: &str = ".sitting.lock";

/// Bytes of it that are read.
const LONGEST: u64 = 200;

/// Held for as long as a sitting lasts; free again when dropped, and when the program is killed.
#[derive(Debug)]
pub struct SittingLock {
    file: File,
    _held: Held,
    /// The folder, locked too where the system can: somebody may remove the file.
    _folder: Option<Held>,
}

/// The job cannot be locked.
#[derive(Debug, thiserror::Error)]
pub enum LockError {
    /// There is a sitting on it.
    #[error(
        "`{folder}` has a sitting already ({holder}); end that one first, or, if it was begun with --serve, \
         watch it with `probewright attach {folder}`"
    )]
    Taken {
        /// The folder of the job.
        folder: String,
        /// The process, and since when, as far as that is known.
        holder: String,
    },
    /// The operating system refuses.
    #[error("cannot lock `{file}`: {source}", file = file.display())]
    Refused { file: PathBuf, source: io::Error },
}

impl SittingLock {
    /// Takes the lock of that job for a sitting that begins at `since`.
    ///
    /// # Errors
    /// If another process holds it, or there can be no locks in that folder.
    pub fn take(folder: &Folder, since: DateTime<FixedOffset>) -> Result<Self, LockError> {
        let path = folder.root().join(NAME);
        let refused = |source: io::Error| LockError::Refused {
            file: path.clone(),
            source,
        };
        let mut options = File::options();
        options.read(true).write(true).create(true).truncate(false);
        let mut file = options.open(&path).map_err(refused)?;
        // Not every system locks folders; then the file counts alone.
        let root = File::open(folder.root()).and_then(|root| try_hold(folder.root(), &root));
        let taken = matches!(root, Ok(None));
        let held = try_hold(&path, &file).map_err(refused)?;
        let Some(held) = held.filter(|_| !taken) else {
            return Err(LockError::Taken {
                folder: folder.root().display().to_string(),
                holder: holder(&mut file),
            });
        };
        sign(&mut file, since);
        Ok(Self {
            file,
            _held: held,
            _folder: root.ok().flatten(),
        })
    }
}

/// Whether a sitting is being held on that job right now. Nothing is written.
pub fn has_sitting(folder: &Folder) -> bool {
    is_held(&folder.root().join(NAME)) || is_held(folder.root())
}

impl Drop for SittingLock {
    fn drop(&mut self) {
        // Nobody reads it while nobody holds it.
        let _ = self.file.set_len(0);
    }
}

/// Writes down who holds it. The lock holds without that; a full disk is told by the recording.
fn sign(file: &mut File, since: DateTime<FixedOffset>) {
    let _ = file.set_len(0);
    let _ = writeln!(
        file,
        "process {} since {}",
        std::process::id(),
        minute(since)
    );
}

fn holder(file: &mut File) -> String {
    let mut text = String::new();
    match file.take(LONGEST).read_to_string(&mut text) {
        Ok(1..) => text.trim().to_owned(),
        _ => "by another process".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_is_locked_once_and_says_by_whom_and_since_when() {
        let dir = tempfile::tempdir().unwrap();
        let folder = Folder::create(&dir.path().join("job"), "", b"ref,kind,value\n").unwrap();
        let since = DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap();
        assert!(!has_sitting(&folder));
        let lock = SittingLock::take(&folder, since).unwrap();
        assert!(has_sitting(&folder));
        // Another opening of the file is refused in the same process too: flock(2).
        let error = SittingLock::take(&folder, since).unwrap_err().to_string();
        let holder = format!("(process {} since 3 Nov 2056 19:25)", std::process::id());
        assert!(error.contains(&holder), "{error}");
        drop(lock);
        assert!(!has_sitting(&folder));
        assert!(SittingLock::take(&folder, since).is_ok());
    }
}

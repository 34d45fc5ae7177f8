//! [`find_jobs`]: the jobs below a folder.
//!
//! [`ask`]: a question to the archive, which it cannot change.
//!
//! [`ArchiveError`]: the database cannot be made or asked. Each message holds its reason, so that none has a source that would say it again.

use std::path::{Path, PathBuf};
use std::{fs, io};

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, Row};
use thiserror::Error;

use super::{SCHEMA_VERSION, build};

/// Jobs below a folder.
#[derive(Debug, Default)]
pub struct FoundJobs {
    /// The folders of jobs, by name.
    pub jobs: Vec<PathBuf>,
    /// Folders that could not be looked into, and why.
    pub closed: Vec<(PathBuf, io::Error)>,
}

/// The folders below `root`, itself included, that hold a `job.toml` and a `parts.csv`. Links and folders whose name begins with a dot are
/// not followed.
///
/// # Errors
/// If `root` itself cannot be looked into.
pub fn find_jobs(root: &Path) -> io::Result<FoundJobs> {
    let mut found = FoundJobs::default();
    let mut folders = folders_in(root)?;
    if is_job(root) {
        found.jobs.push(root.to_owned());
    }
    while let Some(folder) = folders.pop() {
        if is_job(&folder) {
            found.jobs.push(folder.clone());
        }
        match folders_in(&folder) {
            Ok(inner) => folders.extend(inner),
            Err(error) => found.closed.push((folder, error)),
        }
    }
    found.jobs.sort_unstable();
    found.closed.sort_unstable_by(|a, b| a.0.cmp(&b.0));
    Ok(found)
}

fn is_job(folder: &Path) -> bool {
    folder.join("job.toml").is_file() && folder.join("parts.csv").is_file()
}

fn folders_in(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut folders = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if entry.file_type()?.is_dir() && !hidden {
            folders.push(entry.path());
        }
    }
    Ok(folders)
}

/// Asks the archive in `path`, which is opened for reading only. `tell` gets the names of the columns, and then each row as it is
/// found, as text; what is not known is empty.
///
/// # Errors
/// If it is not there, is no archive of this version, or the question is no SQL, several statements, or none that only asks.
pub fn ask(
    path: &Path,
    question: &str,
    tell: &mut dyn FnMut(Vec<String>) -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let file = path.to_owned();
    if !path.exists() {
        return Err(ArchiveError::None { file }.into());
    }
    match build::version(path) {
        None => return Err(ArchiveError::NoFile { file }.into()),
        Some(SCHEMA_VERSION) => {}
        Some(_) => return Err(ArchiveError::OtherVersion { file }.into()),
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)
        .map_err(|reason| ArchiveError::Read { file, reason })?;
    let wrong = |reason| ArchiveError::Question { reason };
    let mut statement = connection.prepare(question).map_err(wrong)?;
    // A statement that attaches or copies a database changes nothing in this one, and has no columns.
    if !statement.readonly() || statement.column_count() == 0 {
        return Err(ArchiveError::NoQuestion.into());
    }
    let columns: Vec<String> = statement.column_names().map(str::to_owned).collect();
    let count = columns.len();
    let mut rows = statement.query([]).map_err(wrong)?;
    tell(columns)?;
    while let Some(row) = rows.next().map_err(wrong)? {
        tell(texts(row, count).map_err(wrong)?)?;
    }
    Ok(())
}

fn texts(row: &Row<'_>, count: usize) -> rusqlite::Result<Vec<String>> {
    (0..count)
        .map(|column| row.get_ref(column).map(text))
        .collect()
}

fn text(value: ValueRef<'_>) -> String {
    match value {
        ValueRef::Null => String::new(),
        ValueRef::Integer(number) => number.to_string(),
        ValueRef::Real(number) => real(number),
        ValueRef::Text(text) => String::from_utf8_lossy(text).into_owned(),
        ValueRef::Blob(bytes) => format!("{} bytes", bytes.len()),
    }
}

/// Nine significant figures, as many as the results have.
fn real(number: f64) -> String {
    let rounded: f64 = format!("{number:.8e}").parse().unwrap_or(number);
    if rounded == 0.0 || (1e-4..1e12).contains(&rounded.abs()) {
        rounded.to_string()
    } else {
        format!("{rounded:e}")
    }
}

/// The database cannot be made or asked. What was there is as it was.
#[derive(Debug, Error)]
pub enum ArchiveError {
    /// The name belongs to something that this program has not made.
    #[error(
        "`{file}` exists and is no archive of this program, nothing was changed; give another --database, or --force to replace it",
        file = file.display()
    )]
    NotOurs { file: PathBuf },
    /// The name belongs to a folder or a device.
    #[error("`{file}` is no file, expected the name of a database", file = file.display())]
    NoFile {
        /// The file of that name.
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
    #[error("cannot write `{file}`; what was there is unchanged: {reason}", file = file.display())]
    Io { file: PathBuf, reason: io::Error },
    /// SQLite cannot write, such as on a full disk.
    #[error("cannot write `{file}`; what was there is unchanged: {reason}", file = file.display())]
    Write {
        file: PathBuf,
        reason: rusqlite::Error,
    },
    /// There is no database yet.
    #[error("there is no `{file}`: make it with `probewright archive`, without --query", file = file.display())]
    None { file: PathBuf },
    /// Tables are those of another version of the program.
    #[error(
        "`{file}` was made by another version of the program: build it again with `probewright archive`, without --query",
        file = file.display()
    )]
    OtherVersion { file: PathBuf },
    /// The database cannot be read.
    #[error("cannot read `{file}`: {reason}", file = file.display())]
    Read {
        file: PathBuf,
        reason: rusqlite::Error,
    },
    /// The question is no SQL that can be answered.
    #[error("--query: {reason}")]
    Question { reason: rusqlite::Error },
    /// The question would change something.
    #[error(
        "--query: found a statement that changes something or has no answer, expected one question such as `select * from to_do`; change the files of the jobs and build the archive again"
    )]
    NoQuestion,
}

impl ArchiveError {
    /// Tells a fault of what was asked for from one of the machine.
    pub const fn is_bad_input(&self) -> bool {
        !matches!(
            self,
            Self::Io { .. } | Self::Write { .. } | Self::Read { .. }
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jobs_are_found_at_any_depth_by_both_of_their_files() {
        let root = tempfile::tempdir().unwrap();
        let make = |name: &str, files: &[&str]| {
            let folder = root.path().join(name);
            fs::create_dir_all(&folder).unwrap();
            for file in files {
                fs::write(folder.join(file), "").unwrap();
            }
        };
        make("b/inner", &["job.toml", "parts.csv"]);
        make("a", &["job.toml", "parts.csv"]);
        make("half", &["job.toml"]);
        make(".hidden", &["job.toml", "parts.csv"]);
        std::os::unix::fs::symlink(root.path(), root.path().join("round")).unwrap();
        let found = find_jobs(root.path()).unwrap();
        let expected = ["a", "b/inner"].map(|name| root.path().join(name));
        assert_eq!(found.jobs, expected);
        assert!(found.closed.is_empty());
        assert!(find_jobs(&root.path().join("none")).is_err());
    }
}

//! [`ask`]: a question to the archive, which it cannot change.

use std::path::Path;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, Row};

use super::{ArchiveError, SCHEMA_VERSION, ours};

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// The names of its columns.
    pub columns: Vec<String>,
    /// Its rows, as text; what is not known is empty.
    pub rows: Vec<Vec<String>>,
}

/// Asks the archive in `path`, which is opened for reading only.
///
/// # Errors
/// If it is not there, is no archive of this version, or the question is no SQL, several statements, or none that only asks.
pub fn ask(path: &Path, question: &str) -> Result<Answer, ArchiveError> {
    let file = path.to_owned();
    if !path.exists() {
        return Err(ArchiveError::None { file });
    }
    match ours::version(path) {
        None => return Err(ArchiveError::NoFile { file }),
        Some(SCHEMA_VERSION) => {}
        Some(_) => return Err(ArchiveError::OtherVersion { file }),
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags)
        .map_err(|reason| ArchiveError::Read { file, reason })?;
    let wrong = |reason| ArchiveError::Question { reason };
    let mut statement = connection.prepare(question).map_err(wrong)?;
    // What attaches or copies a database changes nothing in this one, and has no columns.
    if !statement.readonly() || statement.column_count() == 0 {
        return Err(ArchiveError::NoQuestion);
    }
    let columns: Vec<String> = statement.column_names().map(str::to_owned).collect();
    let count = columns.len();
    let rows = statement
        .query_map([], |row| texts(row, count))
        .and_then(Iterator::collect)
        .map_err(wrong)?;
    Ok(Answer { columns, rows })
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

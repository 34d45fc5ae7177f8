//! [`DecisionsFile`]: `decisions.csv` of a job, to be added to and never changed.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use rustix::fs::{FlockOperation, flock};
use thiserror::Error;

use super::{DECISION_COLUMNS, Decision};
use crate::engine::source::whole_rows;

/// `decisions.csv`, open at its end and locked against others that would add to it at the same time.
#[derive(Debug)]
pub struct DecisionsFile {
    path: PathBuf,
    file: File,
    needs_header: bool,
    /// Bytes of a torn last row that were cut off.
    cut: u64,
}

/// A decision cannot be written; the file is as it was.
#[derive(Debug, Error)]
pub enum DecisionsFileError {
    /// The operating system refuses.
    #[error("cannot write `{file}`, the decision was not kept: {source}", file = file.display())]
    Refused {
        /// The file.
        file: PathBuf,
        /// Its reason.
        source: io::Error,
    },
    /// The file has other columns.
    #[error(
        "`{file}` begins with `{found}`, expected the columns `{expected}`; nothing was written, move the file away or mend its first line",
        file = file.display()
    )]
    OtherColumns {
        /// The file.
        file: PathBuf,
        /// Its first line.
        found: String,
        /// What it should be.
        expected: String,
    },
}

impl DecisionsFile {
    /// Opens the file at its end, or makes it. Waits while another program adds to it.
    ///
    /// # Errors
    /// If it cannot be opened, or its columns are not ours (then nothing is touched).
    pub fn open(path: &Path) -> Result<Self, DecisionsFileError> {
        let refused = |source| DecisionsFileError::Refused {
            file: path.to_owned(),
            source,
        };
        let mut file = OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(path)
            .map_err(refused)?;
        flock(&file, FlockOperation::LockExclusive).map_err(|errno| refused(errno.into()))?;
        let mut text = Vec::new();
        file.read_to_end(&mut text).map_err(refused)?;
        let whole = whole_rows(&text);
        let ends = whole > 0 && !text[..whole].ends_with(b"\n");
        // Without a whole row the file may be a header that was torn, and nothing else.
        let ours = if whole > 0 {
            csv::Reader::from_reader(&text[..whole])
                .headers()
                .is_ok_and(|found| found.iter().eq(DECISION_COLUMNS.map(|(name, _)| name)))
        } else {
            columns().as_bytes().starts_with(text.trim_ascii_end())
        };
        if !ours {
            let first = text.split(|byte| matches!(byte, b'\r' | b'\n')).next();
            let first = String::from_utf8_lossy(first.unwrap_or_default());
            return Err(DecisionsFileError::OtherColumns {
                file: path.to_owned(),
                found: first.trim_start_matches('\u{feff}').to_owned(),
                expected: columns(),
            });
        }
        if ends {
            file.write_all(b"\r\n").map_err(refused)?;
        }
        if whole < text.len() {
            file.set_len(whole as u64).map_err(refused)?;
        }
        Ok(Self {
            path: path.to_owned(),
            file,
            needs_header: whole == 0,
            cut: (text.len() - whole) as u64,
        })
    }

    /// Bytes of a torn last row that were cut off when it was opened: a program was killed while it wrote.
    pub const fn cut(&self) -> u64 {
        self.cut
    }

    /// Adds a decision, and brings it to the disk.
    ///
    /// # Errors
    /// If it cannot be written; the file is then as it was.
    pub fn add(&mut self, decision: &Decision) -> Result<(), DecisionsFileError> {
        let text = rows(decision, self.needs_header);
        let before = self
            .file
            .seek(SeekFrom::End(0))
            .map_err(|source| self.refused(source))?;
        let written = self
            .file
            .write_all(&text)
            .and_then(|()| self.file.sync_data());
        if let Err(source) = written {
            // What was written of the row goes; if that fails too, the torn row is cut off when the file is next opened.
            let _ = self.file.set_len(before);
            return Err(self.refused(source));
        }
        self.needs_header = false;
        Ok(())
    }

    fn refused(&self, source: io::Error) -> DecisionsFileError {
        DecisionsFileError::Refused {
            file: self.path.clone(),
            source,
        }
    }
}

/// The first line of the file.
fn columns() -> String {
    DECISION_COLUMNS.map(|(name, _)| name).join(",")
}

/// The bytes of a row, with the header before it if asked.
fn rows(decision: &Decision, header: bool) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let mut write = || {
        if header {
            writer.write_record(DECISION_COLUMNS.map(|(name, _)| name))?;
        }
        writer.write_record(decision.row())
    };
    write().expect("memory takes every row");
    writer.into_inner().expect("memory takes every row")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::books::ledger::Choice;
    use chrono::DateTime;

    fn decision(reason: &str) -> Decision {
        Decision {
            time: DateTime::parse_from_rfc3339("2056-11-03T19:25:30+01:00").unwrap(),
            designator: "R12".to_owned(),
            choice: Choice::Replace,
            reason: reason.to_owned(),
            article: String::new(),
            bag: None,
        }
    }

    #[test]
    fn decisions_are_added_and_what_stands_is_never_changed() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("decisions.csv");
        for reason in ["drifted", "second thought"] {
            DecisionsFile::open(&path)
                .unwrap()
                .add(&decision(reason))
                .unwrap();
        }
        let text = std::fs::read(&path).unwrap();
        let reasons: Vec<String> = Decision::read_all(&text)
            .unwrap()
            .into_iter()
            .map(|one| one.reason)
            .collect();
        assert_eq!(reasons, ["drifted", "second thought"]);
    }

    #[test]
    fn a_torn_last_row_is_cut_off() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("decisions.csv");
        let mut file = DecisionsFile::open(&path).unwrap();
        file.add(&decision("drifted")).unwrap();
        file.file.write_all(b"2056-11-03T2").unwrap();
        drop(file);
        let mut file = DecisionsFile::open(&path).unwrap();
        assert_eq!(file.cut(), 12);
        file.add(&decision("again")).unwrap();
        let text = std::fs::read(&path).unwrap();
        assert_eq!(Decision::read_all(&text).unwrap().len(), 2);
    }

    #[test]
    fn a_decision_whose_line_end_an_editor_left_out_is_kept() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("decisions.csv");
        for reason in ["drifted", "second thought"] {
            DecisionsFile::open(&path)
                .unwrap()
                .add(&decision(reason))
                .unwrap();
        }
        let text = std::fs::read_to_string(&path).unwrap().replace('\r', "");
        std::fs::write(&path, text.trim_end()).unwrap();
        let read = || Decision::read_all(&std::fs::read(&path).unwrap()).unwrap();
        assert_eq!(read().len(), 2);
        let mut file = DecisionsFile::open(&path).unwrap();
        assert_eq!(file.cut(), 0);
        file.add(&decision("again")).unwrap();
        let reasons: Vec<String> = read().into_iter().map(|one| one.reason).collect();
        assert_eq!(reasons, ["drifted", "second thought", "again"]);
    }

    #[test]
    fn a_file_that_a_spreadsheet_saved_with_quotes_is_added_to_and_one_with_other_signs_is_not() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("decisions.csv");
        let quoted = DECISION_COLUMNS
            .map(|(name, _)| format!("\"{name}\""))
            .join(",");
        std::fs::write(&path, format!("\u{feff}{quoted}\n")).unwrap();
        assert!(DecisionsFile::open(&path).is_ok());
        for foreign in [columns().replace(',', ";") + "\n", columns() + "\rone\r"] {
            std::fs::write(&path, &foreign).unwrap();
            assert!(DecisionsFile::open(&path).is_err(), "{foreign:?}");
            assert_eq!(std::fs::read_to_string(&path).unwrap(), foreign);
        }
    }

    #[test]
    fn a_file_with_other_columns_is_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("decisions.csv");
        std::fs::write(&path, "part,what\nR1,keep").unwrap();
        let error = DecisionsFile::open(&path).unwrap_err().to_string();
        assert!(error.contains("`part,what`"), "{error}");
        assert_eq!(
            std::fs::read_to_string(&path).unwrap(),
            "part,what\nR1,keep"
        );
    }
}

//! [`Tally`]: what was audited, in one line.

use std::fmt;

use serde::Serialize;

/// What was audited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Tally {
    /// Recordings that were looked at.
    pub recordings: u64,
    /// Their lines.
    pub lines: u64,
    /// Their bytes.
    pub bytes: u64,
    /// Rows of results that were compared with a replay.
    pub rows: u64,
    /// Findings.
    pub findings: u64,
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "audited {}, {}, {}, {} compared: {}",
            counted(self.recordings, "recording"),
            counted(self.lines, "line"),
            counted(self.bytes, "byte"),
            counted(self.rows, "row"),
            match self.findings {
                0 => "no findings".to_owned(),
                findings => counted(findings, "finding"),
            }
        )
    }
}

/// `1 row`, `2 rows`: a number with its word.
pub fn counted(count: u64, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

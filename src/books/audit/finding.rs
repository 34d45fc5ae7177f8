//! [`Finding`]: something that is not as the program left it.
//!
//! [`Cause`]: why a row of the results is most likely not what its recording gives.
//!
//! [`Tally`]: what was audited, in one line.

use std::fmt;

use serde::Serialize;

use super::results_file::RowKey;
use crate::engine::parts::Choice;
use crate::engine::quantity::counted;

/// Something that is not as the program left it. Lines count from 1, bytes are those before the line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(tag = "finding", rename_all = "kebab-case")]
pub enum Finding {
    /// A line of the recording is not as it was written.
    #[error("line {line} (byte {byte}): {what}")]
    Damaged {
        line: u64,
        /// Its place in the file.
        byte: u64,
        /// Fault of the line.
        what: String,
    },
    /// There are more such lines than are listed.
    #[error("and {} more of that sort", counted(*count, "line"))]
    MoreDamage {
        /// Lines beyond those that are listed.
        count: u64,
    },
    /// The recording ends without its seal.
    #[error(
        "no seal behind line {line} (byte {byte}): the sitting was not ended, or the end was cut off; what is there is good"
    )]
    NoSeal {
        /// Lines of the file.
        line: u64,
        /// Length of the file in bytes.
        byte: u64,
    },
    /// The recording ends within a line.
    #[error(
        "line {line} (byte {byte}) is torn, {left} bytes of it are left: the machine stopped while it was written, or the end was cut off; what comes before it is good"
    )]
    Torn {
        /// The torn line.
        line: u64,
        /// Where it begins.
        byte: u64,
        /// Bytes of it that are left.
        left: u64,
    },
    /// The file is no recording, or nothing was recorded in it.
    #[error("{obstacle}")]
    NotReadable { obstacle: String },
    /// The recording is whole, yet this version cannot compute it.
    #[error("cannot be computed again{}: {obstacle}", used_by(recorded.as_deref()))]
    NotComputable {
        obstacle: String,
        /// Name and version of the program that recorded, where that is another.
        recorded: Option<String>,
    },
    /// A cell is not what the replay gives.
    #[error(
        "line {line}, {key}: `{column}` says {}, the replay says {}: {cause}",
        quoted(found),
        quoted(expected)
    )]
    Cell {
        /// The line that the row begins on.
        line: u64,
        #[serde(flatten)]
        key: RowKey,
        column: String,
        /// Text in the file.
        found: String,
        /// Text that the replay gives.
        expected: String,
        /// The likely cause.
        #[serde(flatten)]
        cause: Cause,
    },
    /// The replay gives a row that the file lacks.
    #[error("no row for {key}: {cause}")]
    RowMissing {
        #[serde(flatten)]
        key: RowKey,
        /// The likely cause.
        #[serde(flatten)]
        cause: Cause,
    },
    /// The file has a row that the replay does not give.
    #[error("line {line}, {key}: the replay gives no such row: {cause}")]
    RowAdded {
        /// The line that the row begins on.
        line: u64,
        #[serde(flatten)]
        key: RowKey,
        /// The likely cause.
        #[serde(flatten)]
        cause: Cause,
    },
    /// Rows come from behind the end of a recording without a seal.
    #[error(
        "{}, first line {line}, can only come from behind the end of the recording: a row is written after what it comes from was recorded, so that end was cut off, or lost with the power",
        counted(*rows, "row")
    )]
    BehindTheEnd {
        /// Rows that were written behind the end.
        rows: usize,
        /// The line of the first.
        line: u64,
    },
    /// The file has no row of the sitting at all.
    #[error(
        "none of the {rows} rows of this sitting is there: the file or the rows were taken away, or the sitting was done elsewhere"
    )]
    NoRows {
        /// Rows that the replay gives.
        rows: usize,
    },
    /// All rows of the sitting stand under another name.
    #[error(
        "its {} stand under the sitting `{sitting}`: the recording was called `{sitting}.rec` and was renamed",
        counted(*rows, "row")
    )]
    Renamed {
        sitting: String,
        /// Rows under the other name.
        rows: usize,
    },
    /// Rows stand in another order than they were written.
    #[error(
        "{} in another place than where the program wrote it, first line {line}: the file was sorted, or rows were moved",
        counted(*rows, "row")
    )]
    Order {
        /// Rows that would have to be moved.
        rows: usize,
        /// The first that stands too early.
        line: u64,
    },
    /// The file of results was saved by another program.
    #[error("the file was saved by another program{}", shown_by(signs, *rewritten))]
    OtherProgram {
        signs: Vec<&'static str>,
        /// Cells that say the same in another way.
        rewritten: u64,
    },
    /// The file of results has other columns.
    #[error("its columns are {}", other_columns(missing, further, *earlier))]
    OtherColumns {
        /// Columns that it lacks.
        missing: Vec<&'static str>,
        /// Columns that it has besides.
        further: Vec<String>,
        /// The earlier version whose columns they are.
        earlier: Option<&'static str>,
    },
    /// The last row of the file of results ends too early.
    #[error(
        "line {line} ends too early: a sitting was killed while it wrote the row; the next `probewright sit` cuts it off, its recording has the value"
    )]
    TornRow {
        /// The line that it begins on.
        line: u64,
    },
    /// A decision of a recording is not in `decisions.csv`.
    #[error(
        "no row for `{designator}` {decision}{}{reason}, said in the sitting `{sitting}`: {}; `probewright decide JOB --recorded` writes it",
        if reason.is_empty() { "" } else { ": " },
        why_missing(*written)
    )]
    DecisionMissing {
        /// Name of the sitting.
        sitting: String,
        #[serde(rename = "ref")]
        designator: String,
        decision: Choice,
        /// The reason, in the person's words.
        reason: String,
        /// Whether the recording says that it was written; `None` if it does not say.
        written: Option<bool>,
    },
    /// There are rows of a sitting whose recording is not there.
    #[error(
        "{}, first line {line}, of the sitting `{sitting}`, whose recording `{sitting}.rec` is not there: it was removed or renamed, or the rows were put in",
        counted(*rows, "row")
    )]
    NoRecording {
        /// Name of the sitting.
        sitting: String,
        /// Rows of that sitting.
        rows: usize,
        /// The line of the first.
        line: u64,
    },
}

/// Reason why a decision of a recording is not in the file; `written`: what the recording says.
const fn why_missing(written: Option<bool>) -> &'static str {
    match written {
        Some(true) => "it was written, so the row was edited or taken out",
        Some(false) => "it could not be written then",
        None => "the sitting was stopped before it was written, or the row was edited or taken out",
    }
}

/// The text of a cell between marks; `nothing` for an empty one.
fn quoted(cell: &str) -> String {
    if cell.is_empty() {
        "nothing".to_owned()
    } else {
        format!("`{cell}`")
    }
}

/// By what it can be computed again, where that is another program than this.
fn used_by(recorded: Option<&str>) -> String {
    recorded.map_or_else(String::new, |recorded| {
        format!(", use {recorded}, which recorded it")
    })
}

/// Clause on the signs that another program saved the file.
fn shown_by(signs: &[&str], rewritten: u64) -> String {
    let listed = match signs {
        [] => String::new(),
        _ => format!(": {}", signs.join(", ")),
    };
    if rewritten == 0 {
        return listed;
    }
    let cells = counted(rewritten, "cell");
    format!("{listed}; {cells} written in another way that says the same")
}

fn other_columns(missing: &[&str], further: &[String], earlier: Option<&str>) -> String {
    if let Some(version) = earlier {
        return format!(
            "those of {version}: made under earlier rules ({version}); what both versions have is compared, `probewright replay` gives the rows of today"
        );
    }
    let said = [
        ("lacks", missing.join("`, `")),
        ("has besides", further.join("`, `")),
    ];
    let said = said
        .into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(what, names)| format!("{what} `{names}`"))
        .collect::<Vec<_>>()
        .join(" and ");
    format!("not those of this version: it {said}; another version wrote it, or it was edited")
}

/// Grounds for saying that a row was altered.
const SOUND: &str = "for its recording is sound there, and this version of the program made it";

/// Reason why a row is most likely not what the replay gives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[serde(tag = "cause", rename_all = "kebab-case")]
pub enum Cause {
    /// The recording is sound there, this version of the program made it, and no file of the job gives the row either.
    #[error("the row was edited, {SOUND}")]
    Edited,
    /// Judging the recording by that file of the job as it is today gives exactly the row.
    #[error(
        "the row was judged by {by} as the job has it today: with that, the recording gives exactly this row"
    )]
    TodaysFile {
        /// The file, or files.
        by: String,
    },
    /// An earlier version of this program recorded, whose rules may have been others.
    #[error(
        "made under earlier rules ({version}); only that version can tell whether it was changed since"
    )]
    EarlierRules { version: String },
    /// Another program, or a later version of this one, recorded.
    #[error(
        "{recorded} made the recording, whose rules may not be those of {running}; only that one can tell whether it was changed since"
    )]
    OtherVersion {
        /// Name and version of that one.
        recorded: String,
        /// Name and version of this one.
        running: String,
    },
    /// The number has fewer figures, as programs leave it that show numbers rounded.
    #[error("another program saved the number with fewer figures")]
    Rounded,
    /// The sitting was stopped before it wrote the row.
    #[error("the sitting was stopped before it could write the row; `probewright replay` gives it")]
    Stopped,
    /// The row stands in the file twice.
    #[error("the row was copied: another one is for the same measurement")]
    Copied,
    /// The row was taken out of the file.
    #[error("the row was taken out, {SOUND}")]
    TakenOut,
    /// The row was put into the file.
    #[error("the row was put in, {SOUND}")]
    PutIn,
}

impl Cause {
    /// The cause of a difference in a recording of the program `recorded` that `running` computes again, another one; both with their versions.
    pub fn of_program(recorded: &str, running: &str) -> Self {
        match earlier(recorded, running) {
            Some(version) => Self::EarlierRules {
                version: version.to_owned(),
            },
            None => Self::OtherVersion {
                recorded: recorded.to_owned(),
                running: running.to_owned(),
            },
        }
    }
}

/// The version of `recorded` if that is the same program as `running`, and earlier.
fn earlier<'a>(recorded: &'a str, running: &str) -> Option<&'a str> {
    let numbers = |version: &str| -> Option<Vec<u32>> {
        version.split('.').map(|part| part.parse().ok()).collect()
    };
    let ((name, version), (own_name, own_version)) =
        (recorded.rsplit_once(' ')?, running.rsplit_once(' ')?);
    let is_earlier = numbers(version)? < numbers(own_version)?;
    (name == own_name && is_earlier).then_some(version)
}

/// Recordings and rows that were audited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Tally {
    /// Recordings that were looked at.
    pub recordings: u64,
    pub lines: u64,
    pub bytes: u64,
    /// Rows of results that were compared with a replay.
    pub rows: u64,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_an_earlier_version_of_the_same_program_has_earlier_rules() {
        let of = |recorded| Cause::of_program(recorded, "probewright 0.10.0");
        let is_earlier = |recorded| matches!(of(recorded), Cause::EarlierRules { .. });
        assert!(is_earlier("probewright 0.9.1") && is_earlier("probewright 0.9"));
        for other in [
            "probewright 0.10.1",
            "probewright 1.0.0",
            "another 0.1.0",
            "probewright x",
            "probewright",
        ] {
            assert!(!is_earlier(other), "{other}");
        }
    }
}

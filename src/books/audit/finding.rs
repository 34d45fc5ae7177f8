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
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "finding", rename_all = "kebab-case")]
pub enum Finding {
    /// A line of the recording is not as it was written.
    Damaged {
        /// The line.
        line: u64,
        /// Its place in the file.
        byte: u64,
        /// Fault of the line.
        what: String,
    },
    /// There are more such lines than are listed.
    MoreDamage {
        /// How many more.
        count: u64,
    },
    /// The recording ends without its seal.
    NoSeal {
        /// How many lines it has.
        line: u64,
        /// How long the file is.
        byte: u64,
    },
    /// The recording ends within a line.
    Torn {
        /// The torn line.
        line: u64,
        /// Where it begins.
        byte: u64,
        /// How much of it is left, in bytes.
        left: u64,
    },
    /// The file is no recording, or nothing was recorded in it.
    NotReadable {
        /// Why.
        why: String,
    },
    /// The recording is whole, yet this version cannot compute it.
    NotComputable {
        /// Why.
        why: String,
        /// Name and version of the program that recorded, where that is another.
        recorded: Option<String>,
    },
    /// A cell is not what the replay gives.
    Cell {
        /// The line that the row begins on.
        line: u64,
        /// Which measurement.
        #[serde(flatten)]
        key: RowKey,
        /// The column.
        column: String,
        /// What the file says.
        found: String,
        /// What the replay says.
        expected: String,
        /// Why, most likely.
        #[serde(flatten)]
        cause: Cause,
    },
    /// The replay gives a row that the file lacks.
    RowMissing {
        /// Which measurement.
        #[serde(flatten)]
        key: RowKey,
        /// Why, most likely.
        #[serde(flatten)]
        cause: Cause,
    },
    /// The file has a row that the replay does not give.
    RowAdded {
        /// The line that the row begins on.
        line: u64,
        /// Which measurement.
        #[serde(flatten)]
        key: RowKey,
        /// Why, most likely.
        #[serde(flatten)]
        cause: Cause,
    },
    /// Rows come from behind the end of a recording without a seal.
    BehindTheEnd {
        /// How many.
        rows: usize,
        /// The line of the first.
        line: u64,
    },
    /// The file has no row of the sitting at all.
    NoRows {
        /// How many the replay gives.
        rows: usize,
    },
    /// All rows of the sitting stand under another name.
    Renamed {
        /// That name.
        sitting: String,
        /// How many rows.
        rows: usize,
    },
    /// Rows stand in another order than they were written.
    Order {
        /// How many would have to be moved.
        rows: usize,
        /// The first that stands too early.
        line: u64,
    },
    /// The file of results was saved by another program.
    OtherProgram {
        /// What shows that.
        signs: Vec<String>,
        /// How many cells say the same in another way.
        rewritten: u64,
    },
    /// The file of results has other columns.
    OtherColumns {
        /// Columns that it lacks.
        missing: Vec<String>,
        /// Columns that it has besides.
        further: Vec<String>,
        /// The earlier version whose columns they are.
        earlier: Option<&'static str>,
    },
    /// The last row of the file of results ends too early.
    TornRow {
        /// The line that it begins on.
        line: u64,
    },
    /// A decision of a recording is not in `decisions.csv`.
    DecisionMissing {
        /// Name of the sitting.
        sitting: String,
        /// The part.
        #[serde(rename = "ref")]
        designator: String,
        /// What was decided.
        decision: Choice,
        /// Why, in the person's words.
        reason: String,
        /// Whether the recording says that it was written; `None` if it does not say.
        written: Option<bool>,
    },
    /// There are rows of a sitting whose recording is not there.
    NoRecording {
        /// Name of the sitting.
        sitting: String,
        /// How many rows.
        rows: usize,
        /// The line of the first.
        line: u64,
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Damaged { line, byte, what } => write!(f, "line {line} (byte {byte}): {what}"),
            Self::MoreDamage { count } => {
                write!(f, "and {} more of that sort", counted(*count, "line"))
            }
            Self::NoSeal { line, byte } => write!(
                f,
                "no seal behind line {line} (byte {byte}): the sitting was not ended, or the end was cut off; what is there is good"
            ),
            Self::Torn { line, byte, left } => write!(
                f,
                "line {line} (byte {byte}) is torn, {left} bytes of it are left: the machine stopped while it was written, or the end was cut off; what stands before it is good"
            ),
            Self::NotReadable { why } => f.write_str(why),
            Self::NotComputable { why, recorded } => match recorded {
                Some(recorded) => write!(
                    f,
                    "cannot be computed again, use {recorded}, which recorded it: {why}"
                ),
                None => write!(f, "cannot be computed again: {why}"),
            },
            Self::Cell {
                line,
                key,
                column,
                found,
                expected,
                cause,
            } => write!(
                f,
                "line {line}, {key}: `{column}` says {}, the replay says {}: {cause}",
                quoted(found),
                quoted(expected)
            ),
            Self::RowMissing { key, cause } => write!(f, "no row for {key}: {cause}"),
            Self::RowAdded { line, key, cause } => {
                write!(
                    f,
                    "line {line}, {key}: the replay gives no such row: {cause}"
                )
            }
            Self::BehindTheEnd { rows, line } => write!(
                f,
                "{}, first line {line}, can only come from behind the end of the recording: a row is written after what it comes from was recorded, so that end was cut off, or lost with the power",
                counted(*rows, "row")
            ),
            Self::NoRows { rows } => write!(
                f,
                "none of the {rows} rows of this sitting is there: the file or the rows were taken away, or the sitting was done elsewhere"
            ),
            Self::Renamed { sitting, rows } => write!(
                f,
                "its {} stand under the sitting `{sitting}`: the recording was called `{sitting}.rec` and was renamed",
                counted(*rows, "row")
            ),
            Self::Order { rows, line } => write!(
                f,
                "{} in another place than where the program wrote it, first line {line}: the file was sorted, or rows were moved",
                counted(*rows, "row")
            ),
            Self::OtherProgram { signs, rewritten } => other_program(f, signs, *rewritten),
            Self::OtherColumns {
                earlier: Some(version),
                ..
            } => write!(
                f,
                "its columns are those of {version}: made under earlier rules ({version}); what both versions have is compared, `probewright replay` gives the rows of today"
            ),
            Self::OtherColumns {
                missing, further, ..
            } => other_columns(f, missing, further),
            Self::TornRow { line } => write!(
                f,
                "line {line} ends too early: a sitting was killed while it wrote the row; the next `probewright sit` cuts it off, its recording has the value"
            ),
            Self::DecisionMissing {
                sitting,
                designator,
                decision,
                reason,
                written,
            } => {
                let because = if reason.is_empty() { "" } else { ": " };
                write!(
                    f,
                    "no row for `{designator}` {decision}{because}{reason}, said in the sitting `{sitting}`: {}; `probewright decide JOB --recorded` writes it",
                    why_missing(*written)
                )
            }
            Self::NoRecording {
                sitting,
                rows,
                line,
            } => write!(
                f,
                "{}, first line {line}, of the sitting `{sitting}`, whose recording `{sitting}.rec` is not there: it was removed or renamed, or the rows were put in",
                counted(*rows, "row")
            ),
        }
    }
}

/// Why a decision of a recording is not in the file; `written`: what the recording says.
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

fn other_program(f: &mut fmt::Formatter<'_>, signs: &[String], rewritten: u64) -> fmt::Result {
    f.write_str("the file was saved by another program")?;
    if !signs.is_empty() {
        write!(f, ": {}", signs.join(", "))?;
    }
    if rewritten > 0 {
        write!(
            f,
            "; {} written in another way that says the same",
            counted(rewritten, "cell")
        )?;
    }
    Ok(())
}

fn other_columns(
    f: &mut fmt::Formatter<'_>,
    missing: &[String],
    further: &[String],
) -> fmt::Result {
    let said = [("lacks", missing), ("has besides", further)]
        .into_iter()
        .filter(|(_, names)| !names.is_empty())
        .map(|(what, names)| format!("{what} `{}`", names.join("`, `")))
        .collect::<Vec<_>>()
        .join(" and ");
    write!(
        f,
        "its columns are not those of this version: it {said}; another version wrote it, or it was edited"
    )
}

/// Why a row is most likely not what the replay gives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "cause", rename_all = "kebab-case")]
pub enum Cause {
    /// The recording is sound there, this version of the program made it, and no file of the job gives the row either.
    Edited,
    /// Judging the recording by that file of the job as it is today gives exactly the row.
    TodaysFile {
        /// Which file, or files.
        by: String,
    },
    /// An earlier version of this program recorded, whose rules may have been others.
    EarlierRules {
        /// That version.
        version: String,
    },
    /// Another program, or a later version of this one, recorded.
    OtherVersion {
        /// Name and version of that one.
        recorded: String,
        /// Name and version of this one.
        running: String,
    },
    /// The number has fewer figures, as programs leave it that show numbers rounded.
    Rounded,
    /// The sitting was stopped before it wrote the row.
    Stopped,
    /// The row stands in the file twice.
    Copied,
    /// The row was taken out of the file.
    TakenOut,
    /// The row was put into the file.
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

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const SOUND: &str =
            "for its recording is sound there, and this version of the program made it";
        match self {
            Self::Edited => write!(f, "the row was edited, {SOUND}"),
            Self::TodaysFile { by } => write!(
                f,
                "the row was judged by {by} as the job has it today: with that, the recording gives exactly this row"
            ),
            Self::EarlierRules { version } => write!(
                f,
                "made under earlier rules ({version}); only that version can tell whether it was changed since"
            ),
            Self::OtherVersion { recorded, running } => write!(
                f,
                "{recorded} made the recording, whose rules may not be those of {running}; only that one can tell whether it was changed since"
            ),
            Self::Rounded => f.write_str("another program saved the number with fewer figures"),
            Self::Stopped => f.write_str(
                "the sitting was stopped before it could write the row; `probewright replay` gives it",
            ),
            Self::Copied => f.write_str("the row was copied: another one is for the same measurement"),
            Self::TakenOut => write!(f, "the row was taken out, {SOUND}"),
            Self::PutIn => write!(f, "the row was put in, {SOUND}"),
        }
    }
}

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

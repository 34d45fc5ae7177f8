//! [`Finding`]: something that is not as the program left it.

use std::fmt;

use serde::Serialize;

use super::cause::Cause;
use super::row_key::RowKey;
use super::tally::counted;

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
        /// What is wrong.
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

impl Finding {}

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
                counted(*rows as u64, "row")
            ),
            Self::NoRows { rows } => write!(
                f,
                "none of the {rows} rows of this sitting is there: the file or the rows were taken away, or the sitting was done elsewhere"
            ),
            Self::Renamed { sitting, rows } => write!(
                f,
                "its {} stand under the sitting `{sitting}`: the recording was called `{sitting}.rec` and was renamed",
                counted(*rows as u64, "row")
            ),
            Self::Order { rows, line } => write!(
                f,
                "{} in another place than where the program wrote it, first line {line}: the file was sorted, or rows were moved",
                counted(*rows as u64, "row")
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
            Self::NoRecording {
                sitting,
                rows,
                line,
            } => write!(
                f,
                "{}, first line {line}, of the sitting `{sitting}`, whose recording `{sitting}.rec` is not there: it was removed or renamed, or the rows were put in",
                counted(*rows as u64, "row")
            ),
        }
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

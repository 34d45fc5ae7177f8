//! [`Cause`]: why a row of the results is most likely not what its recording gives.

use std::fmt;

use serde::Serialize;

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
    /// Another version of the program recorded.
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
            Self::OtherVersion { recorded, running } => write!(
                f,
                "{recorded} made the recording and this is {running}, so that may be why; otherwise the row was edited"
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

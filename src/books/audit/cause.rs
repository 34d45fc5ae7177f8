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

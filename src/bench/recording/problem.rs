//! [`Problem`]: what is wrong with a line of a recording, and where it stands; and the [`Version`] of the format.

use std::path::PathBuf;
use std::{fmt, io};

use super::block::{Digest, Tag};
use super::fields::Malformed;
use crate::engine::quantity::Stamp;

/// Fault of a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Flaw {
    /// The line's tag is not the one it makes behind the line before it.
    #[error(
        "this line was altered, or lines before it were taken out: it makes the tag `{expected}`, but it says `{says}`"
    )]
    Altered {
        /// The tag that the line makes.
        expected: Tag,
        /// The beginning of the line as it stands.
        says: String,
    },
    /// Only the line's tag was altered: the next line continues from what the rest of this one makes.
    #[error(
        "the tag of this line was altered: it makes the tag `{expected}`, but it says `{says}`"
    )]
    TagAltered {
        /// The tag that the line makes.
        expected: Tag,
        /// The beginning of the line as it stands.
        says: String,
    },
    /// The line was put in, or moved here: the chain goes on behind it as if it were not there.
    #[error(
        "this line does not belong here: the next good line continues from the one before it; it says `{says}`"
    )]
    Inserted {
        /// The beginning of the line as it stands.
        says: String,
    },
    /// The tag is right, yet the line cannot be understood.
    #[error("{0}")]
    Malformed(Malformed),
    /// The tag is right, yet this edition of the format has no such word.
    #[error("`{word}` is no word of this edition of the format")]
    UnknownWord {
        /// The word that stands there.
        word: String,
    },
    /// The time is earlier than that of the line before.
    #[error("time runs backwards: {} µs behind {} µs", at.micros(), before.micros())]
    Backwards {
        /// The line's time.
        at: Stamp,
        /// The time of the line before.
        before: Stamp,
    },
    /// The seal belongs to other lines.
    #[error(
        "the seal is for {lines} lines with SHA-256 {digest}, but {found_lines} lines with SHA-256 {found_digest} stand before it"
    )]
    Seal {
        /// Lines that the seal is for.
        lines: u64,
        /// Their digest, as the seal says.
        digest: Digest,
        /// Lines that the file has.
        found_lines: u64,
        /// Their digest.
        found_digest: Digest,
    },
    /// Something stands behind the seal.
    #[error("something comes after the seal: `{says}`")]
    AfterSeal {
        /// Its beginning.
        says: String,
    },
}

/// A flaw and its place.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} (byte {offset}): {flaw}")]
pub struct Problem {
    /// The number of the line, from 1.
    pub line: u64,
    /// Bytes of the file before the line.
    pub offset: u64,
    pub flaw: Flaw,
}

/// Reason why a recording cannot be read, or not further.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The file cannot be opened.
    #[error("cannot open the recording `{}`", file.display())]
    Open {
        /// Path of the recording.
        file: PathBuf,
        /// Answer of the system.
        source: io::Error,
    },
    /// The file cannot be read further.
    #[error("cannot read the recording `{}` further", file.display())]
    Read {
        /// Path of the recording.
        file: PathBuf,
        /// Answer of the system.
        source: io::Error,
    },
    /// The file ends before its first line does.
    #[error("`{}` holds no whole line: nothing was recorded in it", file.display())]
    Empty {
        /// Path of the recording.
        file: PathBuf,
    },
    /// The first line is not that of a recording.
    #[error("`{}` is no recording: its first line says `{says}`, expected `probewright-recording` and a version", file.display())]
    NotARecording {
        /// Path of the recording.
        file: PathBuf,
        /// The beginning of its first line.
        says: String,
    },
    /// The format is one that this program does not know.
    #[error("`{}` is a recording of version {found}, this program reads version {}: use the program that wrote it, or a newer one", file.display(), super::Version::CURRENT)]
    Version {
        /// Path of the recording.
        file: PathBuf,
        /// The version it says it has.
        found: super::Version,
    },
    /// A line is not as it was written.
    #[error("`{}` is damaged: {problem}", file.display())]
    Damaged {
        /// Path of the recording.
        file: PathBuf,
        /// The fault, and where.
        problem: Box<Problem>,
    },
}

/// The first number of a version: differs when an older program must not try to read the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Major(pub u16);

/// The second number of a version: grows when words or trailing fields are added that an older
/// program may skip, and when a command gets another meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Minor(pub u16);

/// The edition of the recording format, and so what its commands mean.
///
/// | edition | written by | what is another than in the edition before |
/// |---|---|---|
/// | 1.0 | 0.1.0 | |
/// | 1.1 | 0.2.0 | with the setting `cautions` in its head, `soak` and `on` before a voltage want `heed` first; all commands mean what they meant |
/// | 1.2 | 0.3.0 | a part gripped again gets no further value; `note` is about the part just judged until the probes touch the next, or about the part that its first word names; `goto` and the setting `only` also take places; `override` names its capacitor or says `all`, where its whole text was the reason for all of them; a test point waits for `live`; capacitors are to be below `residual_v` and not below 60 V; `decide keep` wants a reason for what the policy replaces; with the setting `decisions` in its head, `decide` is done once a line `decision` says that it is written; a line `missed` tells of bytes that were passed over and breaks a touch off |
///
/// Whoever gives a command another meaning raises the minor number, adds a row here, and keeps the old meaning for older recordings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Version {
    /// Must be the reader's own.
    pub major: Major,
    /// May be smaller or larger than the reader's own.
    pub minor: Minor,
}

impl Version {
    /// The version that this program writes.
    pub const CURRENT: Self = Self {
        major: Major(1),
        minor: Minor(2),
    };

    /// The first in which a part gripped again is told, `note` is about the part just judged, and places can be named.
    pub const BY_TOUCH: Self = Self {
        major: Major(1),
        minor: Minor(2),
    };

    /// Whether this program understands the meaning of such a file: it does if the major number is its own.
    pub fn can_be_read(self) -> bool {
        self.major == Self::CURRENT.major
    }

    /// Whether the file may hold words that this program has never heard of.
    pub fn is_newer_edition(self) -> bool {
        self > Self::CURRENT
    }

    /// Reads `1.0`; `None` for anything else, signs, spaces and leading zeros included.
    pub fn parse(text: &str) -> Option<Self> {
        let (major, minor) = text.split_once('.')?;
        let version = Self {
            major: Major(major.parse().ok()?),
            minor: Minor(minor.parse().ok()?),
        };
        (version.to_string() == text).then_some(version)
    }
}

impl fmt::Display for Version {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.major.0, self.minor.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn a_version_reads_back_and_nothing_else_is_taken_for_one() {
        assert_eq!(Version::parse("1.2"), Some(Version::CURRENT));
        assert_eq!(
            Version::parse("12.345").map(|v| v.to_string()).as_deref(),
            Some("12.345")
        );
        for wrong in [
            "", "1", "1.", ".0", "+1.0", "01.0", "1.0.0", " 1.0", "1.x", "70000.0",
        ] {
            assert_eq!(Version::parse(wrong), None, "{wrong:?}");
        }
    }

    #[test]
    fn another_major_number_is_refused_and_another_minor_number_is_not() {
        assert!(Version::parse("1.0").is_some_and(Version::can_be_read));
        assert!(!Version::parse("1.0").is_some_and(Version::is_newer_edition));
        assert!(Version::parse("1.7").is_some_and(Version::can_be_read));
        assert!(Version::parse("1.7").is_some_and(Version::is_newer_edition));
        assert!(!Version::parse("2.0").is_some_and(Version::can_be_read));
        assert!(!Version::parse("0.9").is_some_and(Version::can_be_read));
    }
}

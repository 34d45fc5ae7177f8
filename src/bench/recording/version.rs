//! [`Version`]: which edition of the format a recording is written in, and so what its commands mean.
//!
//! | edition | written by | what is another than in the edition before |
//! |---|---|---|
//! | 1.0 | 0.1.0 | |
//! | 1.1 | 0.2.0 | with the setting `cautions` in its head, `soak` and `on` before a voltage want `heed` first; all commands mean what they meant |
//!
//! Whoever gives a command another meaning raises the minor number, adds a row here, and keeps the old meaning for older recordings.

use std::fmt;

/// The first number of a version: differs when an older program must not try to read the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Major(pub u16);

/// The second number of a version: grows when words or trailing fields are added that an older
/// program may skip, and when a command gets another meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Minor(pub u16);

/// The edition of the recording format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Version {
    /// Must be the reader's own.
    pub major: Major,
    /// May be smaller or larger than the reader's own.
    pub minor: Minor,
}

impl Version {
    /// What this program writes.
    pub const CURRENT: Self = Self {
        major: Major(1),
        minor: Minor(1),
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
        assert_eq!(Version::parse("1.1"), Some(Version::CURRENT));
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
